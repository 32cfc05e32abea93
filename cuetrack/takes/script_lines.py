"""Which lines are to be read for a class, and in which order.

First the words of a count, to a click. Then what every class must have, in the fewest
words it may be said in, so that the first minutes of a reading give a voice that can
speak a whole class. Then the full wordings, what matters most first, and at last the
shorter ones that are taken where time is short.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from cuetrack import cuekinds
from cuetrack.cues.estimate import estimate_ms
from cuetrack.speech.breaths import breaths_of, line_id
from cuetrack.takes.reading_script import (
    LineKind,
    ReadingLine,
    ReadingPart,
    ReadingScript,
)
from cuetrack.times import SECOND_MS

if TYPE_CHECKING:
    from collections.abc import Collection, Iterable, Iterator

    from cuetrack.cues.model import Cue, CueSheet

CLICK_MS: Final = SECOND_MS
"""The click that count words are read to; every second click has a word."""
CLICKS_BEFORE: Final = 4
PAUSE_MS: Final = 2 * SECOND_MS
"""The pause after a line, in which a breath is taken."""
READER_WPM: Final = 140

_KINDS: Final = {
    cuekinds.START: LineKind.START,
    cuekinds.STOP: LineKind.STOP,
    cuekinds.TIME_LEFT: LineKind.TIME_CALL,
    cuekinds.HALFWAY: LineKind.TIME_CALL,
    cuekinds.SIDE_CHANGE: LineKind.TIME_CALL,
    cuekinds.SAFETY: LineKind.SAFETY,
    cuekinds.CAUTION: LineKind.SAFETY,
}
_CLOCK: Final = frozenset({LineKind.START, LineKind.STOP, LineKind.TIME_CALL})

_Rank = tuple[int, int, int, int]
"""Part, then how much it matters, then which cue, then which sentence of it."""


def script_of(sheets: Iterable[CueSheet], have: Collection[str] = ()) -> ReadingScript:
    """Return every line that some wording of the sheets needs, each once.

    Lines whose ids are in ``have`` are left out. All sheets are of one language, that
    of the first.
    """
    sheets = tuple(sheets)
    found: dict[str, tuple[_Rank, str, LineKind]] = {}
    cues = (cue for sheet in sheets for cue in sheet.cues)
    for number, cue in enumerate(cues):
        for rank, text, kind in _lines_of(cue, number):
            known = found.get(line_id(text))
            if known is None or rank < known[0]:
                found[line_id(text)] = (rank, text, kind)
    ranked = sorted(one for id_, one in found.items() if id_ not in have)
    language = sheets[0].language if sheets else ""
    return ReadingScript(language=language, lines=tuple(_timed(ranked, language)))


def _lines_of(cue: Cue, number: int) -> Iterator[tuple[_Rank, str, LineKind]]:
    kind = (
        LineKind.COUNT if cue.kind.counts else _KINDS.get(cue.kind, LineKind.SENTENCE)
    )
    matters = list(LineKind).index(kind) if kind in _CLOCK else len(LineKind)
    for variant in cue.variants:
        for index, wording in enumerate(variant):
            part = _part(cue, kind, full=index == 0, last=index == len(variant) - 1)
            weight = matters if part is ReadingPart.ENOUGH else -cue.kind.priority
            for place, text in enumerate(breaths_of(wording.spoken)):
                yield (list(ReadingPart).index(part), weight, number, place), text, kind


def _part(cue: Cue, kind: LineKind, *, full: bool, last: bool) -> ReadingPart:
    if kind is LineKind.COUNT:
        return ReadingPart.COUNTS
    if last and (cue.essential or kind in _CLOCK):
        return ReadingPart.ENOUGH
    return ReadingPart.FULL if full else ReadingPart.SHORTER


def _timed(
    ranked: Iterable[tuple[_Rank, str, LineKind]], language: str
) -> Iterator[ReadingLine]:
    """Give each line its time: count words the click's, others that of a reader."""
    at_ms = CLICKS_BEFORE * CLICK_MS
    for (part, *_), text, kind in ranked:
        counts = kind is LineKind.COUNT
        length_ms = estimate_ms(text, language, READER_WPM).length_ms
        yield ReadingLine(
            id=line_id(text),
            text=text,
            kind=kind,
            part=list(ReadingPart)[part],
            start_ms=at_ms,
            end_ms=at_ms + (CLICK_MS if counts else length_ms),
        )
        at_ms += 2 * CLICK_MS if counts else length_ms + PAUSE_MS
