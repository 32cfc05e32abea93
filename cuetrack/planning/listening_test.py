"""Choosing the calls of a listening test: a closed set of sentences from a class.

A closed-set test asks which of a few given sentences was said; with four of them,
guessing alone is right in a quarter of the cases. It tells whether the calls of this
class come across in this hall, not how well anybody hears: that is for professionals.
"""

from __future__ import annotations

import random
import re
from dataclasses import dataclass
from typing import TYPE_CHECKING

from cuetrack.errors import LanguageError, PlanError, Problem

if TYPE_CHECKING:
    from collections.abc import Sequence

    from cuetrack.cues.model import PlacedCue, PlacedSheet, Wording
    from cuetrack.plan.model import Plan

CALLS = 24
CHOICES = 4
LETTERS = "abcd"
LANGUAGES = ("en",)

_MOST_WORDS = 8
_NEAREST = 8


@dataclass(frozen=True, slots=True, kw_only=True)
class Question:
    """One question: what is said, and the sentences to choose from, a to d."""

    number: int
    said: Wording
    choices: tuple[str, ...]

    @property
    def letter(self) -> str:
        """The letter of what is said."""
        return LETTERS[self.choices.index(self.said.text)]


def questions_of(plan: Plan, placed: PlacedSheet, seed: int) -> tuple[Question, ...]:
    """Return ``CALLS`` questions from what a class says, in random order.

    The kinds of call take turns, so that no kind is most of the test; the other
    choices are of about the same length. The same seed gives the same test.

    Raises
    ------
    LanguageError
        When the plan is in a language that the answer sheet has no words for.
    PlanError
        When the class says too few different short sentences.
    """
    if plan.language.partition("-")[0] not in LANGUAGES:
        raise LanguageError(
            f"There is no answer sheet in '{plan.language}' yet.",
            f"Make the test from a plan in {', '.join(LANGUAGES)}.",
        )
    calls = _short_calls(placed.placed)
    if len(calls) < CALLS:
        problem = Problem(
            file=plan.file,
            what=f"this class says only {len(calls)} different short sentences, and a "
            f"listening test needs {CALLS}.",
            remedy="Take a longer class, or one with 'coaching: everything'.",
        )
        raise PlanError([problem])
    draw = random.Random(seed)  # noqa: S311 - a test that can be made again
    chosen = _in_turn(calls, draw)
    draw.shuffle(chosen)
    return tuple(
        Question(
            number=number,
            said=cue.wording,
            choices=_choices(cue, calls, draw),
        )
        for number, cue in enumerate(chosen, start=1)
    )


def _short_calls(placed: Sequence[PlacedCue]) -> list[PlacedCue]:
    """Return a cue for each different sentence short enough for a sheet."""
    found: dict[str, PlacedCue] = {}
    for one in placed:
        words = one.wording.text.split()
        if len(words) <= _MOST_WORDS and not one.cue.kind.counts:
            found.setdefault(_plain(one.wording.text), one)
    return list(found.values())


def _plain(text: str) -> str:
    return re.sub(r"\W+", " ", text.casefold()).strip()


def _in_turn(calls: list[PlacedCue], draw: random.Random) -> list[PlacedCue]:
    """Return as many calls as are asked for, of each kind in its turn."""
    by_kind: dict[str, list[PlacedCue]] = {}
    for one in draw.sample(calls, len(calls)):
        by_kind.setdefault(one.cue.kind.name, []).append(one)
    chosen: list[PlacedCue] = []
    while len(chosen) < CALLS:
        for kind in sorted(by_kind):
            if by_kind[kind] and len(chosen) < CALLS:
                chosen.append(by_kind[kind].pop())
    return chosen


def _choices(
    said: PlacedCue, calls: list[PlacedCue], draw: random.Random
) -> tuple[str, ...]:
    """Return what was said among others of about its length, in random order."""
    text = said.wording.text

    def unlike(other: PlacedCue) -> tuple[int, bool]:
        apart = abs(len(other.wording.text) - len(text))
        return apart // 3, other.cue.kind is not said.cue.kind

    others = sorted((one for one in calls if one is not said), key=unlike)
    texts = [one.wording.text for one in draw.sample(others[:_NEAREST], CHOICES - 1)]
    return tuple(draw.sample([text, *texts], CHOICES))
