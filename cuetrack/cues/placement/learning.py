"""Placing with as few lengths known as the best choice takes.

The length of a wording is known once it has been spoken, and speaking is slow. Here
it is asked for only where the best choice depends on it: every other wording is taken
to be as brief as can be. Let that be a problem of its own. What can be said in truth
can be said in it, for it only asks for less time; and of a choice all of whose lengths
are known, what can be said in it can be said in truth. So where the best choice of
that problem has known lengths alone, none is better in truth either.

This holds while three things are the same in both: what is settled beforehand, the
share of speech, and the order of the floating cues. Their lengths are asked for first,
and where the order of a cue could hang on one. What is asked for depends on the sheet
and the lengths alone, not on what happens to be stored.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, TypeAlias

from cuetrack.cues.model import SpeechTiming
from cuetrack.cues.placement.items import blocked_by, items_of, restricted
from cuetrack.cues.placement.placing import place
from cuetrack.errors import PlacementError

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator, Mapping

    from cuetrack.cues.model import Cue, CueSheet, PlacedSheet

Ask: TypeAlias = "Callable[[list[str]], Mapping[str, SpeechTiming]]"
"""Returns the length of each text of a list, such as by speaking it."""

BRIEFEST = SpeechTiming(length_ms=1, beat_ms=0)
"""No speech is shorter."""


def place_learning(
    sheet: CueSheet, ask: Ask
) -> tuple[PlacedSheet, dict[str, SpeechTiming]]:
    """Return a sheet placed as well as `place` would, and the lengths it took.

    Parameters
    ----------
    sheet
        As for `place`.
    ask
        Is asked for each text once at most.

    Raises
    ------
    PlacementError
        As `place` does, with all lengths known.
    """
    lengths = _Lengths(sheet, ask)
    lengths.learn(_first(sheet, lengths))
    lengths.learn(_for_the_order(sheet, lengths))
    while True:
        try:
            placed = place(sheet, lengths.timings)
        except PlacementError:
            if not lengths.learn(lengths.timings):
                raise
            continue
        if not lengths.learn(_for_the_choice(placed)):
            return placed, lengths.known


class _Lengths:
    """What is known so far; the rest counts as the briefest speech there is."""

    def __init__(self, sheet: CueSheet, ask: Ask) -> None:
        self._ask = ask
        self.known: dict[str, SpeechTiming] = {}
        self.timings = {text: BRIEFEST for cue in sheet.cues for text in _texts(cue)}

    def learn(self, texts: Iterable[str]) -> bool:
        """Ask for the lengths of those texts that are not known; tell if any was."""
        new = [text for text in dict.fromkeys(texts) if text not in self.known]
        if new:
            self.known |= self._ask(new)
            self.timings |= self.known
        return bool(new)


def _first(sheet: CueSheet, lengths: _Lengths) -> Iterator[str]:
    """Yield the full wordings, and all that the shares and what is settled hang on."""
    for item in items_of(sheet, lengths.timings):
        hang = item.exempt and (item.fixed or item.activity is not None)
        for cue in item.cues:
            yield from _texts(cue) if hang else _texts(cue)[:1]


def _for_the_order(sheet: CueSheet, lengths: _Lengths) -> Iterator[str]:
    """Yield what the order of a floating cue may hang on.

    None does where a wording of known length leaves its wanted time free.
    """
    items = items_of(sheet, lengths.timings)
    settled = [(item, item.options[0]) for item in items if item.is_settled]
    blocked = [blocked_by(settled, sheet.quiet, count=False)]
    for item in items:
        if item.fixed:
            continue
        (cue,) = item.cues
        texts = _texts(cue)
        known = [one for one in item.options if texts[one.index] in lengths.known]
        left = restricted(replace(item, options=tuple(known)), blocked)
        if not left.options or left.rank[0] != cue.due_ms:
            yield from texts


def _for_the_choice(placed: PlacedSheet) -> Iterator[str]:
    """Yield what is said, and what the reasons tell of: what would not fit."""
    for said in placed.placed:
        index = said.wording_index
        yield from _texts(said.cue)[max(0, index - 1) : index + 1]
    for silent in placed.left_out:
        yield from _texts(silent.cue)


def _texts(cue: Cue) -> list[str]:
    return [wording.spoken for wording in cue.wordings]
