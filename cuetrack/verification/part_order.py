"""In which order a file plays the parts of its track, and what that is in words."""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import groupby, pairwise
from typing import TYPE_CHECKING

from cuetrack.times import SAMPLE_RATE_HZ, clock, ms_from_frames
from cuetrack.verification.report import CueVerdict
from cuetrack.verification.steps import (
    ALIKE_FRAMES,
    ShiftStep,
    start_sentences,
    step_sentence,
)

if TYPE_CHECKING:
    from collections.abc import Sequence

    from cuetrack.verification.report import SoundRow
    from cuetrack.verification.steps import Elsewhere

_MOST_STEPS = 4
_TWICE_SHARE = 0.7


@dataclass(frozen=True, slots=True, kw_only=True)
class _PlayedPart:
    """What belongs between two moments, ms, and sounds ``frames`` after its place.

    ``end_ms`` is where the next part belongs, None for the last.
    """

    start_ms: float
    end_ms: float | None
    frames: float

    @property
    def played_ms(self) -> float:
        """Where the file has it."""
        return self.start_ms + self.frames * 1000 / SAMPLE_RATE_HZ


def steps_between(
    rows: Sequence[SoundRow], elsewhere: Elsewhere
) -> tuple[ShiftStep, ...]:
    """Return where the shift of the cues that were found changes; none if too often."""
    found = [
        (row, shift)
        for row, shift in zip(rows, elsewhere.shifts, strict=True)
        if row.measured_ms is not None
    ]
    steps = tuple(
        ShiftStep(before=before, after=after, frames=now, more_frames=now - then)
        for (before, then), (after, now) in pairwise(found)
        if now != then
    )
    return steps if len(steps) <= _MOST_STEPS else ()


def sentences_of(
    rows: Sequence[SoundRow], steps: Sequence[ShiftStep], elsewhere: Elsewhere
) -> tuple[str, ...]:
    """Return what happened at the steps, in words."""
    if (order := _order_sentence(_parts_of(rows, elsewhere))) is not None:
        return (order,)
    return start_sentences(steps) + tuple(
        _twice_sentence(step)
        if _is_twice(rows, step, elsewhere)
        else f"{step_sentence(step)[:-1]}{_with_them(rows, step)}."
        for step in steps
    )


def mark_elsewhere(
    rows: Sequence[SoundRow], steps: Sequence[ShiftStep], elsewhere: Elsewhere
) -> tuple[SoundRow, ...]:
    """Return the rows, those marked that are off or gone only with all around them."""
    cut = {row.id for step in steps for row in _cut_out(rows, step)}
    return tuple(
        replace(row, with_all=True)
        if row.id in cut
        or (
            row.verdict == CueVerdict.MOVED
            and abs((row.error_frames or 0.0) - shift) <= ALIKE_FRAMES
        )
        else row
        for row, shift in zip(rows, elsewhere.shifts, strict=True)
    )


def _cut_out(rows: Sequence[SoundRow], step: ShiftStep) -> tuple[SoundRow, ...]:
    """Return what is missing where something was cut out."""
    if step.more_frames > 0:
        return ()
    first, last = step.before.planned_ms, step.after.planned_ms
    return tuple(row for row in rows if first < row.planned_ms < last)


def _with_them(rows: Sequence[SoundRow], step: ShiftStep) -> str:
    count = len(_cut_out(rows, step))
    what = "one cue or tone" if count == 1 else f"{count} cues and tones"
    return f", and {what} with them" if count else ""


def _is_twice(rows: Sequence[SoundRow], step: ShiftStep, elsewhere: Elsewhere) -> bool:
    """Whether what was put in is what stands before it."""
    end_ms = step.after.planned_ms
    start_ms = end_ms - ms_from_frames(round(step.more_frames))
    again = [
        again
        for row, again in zip(rows, elsewhere.again, strict=True)
        if start_ms <= row.planned_ms < end_ms
    ]
    return bool(again) and sum(again) >= _TWICE_SHARE * len(again)


def _twice_sentence(step: ShiftStep) -> str:
    end_ms, more_ms = step.after.planned_ms, ms_from_frames(round(step.more_frames))
    return (
        f"{more_ms / 1000:.1f} s come twice: what belongs at "
        f"{clock(int(end_ms - more_ms))} to {clock(int(end_ms))} sounds again, and "
        f"from there on every cue is {step.frames / SAMPLE_RATE_HZ:.1f} s late."
    )


def _parts_of(
    rows: Sequence[SoundRow], elsewhere: Elsewhere
) -> tuple[_PlayedPart, ...]:
    """Return the parts of which each has one shift, in the order of the track."""
    found = [
        (row.planned_ms, shift)
        for row, shift in zip(rows, elsewhere.shifts, strict=True)
        if row.measured_ms is not None
    ]
    starts = [next(run) for _, run in groupby(found, key=lambda one: one[1])]
    ends = [start_ms for start_ms, _ in starts[1:]]
    return tuple(
        _PlayedPart(start_ms=start_ms, end_ms=end_ms, frames=frames)
        for (start_ms, frames), end_ms in zip(starts, [*ends, None], strict=True)
    )


def _order_sentence(parts: Sequence[_PlayedPart]) -> str | None:
    """Return which parts stand in each other's place, None where none do."""
    played = sorted(parts, key=lambda part: part.played_ms)
    away = [
        n
        for n, (one, other) in enumerate(zip(parts, played, strict=True))
        if one is not other
    ]
    if not away:
        return None
    if len(parts) == len(away) == 2:
        start = clock(int(parts[1].start_ms))
        return (
            f"The track does not start with its start: it starts with what belongs at "
            f"{start}, and its beginning, all that belongs before {start}, stands at "
            "the end."
        )
    first, *others = (_belonging(part) for part in played[away[0] : away[-1] + 1])
    count = "Two" if len(others) == 1 else f"{len(others) + 1}"
    return (
        f"{count} parts have changed places: {first} comes first, then "
        f"{', then '.join(others)}."
    )


def _belonging(part: _PlayedPart) -> str:
    end = "the end" if part.end_ms is None else clock(int(part.end_ms))
    return f"what belongs from {clock(int(part.start_ms))} to {end}"
