"""Where all that follows a cue is early or late: something was cut out or put in."""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import pairwise
from typing import TYPE_CHECKING

from cuetrack.times import SAMPLE_RATE_HZ, clock, ms_from_frames
from cuetrack.verification.report import TOLERANCE_FRAMES, CueVerdict, SoundRow

if TYPE_CHECKING:
    from collections.abc import Sequence

ALIKE_FRAMES = 3.0
_LEAST_STEP_FRAMES = SAMPLE_RATE_HZ / 1000
"""Nobody cuts out less than a millisecond: that is what a filter does, from here on."""

_FEWEST_ALIKE = 4
_MOST_STEPS = 4
_NEARLY_ALL = 0.9


@dataclass(frozen=True, slots=True, kw_only=True)
class ShiftStep:
    """``after`` and what follows it is off by ``frames``, what comes before is not.

    ``more_frames`` is by how much later than before; ``before`` is the last row of
    what comes before.
    """

    before: SoundRow
    after: SoundRow
    frames: float
    more_frames: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Elsewhere:
    """By how many frames each target is off together with those around it.

    ``again`` tells of each whether it is there once more by the next shift.
    """

    shifts: tuple[float, ...]
    again: tuple[bool, ...]


def steps_of(rows: Sequence[SoundRow]) -> tuple[ShiftStep, ...]:
    """Return the steps at which the error of all that follows changes.

    None where nearly all rows do not lie on a few levels, four rows on each.
    """
    found = [row for row in rows if row.error_frames is not None]
    runs: list[list[SoundRow]] = []
    for row in found:
        if runs and _is_alike(row, _level(runs[-1])):
            runs[-1].append(row)
        elif len(runs) > 1 and len(runs[-1]) == 1 and _is_alike(row, _level(runs[-2])):
            runs.pop()  # It was off by itself.
            runs[-1].append(row)
        else:
            runs.append([row])
    levels = [run for run in runs if len(run) >= _FEWEST_ALIKE]
    kept = sum(len(run) for run in levels)
    steady = kept >= _NEARLY_ALL * len(found)
    if not steady or not 1 < len(levels) <= _MOST_STEPS:
        return ()
    return tuple(
        ShiftStep(
            before=before[-1],
            after=after[0],
            frames=_level(after),
            more_frames=_level(after) - _level(before),
        )
        for before, after in pairwise(levels)
        if abs(_level(after) - _level(before)) > _LEAST_STEP_FRAMES
    )


def mark_stepped(
    rows: Sequence[SoundRow], steps: Sequence[ShiftStep]
) -> tuple[SoundRow, ...]:
    """Return the rows, those marked that are off only by what all around them are."""
    levels = {step.frames for step in steps}
    levels |= {step.frames - step.more_frames for step in steps}
    return tuple(
        replace(row, with_all=True)
        if row.verdict == CueVerdict.MOVED
        and any(_is_alike(row, level) for level in levels)
        else row
        for row in rows
    )


def start_sentences(steps: Sequence[ShiftStep]) -> tuple[str, ...]:
    """Return by how much all before the first step is off, nothing where it is not."""
    if not steps:
        return ()
    frames = steps[0].frames - steps[0].more_frames
    if abs(frames) <= max(TOLERANCE_FRAMES, _LEAST_STEP_FRAMES):
        return ()
    until, off = clock(int(steps[0].after.planned_ms)), _amount(frames)
    why = "were put in front of it" if frames > 0 else "of its head are missing"
    way = "late" if frames > 0 else "early"
    return (f"Before {until} every cue is {off} {way}: {off} {why}.",)


def step_sentence(step: ShiftStep) -> str:
    """Return what a step tells, in words."""
    off, more = _amount(step.frames), _amount(step.more_frames)
    way = "late" if step.frames > 0 else "early"
    what = "were put in" if step.more_frames > 0 else "are missing"
    after, before = _named(step.after), _named(step.before)
    state = f"{off} {way}" if abs(step.frames) > TOLERANCE_FRAMES else "on time again"
    return (
        f"From {clock(int(step.after.planned_ms))} on every cue is {state}: {more} "
        f"{what} between {before} and {after}."
    )


def _level(run: Sequence[SoundRow]) -> float:
    return run[0].error_frames or 0.0


def _is_alike(row: SoundRow, level: float) -> bool:
    return abs((row.error_frames or 0.0) - level) <= ALIKE_FRAMES


def _named(row: SoundRow) -> str:
    said = f'"{row.text}"' if row.part == "cue" else f"the {row.text}"
    return f"{said} at {clock(int(row.planned_ms))}"


def _amount(frames: float) -> str:
    if abs(frames) >= SAMPLE_RATE_HZ:
        return f"{abs(frames) / SAMPLE_RATE_HZ:.1f} s"
    return f"{abs(ms_from_frames(round(frames))):.1f} ms"
