"""Where a whole stretch of a file is softer or louder than the rest of it."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from cuetrack.times import clock
from cuetrack.verification.report import Check, CueVerdict, SoundRow

if TYPE_CHECKING:
    from collections.abc import Sequence

STRETCH_LEVEL = "one level all along"
_FEWEST = 4
_ALIKE_DB = 1.5
_LEVELS = frozenset({CueVerdict.TOO_QUIET, CueVerdict.TOO_LOUD})


def stretch_checks(
    rows: Sequence[SoundRow],
) -> tuple[tuple[SoundRow, ...], tuple[Check, ...]]:
    """Return the rows, those of a stretch marked, and one finding for each stretch.

    A stretch is four cues and tones and more, one behind the other, all softer or
    louder than their like by as much.
    """
    runs: list[list[SoundRow]] = [[]]
    for row in rows:
        if runs[-1] and not _goes_with(row, runs[-1][0]):
            runs.append([])
        if row.verdict in _LEVELS:
            runs[-1].append(row)
    stretches = [run for run in runs if len(run) >= _FEWEST]
    marked = {row.id for run in stretches for row in run}
    return (
        tuple(replace(row, with_all=True) if row.id in marked else row for row in rows),
        tuple(_check(run, rows) for run in stretches),
    )


def _goes_with(row: SoundRow, first: SoundRow) -> bool:
    apart_db = abs((row.level_db or 0.0) - (first.level_db or 0.0))
    return row.verdict in _LEVELS and apart_db < _ALIKE_DB


def _check(run: Sequence[SoundRow], rows: Sequence[SoundRow]) -> Check:
    levels = sorted(row.level_db or 0.0 for row in run)
    middle_db = levels[len(levels) // 2]
    return Check(
        name=STRETCH_LEVEL,
        measured=middle_db,
        wanted="all cues as loud as each other",
        passed=False,
        sentence=_sentence(run, rows, middle_db),
    )


def _sentence(
    run: Sequence[SoundRow], rows: Sequence[SoundRow], middle_db: float
) -> str:
    """Return what a stretch is against the rest; from the start on, what follows it."""
    first, last = (clock(int(row.planned_ms)) for row in (run[0], run[-1]))
    amount = f"{abs(middle_db):.0f} dB"
    ways = ("softer", "louder") if middle_db < 0 else ("louder", "softer")
    behind = [row for row in rows if row.planned_ms > run[-1].planned_ms]
    if run[0] is rows[0] and behind and behind[0].verdict not in _LEVELS:
        then = clock(int(behind[0].planned_ms))
        return f"From {then} on all is {amount} {ways[1]} than before."
    return f"All from {first} to {last} is {amount} {ways[0]} than the rest."
