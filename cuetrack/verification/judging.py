"""What the measurements mean for each cue, and for the track as a whole."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from statistics import median
from typing import TYPE_CHECKING

from cuetrack.times import SAMPLE_RATE_HZ, clock, ms_from_frames
from cuetrack.verification.limits import (
    FILTER_FRAMES,
    FILTERED_DB,
    LOST_LEVEL_DB,
    LOW_RATE_LEVEL_DB,
    UNHEARD_DELAY_FRAMES,
)
from cuetrack.verification.report import (
    OPUS_TOLERANCE_FRAMES,
    TOLERANCE_FRAMES,
    CueVerdict,
    SoundRow,
    precise_clock,
)
from cuetrack.verification.timbre import colour_of

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence

    from cuetrack.verification.background_check import BackgroundFinding
    from cuetrack.verification.measuring import CloseLook, Detection
    from cuetrack.verification.search import Match

LEVEL_TOLERANCE_DB = 3.0
WHOLE_SHARE = 0.35
"""A cue is cut when a quarter of a second of it is below this share of the rest;
with music 12 dB below speech the weakest true pieces stay above 0.6."""

RECOGNISED_SHARE = 0.5
_FEW = 4
_MOST_OWN = 2
"""Of a short track, so many faults are each named."""

_SECOND_MS = 1000
_ALIKE_FRAMES = 3.0
_ALIKE_SHARE = 0.9
_LONG_CUE_FRAMES = 3 * SAMPLE_RATE_HZ
_MOST_SLOPE = SAMPLE_RATE_HZ / 100_000
"""1 % in frames a millisecond; at more not even the beginnings of cues fit."""


def rows_of(
    detections: Sequence[Detection],
    background: BackgroundFinding,
    *,
    low_rate: bool = False,
    on_time_frames: float = TOLERANCE_FRAMES,
    filtered: bool = False,
) -> tuple[SoundRow, ...]:
    """Return one judged row for each detection, in their order.

    Parameters
    ----------
    detections
        What was measured.
    background
        What sounds with each cue.
    low_rate
        Whether the encoder had so few bits that wider limits hold.
    on_time_frames
        How far off its place a cue is on time.
    filtered
        Whether the whole voice is: a filter delays it, and takes more of some sounds.
    """
    usual_db = _usual_levels(detections)
    return tuple(
        _row(
            detection,
            usual_db.get(_likeness(detection)),
            background,
            low_rate=low_rate,
            on_time_frames=on_time_frames,
            filtered=filtered,
        )
        for detection in detections
    )


def tolerance_frames(coding: str, *, filtered: bool) -> float:
    """Return how far off its place a cue is on time, by what delays it."""
    if filtered:
        return FILTER_FRAMES
    return OPUS_TOLERANCE_FRAMES if coding == "opus" else TOLERANCE_FRAMES


def is_recognised(rows: Sequence[SoundRow]) -> bool:
    """Whether enough of these were found for this to be the track of the sheet."""
    found = sum(row.measured_ms is not None for row in rows)
    return len(rows) < _FEW or found >= RECOGNISED_SHARE * len(rows)


@dataclass(frozen=True, slots=True, kw_only=True)
class CommonShift:
    """An error that nearly all cues share.

    ``frames`` at 48 kHz, negative when all are early; ``speed`` is by how much
    the track plays too fast, as a share of 1, 0 for a constant shift.
    """

    frames: float
    speed: float = 0.0

    @property
    def slack_frames(self) -> float:
        """How far a cue may be off the shift and still share it.

        At another speed a cue fits best somewhere within its length.
        """
        return _ALIKE_FRAMES + abs(self.speed) * _LONG_CUE_FRAMES

    def at(self, planned_ms: float) -> float:
        """Return the error of a cue planned there, frames."""
        return self.frames - self.speed * planned_ms * SAMPLE_RATE_HZ / 1000


def common_shift(
    rows: Iterable[SoundRow], on_time_frames: float = TOLERANCE_FRAMES
) -> CommonShift | None:
    """Return the error that nearly all cues share beyond the tolerance, or None."""
    found = [
        (row.planned_ms, row.error_frames)
        for row in rows
        if row.error_frames is not None
    ]
    if len(found) < _FEW:
        return None
    middle = median(error for _, error in found)
    if _nearly_all(abs(error - middle) <= _ALIKE_FRAMES for _, error in found):
        off = abs(middle) > on_time_frames
        return CommonShift(frames=middle) if off else None
    slope = _middle_slope(found)
    if len(found) < 2 * _FEW or abs(slope) > _MOST_SLOPE:
        return None
    start = median(error - slope * at for at, error in found)
    shift = CommonShift(frames=start, speed=-slope * 1000 / SAMPLE_RATE_HZ)
    straight = _nearly_all(
        abs(error - shift.at(at)) <= shift.slack_frames for at, error in found
    )
    return shift if straight else None


def unheard_delay(
    rows: Iterable[SoundRow], on_time_frames: float
) -> CommonShift | None:
    """Return what all cues are off by, less than any two players differ; or None."""
    shift = common_shift(rows, on_time_frames)
    heard = shift is None or shift.speed or abs(shift.frames) >= UNHEARD_DELAY_FRAMES
    return None if heard else shift


def mark_shifted(
    rows: Iterable[SoundRow], shift: CommonShift | None
) -> tuple[SoundRow, ...]:
    """Return the rows, those marked that are off only by what all are off."""
    return tuple(
        replace(row, with_all=True)
        if shift is not None
        and row.verdict == CueVerdict.MOVED
        and row.error_frames is not None
        and abs(row.error_frames - shift.at(row.planned_ms)) <= shift.slack_frames
        else row
        for row in rows
    )


def mark_covered(rows: Sequence[SoundRow], *, explained: bool) -> tuple[SoundRow, ...]:
    """Return the rows, those marked that are covered when more than half are.

    So are all where a hum or what colours the voice has ``explained`` it.
    """
    spoken = sum(row.part == "cue" for row in rows)
    covered = sum(row.verdict == CueVerdict.COVERED for row in rows)
    if covered <= max(_MOST_OWN, spoken / 2) and not explained:
        return tuple(rows)
    return tuple(
        replace(row, with_all=True) if row.verdict == CueVerdict.COVERED else row
        for row in rows
    )


def shift_sentence(shift: CommonShift, missing_frames: float, rate_hz: int) -> str:
    """Return what a shift of all cues tells, in words.

    Parameters
    ----------
    shift
        From ``common_shift``.
    missing_frames
        By how much the file is shorter than planned, at 48 kHz.
    rate_hz
        The rate of the file, in which an encoder's delay is counted.
    """
    if shift.speed:
        way = "fast" if shift.speed > 0 else "slow"
        return f"The whole track plays {abs(shift.speed):.3%} too {way}."
    shift_ms = abs(ms_from_frames(round(shift.frames)))
    amount = f"{shift_ms:.1f} ms" if shift_ms >= 1 else f"{shift_ms:.2f} ms"
    if shift_ms >= _SECOND_MS:
        amount = f"{shift_ms / 1000:.1f} s"
    if shift.frames < 0:
        near = abs(missing_frames + shift.frames) <= SAMPLE_RATE_HZ // 100
        if near and shift_ms >= 1:
            return (
                f"Every cue is {amount} early: "
                f"the head of the file is missing {amount}."
            )
        return f"Every cue is {amount} early, by the same amount."
    delay = round(shift.frames * rate_hz / SAMPLE_RATE_HZ)
    if reason := _ENCODER_DELAYS.get(delay):
        return f"Every cue is {amount} late ({delay} samples): {reason}"
    return f"Every cue is {amount} late, by the same amount."


# All measured: of MP3 an encoder's 576 and a decoder's 529 samples, and 1152 more where
# the frame that carries the tag is played as sound.
_ENCODER_DELAYS = {
    256: "what AC-3 encoding adds in front was not cut off. Nobody hears it; as M4A, "
    "MP3 or FLAC the file is exact.",
    481: "what MP2 encoding adds in front was not cut off. Nobody hears it; as M4A, "
    "MP3 or FLAC the file is exact.",
    1105: "what MP3 encoding adds in front was not cut off, because the file "
    "has no gapless tag. Encode it with one.",
    2257: "a player or editor that ignores the gapless tag has decoded an MP3. "
    "Use M4A or FLAC there.",
}


def _usual_levels(detections: Sequence[Detection]) -> dict[str, float]:
    """Return the middle level of all that should be equally loud, dB."""
    levels: dict[str, list[float]] = {}
    for detection in detections:
        if detection.match is not None:
            levels.setdefault(_likeness(detection), []).append(
                _level_db(detection.match)
            )
    return {likeness: median(found) for likeness, found in levels.items()}


def _likeness(detection: Detection) -> str:
    return "speech" if detection.target.is_speech else detection.target.sound


def _level_db(match: Match) -> float:
    return 20 * math.log10(max(abs(match.gain), 1e-9))


def _row(
    detection: Detection,
    usual_db: float | None,
    background: BackgroundFinding,
    *,
    low_rate: bool,
    on_time_frames: float,
    filtered: bool,
) -> SoundRow:
    target, match = detection.target, detection.match
    loss = background.losses.get(target.id)
    covered = background.covered.get(target.id)
    error = None if match is None else match.frame - target.planned
    level = None if match is None or usual_db is None else _level_db(match) - usual_db
    is_moved = error is not None and abs(error) > on_time_frames
    coloured = filtered and detection.close is not None
    is_cut = match is not None and match.whole < WHOLE_SHARE and not coloured
    faults = _faults(
        detection,
        error,
        level,
        covered,
        is_moved=is_moved,
        is_cut=is_cut,
        low_rate=low_rate,
    )
    verdict, note = next(faults, (CueVerdict.ON_TIME, ""))
    return SoundRow(
        part="cue" if target.is_speech else "tone",
        id=target.id,
        kind=target.row.kind,
        text=target.text,
        planned_ms=_ms(target.planned),
        measured_ms=None if match is None else _ms(match.frame),
        error_ms=None if error is None else _ms(error),
        error_frames=None if error is None else round(error, 3),
        score=None if match is None else round(match.score, 3),
        level_db=None if level is None else round(level, 2),
        loss=None if loss is None else round(loss, 4),
        verdict=verdict,
        note=note,
    )


def _faults(
    detection: Detection,
    error: float | None,
    level_db: float | None,
    covered: str | None,
    *,
    is_moved: bool,
    is_cut: bool,
    low_rate: bool,
) -> Iterator[tuple[CueVerdict, str]]:
    """Yield what is wrong with a cue and a word about it, the gravest first."""
    if detection.instead is not None:
        other = detection.instead
        at = clock(int(ms_from_frames(round(other.planned))))
        yield CueVerdict.OTHER_WORDS, f'"{other.text}", planned for {at}, is here'
    if detection.match is None or error is None:
        yield CueVerdict.MISSING, "not found within 2 s of its place"
    elif level_db is not None and level_db < -LOST_LEVEL_DB:
        yield (
            CueVerdict.MISSING,
            f"a trace of it is left, {-level_db:.0f} dB under the others",
        )
    elif is_moved:
        yield from _filter_faults(detection.close, error)
        yield CueVerdict.MOVED, "late" if error > 0 else "early"
    if detection.close is not None:
        yield from _piece_faults(detection.close, detection.match)
    if is_cut:
        yield CueVerdict.CUT, "a part of it is not there"
    if covered is not None:
        yield CueVerdict.COVERED, covered
    most_db = LOW_RATE_LEVEL_DB if low_rate else LEVEL_TOLERANCE_DB
    if level_db is not None and abs(level_db) > most_db:
        verdict = CueVerdict.TOO_LOUD if level_db > 0 else CueVerdict.TOO_QUIET
        yield verdict, f"{abs(level_db):.1f} dB from the others"


def _filter_faults(
    close: CloseLook | None, error: float
) -> Iterator[tuple[CueVerdict, str]]:
    """Yield what was filtered out of a cue that is late by no more than a filter is."""
    if close is None or abs(error) > FILTER_FRAMES:
        return
    colour = colour_of([close.timbre])
    if min(colour.high_db, colour.top_db) < -FILTERED_DB:
        yield CueVerdict.CHANGED, "dull, its highs are missing"
    if colour.low_db < -FILTERED_DB:
        yield CueVerdict.CHANGED, "thin, its lows are missing"


def _piece_faults(
    close: CloseLook, match: Match | None
) -> Iterator[tuple[CueVerdict, str]]:
    """Yield what is wrong with the pieces of a cue, in their order."""
    start_ms = 0.0 if match is None else _ms(match.frame)
    for fault in close.pieces.faults:
        length = f"{fault.length_ms} ms"
        at = f"at {precise_clock(start_ms + fault.start_ms, 1)}"
        if not fault.gone:
            yield CueVerdict.CHANGED, f"something else for {length} {at}"
        elif fault.to_end or fault.from_start:
            part = "last" if fault.to_end else "first"
            yield CueVerdict.CUT, f"its {part} {length} are not there"
        else:
            yield CueVerdict.BROKEN, f"a hole of {length} {at}"
    if close.click_ms is not None:
        yield CueVerdict.CLICK, f"at {precise_clock(start_ms + close.click_ms, 1)}"


def _ms(frames: float) -> float:
    return round(frames * 1000 / SAMPLE_RATE_HZ, 4)


def _nearly_all(flags: Iterable[bool]) -> bool:
    listed = list(flags)
    return sum(listed) >= _ALIKE_SHARE * len(listed)


def _middle_slope(found: Sequence[tuple[float, float]]) -> float:
    """Return the median slope between cues half a track apart, frames per ms."""
    half = len(found) // 2
    slopes = [
        (late[1] - early[1]) / (late[0] - early[0])
        for early, late in zip(found[:half], found[half:], strict=False)
        if late[0] > early[0]
    ]
    return median(slopes) if slopes else 0.0
