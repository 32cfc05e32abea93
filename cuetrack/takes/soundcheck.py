"""Whether a take is good enough to become a voice, before anybody reads for an hour.

Nothing can take a room, a hum or a cut-off peak out of a recording again without
harm to the voice: what is not good enough is read again, in a better place.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

import numpy as np
from scipy.signal import welch

from cuetrack.takes.activity import (
    HOP,
    HOP_MS,
    level_curve,
    loudness_of,
    sound_stretches,
)
from cuetrack.times import SAMPLE_RATE_HZ

if TYPE_CHECKING:
    from collections.abc import Sequence

    from cuetrack.arrays import Floats, Samples
    from cuetrack.takes.activity import Loudness, SoundStretch
    from cuetrack.takes.take import Take

LEAST_SPEECH_S: Final = 5.0
"""In which the figures of a place can be measured."""
LEAST_OF_A_LINE_S: Final = 0.3
"""As short as a take of a single line may be, once the place is known to be good."""
LEAST_NOISE_DB: Final = 30.0
"""Speech over the quiet of the place. Audio books ask for a floor near 40 dB below
(common practice); the music of a class hides more than that."""
LEAST_HUM_DB: Final = 35.0
LEAST_CLARITY_DB: Final = 12.0
GOOD_CLARITY_DB: Final = 15.0
"""Early over late energy, parted at 50 ms (the C50 of ISO 3382-1). Rooms for speech
have some 3 dB at a distance; a voice that will sound in another room needs far more
(the figures are of our own trials in simulated rooms)."""
FAINTEST_DBFS: Final = -50.0
MOST_CHANGE_DB: Final = 6.0
MOST_CLIPPED: Final = 50
CROWDED: Final = 0.2
"""As the check of a room has it: speech and music have less than a tenth there."""
LEAST_BAND_HZ: Final = 5000.0

_ECHO_BAND_HZ = (400.0, 4000.0)
_LATER_MS = (50, 70)
_LOUD_UNDER_TOP_DB = 10.0
_STEEP_SHARE = 97
_MAINS_HZ = (50.0, 60.0)
_HARMONICS = (1, 2, 3, 4, 5, 6, 7)
_HUM_FROM_HZ = 80.0
_LINE_S = 0.5
_LINE_FRAMES = round(_LINE_S * SAMPLE_RATE_HZ)
_LINE_OVER_DB = 8.0
_SETTLE_MS = 250
_BAND_EDGE_DB = 55.0
_CHANGE_S = 4


@dataclass(frozen=True, slots=True, kw_only=True)
class TakeFigures:
    """What is measured of a take; levels in dB.

    ``level_dbfs`` is that of speech, ``noise_db`` and ``hum_db`` how far below it the
    quiet of the place and the hum of the mains are; ``clarity_db`` estimates the C50
    of ISO 3382-1 from the steepest falls, ``change_db`` is how far the level moves in
    the course of the take, ``band_hz`` where its treble ends.
    """

    speech_s: float
    level_dbfs: float
    noise_db: float
    hum_db: float
    hum_hz: float
    clarity_db: float
    change_db: float
    band_hz: float
    clipped: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class SoundVerdict:
    """Whether a take can be used, and what to do; the gravest comes first.

    ``faults`` are reasons to read it again, ``hints`` what could be better.
    """

    name: str
    faults: tuple[str, ...]
    hints: tuple[str, ...]
    figures: TakeFigures

    @property
    def usable(self) -> bool:
        """Whether nothing speaks against it."""
        return not self.faults


def checked_sound(take: Take, least_speech_s: float = LEAST_SPEECH_S) -> SoundVerdict:
    """Return whether the sound of a take is good enough, and what to change."""
    figures = figures_of(take)
    faults, hints = _faults(figures, least_speech_s), _hints(figures)
    return SoundVerdict(
        name=take.name, faults=tuple(faults), hints=tuple(hints), figures=figures
    )


def figures_of(take: Take) -> TakeFigures:
    """Return what is measured of a take."""
    loudness = loudness_of(take.samples)
    stretches = sound_stretches(loudness)
    speech = _inside(stretches, loudness.levels.size)
    levels = 10 ** (loudness.levels / 10)
    voiced = levels[speech]
    level = 10 * np.log10(voiced.mean()) if voiced.size else -140.0
    gaps = quiet_gaps(stretches, take.samples.size)
    quiet = np.median(loudness.quiet) if loudness.quiet.size else -140.0
    hum_hz, hum_dbfs = hum_of(take.samples, gaps)
    return TakeFigures(
        speech_s=float(voiced.size * HOP_MS / 1000),
        level_dbfs=float(level),
        noise_db=float(level - quiet),
        hum_db=float(level - hum_dbfs),
        hum_hz=hum_hz,
        clarity_db=clarity_of(take.samples),
        change_db=_change_db(loudness, speech),
        band_hz=_band_hz(take.samples, stretches),
        clipped=take.clipped > MOST_CLIPPED or take.crowding > CROWDED,
    )


def clarity_of(samples: Samples) -> float:
    """Return an estimate of C50, dB, from how steeply the sound ever falls.

    When a steady sound stops, what is left 50 ms later is the late answer of the
    room. Speech itself stops that fast at some of its ends: the steepest falls from
    a loud moment tell the room, the others the speaker.
    Above 20 dB or so the speaker hides the room.
    """
    levels = level_curve(samples, _ECHO_BAND_HZ)
    first, last = (ms // HOP_MS for ms in _LATER_MS)
    if levels.size <= 2 * last:
        return 0.0
    powers = np.convolve(10 ** (levels / 10), [0.5, 0.5], "same")
    levels = 10 * np.log10(powers)
    later = np.lib.stride_tricks.sliding_window_view(levels[first:], last - first + 1)
    here = levels[: len(later)]
    loud = here > np.percentile(levels, 95) - _LOUD_UNDER_TOP_DB
    return float(np.percentile((here - later.max(axis=1))[loud], _STEEP_SHARE))


def quiet_gaps(stretches: Sequence[SoundStretch], frames: int) -> list[tuple[int, int]]:
    """Return where nothing sounds for half a second and more, tails left out."""
    settle = _SETTLE_MS * SAMPLE_RATE_HZ // 1000
    ends = [0, *(one.end + settle for one in stretches)]
    starts = [*(one.start for one in stretches), frames]
    pairs = zip(ends, starts, strict=True)
    return [(end, start) for end, start in pairs if start - end >= _LINE_FRAMES]


def hum_of(samples: Samples, gaps: Sequence[tuple[int, int]]) -> tuple[float, float]:
    """Return the mains frequency that hums and its level from 80 Hz on, dBFS.

    The level is that of the lines which stand well over what is beside them in the
    spectrum of the gaps; -140 where there are none.
    """
    if not gaps:
        return _MAINS_HZ[0], -140.0
    spectra = [
        welch(np.asarray(samples[a:b], float), SAMPLE_RATE_HZ, nperseg=_LINE_FRAMES)[1]
        for a, b in gaps
    ]
    density = np.median(spectra, axis=0)
    found = [(_lines_power(density, hz), hz) for hz in _MAINS_HZ]
    power, hz = max(found)
    return hz, float(10 * np.log10(power + 1e-14))


def _lines_power(density: Floats, mains_hz: float) -> float:
    """Return the power of the harmonics, mean squares, above what is around them."""
    step_hz, power = 1 / _LINE_S, 0.0
    for harmonic in _HARMONICS:
        hz = harmonic * mains_hz
        if hz < _HUM_FROM_HZ:
            continue
        line = round(hz / step_hz)
        beside = np.concatenate(
            [density[line - 8 : line - 3], density[line + 4 : line + 9]]
        )
        floor = float(np.median(beside))
        top = density[line - 2 : line + 3]
        if float(top.max()) > floor * 10 ** (_LINE_OVER_DB / 10):
            power += float(np.sum(top - floor)) * step_hz
    return power


def _inside(stretches: Sequence[SoundStretch], hops: int) -> Floats:
    inside = np.zeros(hops, bool)
    for one in stretches:
        inside[one.start // HOP : one.end // HOP] = True
    return inside


def _change_db(loudness: Loudness, speech: Floats) -> float:
    """Return how far the level of four seconds' speech moves, the odd one left out."""
    hops = _CHANGE_S * 1000 // HOP_MS
    voiced = 10 ** (loudness.levels[speech] / 10)
    parts = voiced[: voiced.size // hops * hops].reshape(-1, hops).mean(axis=1)
    if len(parts) < 2:
        return 0.0
    low, high = np.percentile(10 * np.log10(parts), (10, 90))
    return float(high - low)


def _band_hz(samples: Samples, stretches: Sequence[SoundStretch]) -> float:
    """Return where the treble of speech ends: the last tenth of a millionth."""
    spectra = [
        welch(np.asarray(samples[one.start : one.end], float), nperseg=1024)[1]
        for one in stretches
        if one.frames >= 1024
    ]
    if not spectra:
        return 0.0
    density = np.max(spectra, axis=0)
    heard = np.flatnonzero(density > density.max() * 10 ** (-_BAND_EDGE_DB / 10))
    return float(heard[-1] * SAMPLE_RATE_HZ / 1024)


def _faults(figures: TakeFigures, least_speech_s: float) -> list[str]:
    if figures.speech_s < least_speech_s:
        told = f"Too little speech: {figures.speech_s:.0f} s were found. Read aloud "
        return [f"{told}for half a minute, close to the phone."]
    faults = []
    if figures.clipped:
        faults.append(
            "Too loud: the peaks are cut off. Hold the phone a hand farther away, "
            "or beside your mouth."
        )
    if figures.clarity_db < LEAST_CLARITY_DB:
        faults.append(
            "Too much echo: closer to the phone, a hand's length, or into a room with "
            "curtains and cushions."
        )
    if figures.hum_db < LEAST_HUM_DB:
        faults.append(
            f"Too much hum of the mains ({figures.hum_hz:.0f} Hz): take the phone off "
            "its charger, and away from fridge and lamps."
        )
    elif figures.noise_db < LEAST_NOISE_DB:
        faults.append(
            "Too much noise: close the windows, turn off fans and music, and come "
            "closer to the phone."
        )
    if figures.level_dbfs < FAINTEST_DBFS:
        faults.append("Too faint: closer to the phone, a hand's length.")
    if figures.band_hz < LEAST_BAND_HZ:
        faults.append(
            f"No treble over {figures.band_hz / 1000:.1f} kHz, as in a telephone call: "
            "record in the phone's own recorder, without a headset."
        )
    return faults


def _hints(figures: TakeFigures) -> list[str]:
    hints = []
    if LEAST_CLARITY_DB <= figures.clarity_db < GOOD_CLARITY_DB:
        hints.append("Some echo: closer to the phone would be better.")
    if figures.change_db > MOST_CHANGE_DB:
        hints.append(
            f"The level changes by {figures.change_db:.0f} dB: keep the phone at the "
            "same distance, on a table."
        )
    return hints
