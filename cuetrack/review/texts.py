"""The sentences a plan brings along, each with its place, and words found in them."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from collections.abc import Iterator

    from cuetrack.documents.places import Place
    from cuetrack.languages.review_words import ReviewWords
    from cuetrack.plan.model import Movement
    from cuetrack.review.case import Case

_SENTENCE_END: Final = re.compile(r"(?<=[.!?:;])\s+")


@dataclass(frozen=True, slots=True, kw_only=True)
class SaidText:
    """One text of the plan: what it belongs to, in words, and where that stands."""

    text: str
    owner: str
    place: Place


def movement_texts(movement: Movement) -> Iterator[SaidText]:
    """Yield everything a movement has the voice say, but its name."""
    for text in filter(
        None, (*_asked_of_all(movement), movement.easier, movement.harder)
    ):
        yield SaidText(text=text, owner=movement.name, place=movement.place)


def _asked_of_all(movement: Movement) -> Iterator[str]:
    """Yield what a movement asks of everybody: of its options people may choose."""
    said = (
        movement.set_up,
        movement.how,
        movement.how_short,
        *movement.form,
        movement.breathing,
        *sentences(movement.caution or ""),
        movement.between_sides,
        movement.afterwards,
    )
    yield from filter(None, said)


def plan_texts(case: Case) -> Iterator[SaidText]:
    """Yield every sentence that is the plan's own or comes from its library."""
    for section in case.plan.sections:
        for text in section.says:
            yield SaidText(text=text, owner=section.title, place=section.place)
        clock = section.intervals
        pause = clock.between_rounds if clock else None
        for text in pause.says if pause else ():
            yield SaidText(text=text, owner=section.title, place=section.place)
        for cue in section.free_cues:
            yield SaidText(text=cue.text, owner=section.title, place=cue.place)
    for movement, _ in case.movements():
        yield from movement_texts(movement)


def sentences(text: str) -> tuple[str, ...]:
    """Return the sentences of a text; a colon ends one for the ear.

    >>> sentences("Feet flat: both of them. Sit tall.")
    ('Feet flat:', 'both of them.', 'Sit tall.')
    """
    return tuple(part for part in _SENTENCE_END.split(text.strip()) if part)


def asked_of(
    words: ReviewWords, movement: Movement, wanted: re.Pattern[str]
) -> str | None:
    """Return the words by which a movement asks for something, None if it does not."""
    found = (
        words.asks_for(sentence, wanted)
        for text in _asked_of_all(movement)
        for sentence in sentences(text)
    )
    return next(filter(None, found), None)
