"""What must hold for the whole track: length, loudness, peak, nothing extra."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from cuetrack.times import (
    SAMPLE_RATE_HZ,
    clock,
    duration,
    frames_from_ms,
    ms_from_frames,
)
from cuetrack.verification.limits import (
    ALL_ALONG_SHARE,
    HOLE_MS,
    HUM_DBFS,
    OFFSET_LIMIT,
    OVERSHOOT_SHARE,
    STEADY_SWING_DB,
)
from cuetrack.verification.report import Check, precise_clock
from cuetrack.verification.stream import POWER_STEP_FRAMES

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    import numpy.typing as npt

    from cuetrack.sound.loudness import TrackLevels
    from cuetrack.verification.hum import Hum
    from cuetrack.verification.measuring import Detection, Extra, Measured

LOUDNESS_TOLERANCE_LU = 0.5
FOLDED_LU = 3.01
TRUE_PEAK_LIMIT_DBTP = -1.0
PEAK_TOLERANCE_DB = 0.5
"""Encoding raises peaks by so much; more is judged by what a player cuts off."""

HUM = "no hum"
LOUDNESS = "loudness"
PIECES = "every piece"
SILENCE = "nothing extra"
SILENCE_DBFS = -60.0
LONGER_FRAMES = 4608
"""An encoder may leave up to four of its frames of silence at the end: AAC
decoded by some readers is 512 samples longer, MP3 without its tag up to 2304."""

_SHORTER_FRAMES = 2
_SURROUND_FRAMES = frames_from_ms(200)
"""Fades and what lossy coding smears lie within this of a cue: Opus at 64 kbit/s
rings after speech, measured -57 dBFS 120 ms after its end and -70 after 200 ms."""
_MOST_NAMED = 3


def length_check(measured: Measured, planned_ms: int) -> Check:
    """Check that the file is as long as the cue sheet says."""
    excess = measured.frames - frames_from_ms(planned_ms)
    found_ms = ms_from_frames(measured.frames)
    fits = -_SHORTER_FRAMES <= excess <= LONGER_FRAMES
    if fits:
        sentence = f"The file lasts {duration(planned_ms)}, as planned."
    else:
        sentence = (
            f"The file lasts {precise_clock(found_ms)}, but the cue sheet says "
            f"{precise_clock(planned_ms)}: it is {_amount(abs(excess))} too "
            f"{'long' if excess > 0 else 'short'}."
        )
    return Check(
        name="length",
        measured=found_ms,
        wanted=f"{planned_ms} ms",
        passed=fits,
        sentence=sentence,
    )


def loudness_check(
    measured: Measured,
    target_lufs: float,
    *,
    folded: bool | None = None,
    kept: bool = False,
) -> Check:
    """Check the integrated loudness of the decoded file against its target.

    Folded to one channel by half of each side, the voice stays as loud, and the meter
    reads 3 LU less; by 0.7071 of each (ITU-R BS.775) it reads as much. At a low rate
    what lies above the voice is gone. Whether it was ``folded`` is guessed where it is
    not known. Where all that is spoken in was ``kept`` as loud as made, a
    file that reads less has lost its highest sounds, and is not too quiet.
    """
    found, tolerance_lu = measured.levels.integrated_lufs, LOUDNESS_TOLERANCE_LU
    if folded is None:
        folded = measured.channels == 1 and _gaps(measured).folded
    if folded:
        ways = (found, found + FOLDED_LU)
        found = min(ways, key=lambda way: abs(way - target_lufs))
        tolerance_lu = 2 * LOUDNESS_TOLERANCE_LU
    if measured.low_rate and found < target_lufs:
        tolerance_lu = 2 * LOUDNESS_TOLERANCE_LU
    fits = abs(found - target_lufs) <= tolerance_lu
    highs_gone = kept and not fits and found < target_lufs
    if not math.isfinite(found):
        sentence = "There is nothing to hear in this file."
    elif fits:
        sentence = f"It is as loud as asked: {found:.1f} LUFS."
    elif highs_gone:
        sentence = (
            f"It reads {found:.1f} LUFS, only because its highest sounds are gone: all "
            "that speech needs is as loud as when it was made."
        )
    else:
        sentence = (
            f"It is {abs(found - target_lufs):.1f} LU too "
            f"{'loud' if found > target_lufs else 'quiet'}: {found:.1f} LUFS "
            f"instead of {target_lufs:.1f}."
        )
    return Check(
        name=LOUDNESS,
        measured=_finite(found),
        wanted=f"{target_lufs:.1f} LUFS, at most {tolerance_lu} LU off",
        passed=fits or highs_gone,
        sentence=sentence,
    )


def true_peak_check(levels: TrackLevels, overshoot: float | None = None) -> Check:
    """Check that no peak of the decoded file, also between samples, is too high.

    Parameters
    ----------
    levels
        What was measured.
    overshoot
        Where encoding may have raised the peaks, the share of the worst moment that
        lies over full scale; None elsewhere.
    """
    found = levels.true_peak_dbtp
    low = found <= TRUE_PEAK_LIMIT_DBTP + PEAK_TOLERANCE_DB
    fits = low or (overshoot is not None and overshoot < OVERSHOOT_SHARE)
    if low:
        sentence = (
            f"Its highest peak is {found:.2f} dBTP, low enough to play without "
            "distortion."
        )
    elif fits:
        sentence = (
            f"Its highest peak is {found:.2f} dBTP: encoding has raised it, for an "
            "instant at a time, which is not heard."
        )
    else:
        sentence = (
            f"Its highest peak is {found:.2f} dBTP and may distort; the limit is "
            f"{TRUE_PEAK_LIMIT_DBTP:.1f}. Turn the sound down before it is encoded."
        )
    return Check(
        name="true peak",
        measured=_finite(found),
        wanted=f"at most {TRUE_PEAK_LIMIT_DBTP:.1f} dBTP",
        passed=fits,
        sentence=sentence,
    )


def pieces_check(detections: Iterable[Detection]) -> Check:
    """Check every piece of every cue that stands clear enough to be judged."""
    looks = [one.close.pieces for one in detections if one.close is not None]
    windows = sum(look.windows for look in looks)
    share = sum(look.judged for look in looks) / windows if windows else 0.0
    faulty = sum(bool(look.faults) for look in looks)
    sentence = (
        f"{_cues(faulty)} with a piece missing or wrong."
        if faulty
        else f"{share:.0%} of all that is said stands clear enough to be judged piece "
        f"by piece ({HOLE_MS} ms and longer): all is there."
    )
    return Check(
        name=PIECES,
        measured=round(share, 3),
        wanted=f"nothing missing for {HOLE_MS} ms or longer",
        passed=not faulty if windows else None,
        sentence=sentence,
    )


def _cues(count: int) -> str:
    return "1 cue" if count == 1 else f"{count} cues"


def silence_check(measured: Measured) -> Check:
    """Check that nothing sounds where nothing is planned; only without music.

    A track with music is stereo and is not checked: what belongs to the music
    and what does not cannot be told apart.
    """
    wanted = f"below {SILENCE_DBFS:.0f} dBFS outside all cues"
    if measured.channels != 1:
        return Check(
            name=SILENCE,
            measured=None,
            wanted=wanted,
            passed=None,
            sentence="Not checked for extra sounds, because there may be music "
            "(the file is stereo).",
        )
    gaps = _gaps(measured)
    if gaps.all_along:
        sentence = (
            f"A steady noise or hum of {gaps.mean_db:.0f} dBFS sounds all along."
            if gaps.steady
            else "Something sounds all along between the cues: a track with music, "
            "folded to one channel. Not checked for extra sounds."
        )
    else:
        sentence = _extra_sentence(gaps.places)
    return Check(
        name=SILENCE,
        measured=gaps.highest_db,
        wanted=wanted,
        passed=None if gaps.folded else not gaps.places,
        sentence=sentence,
        places_ms=((0, round(ms_from_frames(measured.frames))),)
        if gaps.all_along
        else (),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Gaps:
    """What sounds where no cue is: where, how loud, and whether nearly all along."""

    places: tuple[tuple[int, int], ...]
    highest_db: float | None
    mean_db: float
    all_along: bool
    steady: bool

    @property
    def folded(self) -> bool:
        """Whether it is music, which a file of one channel has only when folded."""
        return self.all_along and not self.steady


def _gaps(measured: Measured) -> _Gaps:
    outside = ~_covered(measured.detections, measured.powers.size)
    loud = outside & (measured.powers > 10 ** (SILENCE_DBFS / 10))
    levels_db = 10 * np.log10(measured.powers[loud]) if loud.any() else np.zeros(1)
    highest = float(measured.powers[outside].max(initial=0.0))
    return _Gaps(
        places=tuple(_runs(loud)),
        highest_db=round(10 * math.log10(highest), 1) if highest > 0 else None,
        mean_db=float(levels_db.mean()),
        all_along=bool(loud.sum() > ALL_ALONG_SHARE * outside.sum()),
        steady=float(levels_db.std()) < STEADY_SWING_DB,
    )


def extra_checks(extras: Sequence[Extra]) -> tuple[Check, ...]:
    """Return that something sounds more often than planned, nothing when not."""
    if not extras:
        return ()
    first = extras[0].target
    said = f'"{first.text}"' if first.is_speech else f"the {first.text}"
    more = f" So do {len(extras) - 1} more." if len(extras) > 1 else ""
    return (
        Check(
            name="nothing twice",
            measured=float(len(extras)),
            wanted="0 sounds",
            passed=False,
            sentence=f"At {clock(int(ms_from_frames(round(extras[0].frame))))} {said} "
            f"sounds once more than planned.{more}",
        ),
    )


def offset_checks(offset: float) -> tuple[Check, ...]:
    """Return that the sound lies off its zero line, nothing when it does not."""
    if abs(offset) < OFFSET_LIMIT:
        return ()
    return (
        Check(
            name="no offset",
            measured=round(offset, 4),
            wanted=f"within {OFFSET_LIMIT:g}",
            passed=False,
            sentence=f"The sound has a constant offset of {offset:.3f}: a fault of "
            "what recorded or exported it.",
        ),
    )


def hum_checks(hum: Hum | None) -> tuple[Check, ...]:
    """Return that the mains hum all along, nothing when they do not."""
    if hum is None:
        return ()
    return (
        Check(
            name=HUM,
            measured=round(hum.level_dbfs, 1),
            wanted=f"below {HUM_DBFS:g} dBFS",
            passed=False,
            sentence=f"A hum of {hum.hz} Hz, {hum.level_dbfs:.0f} dBFS, sounds all "
            "along: a fault of what recorded or played it.",
        ),
    )


def polarity_checks(detections: Iterable[Detection]) -> tuple[Check, ...]:
    """Return that the file is upside down, which is harmless; nothing when not."""
    gains = [
        one.match.gain
        for one in detections
        if one.match is not None and one.target.is_speech
    ]
    turned = sum(gain < 0 for gain in gains)
    if not turned:
        return ()
    whole = 2 * turned > len(gains)
    return (
        Check(
            name="polarity",
            measured=float(turned),
            wanted="0 cues",
            passed=True,
            sentence=f"{'The whole file' if whole else _cues(turned)} turned upside "
            "down (its polarity), which nobody hears.",
        ),
    )


def _extra_sentence(places: Sequence[tuple[int, int]]) -> str:
    if not places:
        return "Nothing sounds where nothing is planned."
    named = ", ".join(
        precise_clock(ms_from_frames(start * POWER_STEP_FRAMES))
        for start, _ in places[:_MOST_NAMED]
    )
    more = len(places) - _MOST_NAMED
    return (
        f"Something sounds where nothing is planned: at {named}"
        f"{f' and {more} more places' if more > 0 else ''}."
    )


def _covered(detections: Iterable[Detection], steps: int) -> npt.NDArray[np.bool_]:
    """Return for each step whether a cue is planned or found on or near it."""
    covered = np.zeros(steps, np.bool_)
    for detection in detections:
        planned, frames = detection.target.planned, detection.target.frames
        places = [(planned, frames)]
        if detection.match is not None:
            places.append((detection.match.frame, frames))
        if detection.instead is not None:
            places.append((planned, detection.instead.frames))
        for start, length in places:
            first = int(start - _SURROUND_FRAMES) // POWER_STEP_FRAMES
            last = int(start + length + _SURROUND_FRAMES) // POWER_STEP_FRAMES
            covered[max(0, first) : max(0, last + 1)] = True
    return covered


def _runs(flags: npt.NDArray[np.bool_]) -> list[tuple[int, int]]:
    """Return start and end of each run of true, joined over gaps of 200 ms."""
    steps = np.flatnonzero(flags)
    if not steps.size:
        return []
    breaks = np.flatnonzero(np.diff(steps) > 10)
    starts = steps[np.concatenate([[0], breaks + 1])]
    ends = steps[np.concatenate([breaks, [steps.size - 1]])]
    return [(int(a), int(b) + 1) for a, b in zip(starts, ends, strict=True)]


def _amount(frames: int) -> str:
    if frames < SAMPLE_RATE_HZ:
        return f"{ms_from_frames(frames):.1f} ms"
    return duration(round(ms_from_frames(frames) / 100) * 100)


def _finite(value: float) -> float | None:
    return round(value, 2) if math.isfinite(value) else None
