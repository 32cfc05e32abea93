"""What happened to the whole file: shifted, cut, played at another speed, turned.

Where much is not where it should be, the file is looked through again in the way in
which it would be: one side turned back, later or earlier by as much as its length is
off, or for the beginnings of the cues alone, which fit at another speed too.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from statistics import median
from typing import TYPE_CHECKING

from cuetrack.times import SAMPLE_RATE_HZ, clock, frames_from_ms, ms_from_frames
from cuetrack.verification.background_check import NOTHING_FOUND
from cuetrack.verification.elsewhere import is_story, path_through, shifts_in
from cuetrack.verification.judging import (
    CommonShift,
    common_shift,
    is_recognised,
    mark_shifted,
    rows_of,
    shift_sentence,
)
from cuetrack.verification.measuring import measure_track
from cuetrack.verification.pairing import REACH_FRAMES
from cuetrack.verification.part_order import (
    mark_elsewhere,
    sentences_of,
    steps_between,
)
from cuetrack.verification.report import TOLERANCE_FRAMES, Check, CueVerdict, SoundRow
from cuetrack.verification.softer import stretch_checks
from cuetrack.verification.steps import (
    mark_stepped,
    start_sentences,
    step_sentence,
    steps_of,
)
from cuetrack.verification.targets import Beginnings
from cuetrack.verification.wavering import WAVERING, wavering_of

if TYPE_CHECKING:
    from collections.abc import Sequence

    from cuetrack.sound.decoding import SoundFile
    from cuetrack.speech.model import Progress
    from cuetrack.verification.measuring import Measured
    from cuetrack.verification.targets import Target, Templates

_FEW = 4
_FOUND_SHARE = 0.9
_FEW_SHARE = 0.1
_LEAST_PACE, _MOST_PACE = 0.005, 0.15
_UNEVEN_MS = (0.2, 20.0)
_BEGINNING_FRAMES = SAMPLE_RATE_HZ // 4


@dataclass(frozen=True, slots=True, kw_only=True)
class WholeFinding:
    """The rows, those marked that a cause explains, and the causes that fail all.

    ``speed`` is by how much the file plays too fast, as a share of 1.
    """

    rows: tuple[SoundRow, ...]
    causes: tuple[Check, ...]
    speed: float = 0.0


def measure_again(
    sound: SoundFile,
    targets: Sequence[Target],
    templates: Templates,
    planned_ms: int,
    progress: Progress | None,
) -> Measured:
    """Return what a file holds, looked for also where much of it has gone."""
    measured = measure_track(sound, targets, templates, progress)
    turned = measured.sides.turned
    if turned:
        upright = measure_track(sound, targets, templates, turned=True)
        measured = replace(upright, sides=measured.sides)
    missing = [one.target for one in measured.detections if one.match is None]
    if len(missing) < _FEW:
        return measured
    shifts = [0.0, *shifts_in(sound, measured.frames, missing, targets, templates)]
    longer = float(measured.frames - frames_from_ms(planned_ms))
    if all(abs(longer - shift) > REACH_FRAMES for shift in shifts):
        shifts.append(longer)
    found = [measured.detections]
    for shift in shifts[1:]:
        there = [replace(target, offset_frames=shift) for target in targets]
        again = measure_track(sound, there, templates, turned=turned)
        found.append(again.detections)
    detections, elsewhere = path_through(found, shifts)
    if not is_story(detections, elsewhere):
        return measured
    return replace(measured, detections=detections, extras=(), elsewhere=elsewhere)


def at_another_speed(
    sound: SoundFile,
    targets: Sequence[Target],
    templates: Templates,
    planned_ms: int,
    as_it_is: Measured,
) -> WholeFinding | None:
    """Return what is off when the file plays at another speed, None when it does not.

    Only the beginnings of the cues are looked for, and where they do not fit, the
    file is read as fast as would make it last as planned. That the speed of
    the file ``as_it_is`` wavers may be known already.
    """
    beginnings = Beginnings(templates, _BEGINNING_FRAMES)
    measured = measure_track(sound, targets, beginnings)
    rows = rows_of(measured.detections, NOTHING_FOUND)
    shift = common_shift(rows)
    wavers = wavering_of(as_it_is.delays) is not None
    uneven = () if wavers else _uneven_causes(rows)
    if shift is None and is_recognised(rows) and (wavers or uneven):
        return WholeFinding(rows=explained_by_speed(rows), causes=uneven)
    if shift is None or not shift.speed or not is_recognised(rows):
        pace = measured.frames / frames_from_ms(planned_ms)
        return _at_pace(sound, targets, beginnings, pace)
    cause = _cause("speed", shift.speed, shift_sentence(shift, 0, measured.rate_hz))
    rows = explained_by_speed(mark_shifted(rows, shift))
    return WholeFinding(rows=rows, causes=(cause,), speed=shift.speed)


def _uneven_causes(rows: Sequence[SoundRow]) -> tuple[Check, ...]:
    """Return that cues come early and late, but no two far from each other, if so."""
    errors = [abs(row.error_ms) for row in rows if row.error_ms is not None]
    usual_ms = median(errors) if errors else 0.0
    near = sum(error < _UNEVEN_MS[1] for error in errors)
    if usual_ms <= _UNEVEN_MS[0] or near < _FOUND_SHARE * len(errors):
        return ()
    cause = _cause(
        WAVERING,
        usual_ms,
        "The speed wavers: cues come now early, now late, half of them by "
        f"{usual_ms:.1f} ms and more. Take the track as it was made.",
    )
    return (cause,)


def _at_pace(
    sound: SoundFile, targets: Sequence[Target], beginnings: Beginnings, pace: float
) -> WholeFinding | None:
    """Return the file when it lasts ``pace`` times as long as planned by its speed."""
    if not _LEAST_PACE < abs(pace - 1) < _MOST_PACE:
        return None
    as_planned = replace(sound, rate_hz=round(sound.rate_hz * pace))
    rows = rows_of(
        measure_track(as_planned, targets, beginnings).detections, NOTHING_FOUND
    )
    if not is_recognised(rows):
        return None
    shift = CommonShift(frames=0.0, speed=1 / pace - 1)
    cause = _cause("speed", shift.speed, shift_sentence(shift, 0, sound.rate_hz))
    played = explained_by_speed([_as_played(row, pace) for row in rows])
    return WholeFinding(rows=played, causes=(cause,), speed=shift.speed)


def _as_played(row: SoundRow, pace: float) -> SoundRow:
    """Return a row with its place in the file as it is."""
    if row.measured_ms is None:
        return row
    error_ms = row.measured_ms * pace - row.planned_ms
    return replace(
        row,
        measured_ms=round(row.measured_ms * pace, 4),
        error_ms=round(error_ms, 4),
        error_frames=round(error_ms * SAMPLE_RATE_HZ / 1000, 3),
        verdict=CueVerdict.MOVED,
        note="late" if error_ms > 0 else "early",
    )


def find_whole(
    rows: tuple[SoundRow, ...],
    measured: Measured,
    planned_ms: int,
    on_time_frames: float = TOLERANCE_FRAMES,
) -> WholeFinding:
    """Return which rows are off by what happened to the file, and what that is."""
    elsewhere = measured.elsewhere
    parted = () if elsewhere is None else steps_between(rows, elsewhere)
    shift = None if parted else common_shift(rows, on_time_frames)
    missing = frames_from_ms(planned_ms) - measured.frames
    causes = []
    if elsewhere is not None and parted:
        causes += [
            _cause("parts in order", 0.0, sentence)
            for sentence in sentences_of(rows, parted, elsewhere)
        ]
        rows = mark_elsewhere(rows, parted, elsewhere)
    elif shift is not None:
        sentence = shift_sentence(shift, missing, measured.rate_hz)
        off_ms = ms_from_frames(round(shift.frames))
        causes.append(_cause("shift of all cues", off_ms, sentence))
        rows = mark_shifted(rows, shift)
    else:
        steps = steps_of(rows)
        rows = mark_stepped(rows, steps)
        causes += [
            _cause("shift before", 0.0, sentence) for sentence in start_sentences(steps)
        ]
        causes += [
            _cause("shift from here on", ms_from_frames(round(step.frames)), sentence)
            for step in steps
            for sentence in (step_sentence(step),)
        ]
    rows, ends = _end_told(rows, ms_from_frames(measured.frames), planned_ms)
    causes += ends
    rows, softer = stretch_checks(rows)
    causes += softer
    if measured.sides.late_ms:
        rows = _all_explained(rows)
    speed = 0.0 if shift is None else shift.speed
    return WholeFinding(rows=rows, causes=tuple(causes), speed=speed)


def _end_told(
    rows: tuple[SoundRow, ...], length_ms: float, planned_ms: int
) -> tuple[tuple[SoundRow, ...], list[Check]]:
    """Return that the file ends early, and the rows behind its end marked."""
    if not ends_early(rows, length_ms):
        return rows, []
    after = [row for row in rows if row.measured_ms is None]
    sentence = (
        f"The file ends at {clock(int(length_ms))}, but its cue sheet goes on to "
        f"{clock(planned_ms)}: {len(after)} of {len(rows)} cues and tones are not in "
        "it."
    )
    marked = tuple(
        replace(row, with_all=True) if row.planned_ms >= length_ms else row
        for row in rows
    )
    return marked, [_cause("end", length_ms, sentence)]


def ends_early(rows: Sequence[SoundRow], length_ms: float) -> bool:
    """Whether the file is right as far as it goes, and does not go to the end."""
    inside = [row for row in rows if row.planned_ms < length_ms]
    found = sum(row.measured_ms is not None for row in inside)
    later = [row for row in rows if row.planned_ms >= length_ms]
    return (
        bool(inside)
        and any(row.measured_ms is None for row in later)
        and found > _FOUND_SHARE * (len(inside) - 1)
    )


def _all_explained(rows: Sequence[SoundRow]) -> tuple[SoundRow, ...]:
    """Return the rows, marked as explained except those that are missing."""
    return tuple(
        row if row.verdict == CueVerdict.MISSING else replace(row, with_all=True)
        for row in rows
    )


def explained_by_speed(rows: Sequence[SoundRow]) -> tuple[SoundRow, ...]:
    """Return the rows, marked as explained, but for a few that are missing.

    Many are not found because the voice was stretched.
    """
    missing = sum(row.verdict == CueVerdict.MISSING for row in rows)
    if missing <= _FEW_SHARE * len(rows):
        return _all_explained(rows)
    return tuple(replace(row, with_all=True) for row in rows)


def _cause(name: str, measured: float, sentence: str) -> Check:
    wanted = "every cue on its place"
    return Check(
        name=name, measured=measured, wanted=wanted, passed=False, sentence=sentence
    )
