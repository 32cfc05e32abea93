"""Drums: skins as a few partials that drop in pitch, the rest as shaped noise.

Each has several takes, so that no stroke is the exact copy of the one before.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from scipy.signal import butter, sosfilt

from cuetrack.sound.composing.instruments import faded
from cuetrack.sound.loudness import ratio
from cuetrack.times import SAMPLE_RATE_HZ, frames_from_ms

if TYPE_CHECKING:
    from cuetrack.arrays import Samples

TAKES = 4


@dataclass(frozen=True, slots=True, kw_only=True)
class Drum:
    """A drum: a skin, a noise, or both.

    ``skin`` holds (Hz, level in dB, seconds to fall to a third); it starts ``bend``
    times as high and settles within ``bend_ms``. ``noise`` is a band in Hz that falls
    to a third within ``noise_ms``, after swelling for ``swell_ms``, ``strikes`` times
    in quick succession.
    """

    level_db: float
    skin: tuple[tuple[float, float, float], ...] = ()
    bend: float = 1.0
    bend_ms: float = 20.0
    noise: tuple[float, float] | None = None
    noise_db: float = 0.0
    noise_ms: float = 30.0
    swell_ms: float = 0.0
    strikes: int = 1
    attack_ms: float = 1.0
    seconds: float = 0.4


DRUMS = {
    "kick": Drum(
        level_db=-5,
        skin=((60, 0, 0.1), (120, -11, 0.05)),
        bend=2.2,
        bend_ms=14,
        noise=(150, 900),
        noise_db=-24,
        noise_ms=6,
        attack_ms=2,
    ),
    "low drum": Drum(
        level_db=-8,
        skin=((98, 0, 0.12), (156, -9, 0.07), (210, -15, 0.05)),
        bend=1.12,
        noise=(200, 900),
        noise_db=-22,
        noise_ms=8,
        seconds=0.6,
    ),
    "high drum": Drum(
        level_db=-12,
        skin=((182, 0, 0.07), (290, -8, 0.05), (390, -14, 0.03)),
        bend=1.08,
        noise=(300, 1200),
        noise_db=-20,
        noise_ms=7,
    ),
    "brush": Drum(
        level_db=-17,
        skin=((185, -10, 0.05),),
        noise=(3200, 9500),
        noise_ms=45,
        swell_ms=6,
    ),
    "rim": Drum(
        level_db=-20,
        skin=((420, 0, 0.012), (1700, -10, 0.006)),
        noise=(3000, 9000),
        noise_db=-14,
        noise_ms=5,
        seconds=0.15,
    ),
    "clap": Drum(
        level_db=-17, noise=(3000, 8500), noise_ms=38, strikes=3, seconds=0.35
    ),
    "hat": Drum(level_db=-25, noise=(7000, 14_000), noise_ms=22, seconds=0.2),
    "shaker": Drum(
        level_db=-24, noise=(5200, 12_000), noise_ms=24, swell_ms=14, seconds=0.2
    ),
}
"""Every drum that a groove may name."""

_STRIKE_MS = 11
_OUT_MS = 20


def drum_sound(voice: str, take: int, strength: float) -> Samples:
    """Return a stroke on a drum, shape (frames,)."""
    drum = DRUMS[voice]
    rng = np.random.default_rng([take, *voice.encode()])
    frames = round(drum.seconds * SAMPLE_RATE_HZ)
    clock = np.arange(frames) / SAMPLE_RATE_HZ
    sound = np.zeros(frames)
    off = 1 + 0.012 * rng.uniform(-1, 1)
    for skin_hz, level_db, seconds in drum.skin:
        settle = drum.bend_ms / 1000
        bent = (drum.bend - 1) * settle * (1 - np.exp(-clock / settle))
        turns = skin_hz * off * (clock + bent)
        sound += ratio(level_db) * np.sin(2 * np.pi * turns) * np.exp(-clock / seconds)
    if drum.noise is not None:
        sound += ratio(drum.noise_db) * _noise(drum, clock, rng)
    level = ratio(drum.level_db + 4 * math.log2(max(strength, 0.1)))
    return faded(
        (level * sound).astype(np.float32), drum.attack_ms, frames_from_ms(_OUT_MS)
    )


def _noise(
    drum: Drum,
    clock: np.ndarray[tuple[int], np.dtype[np.float64]],
    rng: np.random.Generator,
) -> np.ndarray[tuple[int], np.dtype[np.float64]]:
    """Return noise in the drum's band, its strokes at 1 or so."""
    raw = rng.standard_normal(len(clock))
    band = butter(2, drum.noise, "bandpass", output="sos", fs=SAMPLE_RATE_HZ)
    shaped = sosfilt(band, raw)
    shaped /= np.sqrt(np.mean(shaped**2)) * 2
    envelope = np.zeros(len(clock))
    for strike in range(drum.strikes):
        start = strike * _STRIKE_MS / 1000
        since = np.maximum(clock - start, 0)
        dying = np.exp(-since / (drum.noise_ms / 1000))
        if strike < drum.strikes - 1:
            dying = np.exp(-since / 0.004)
        rising = 1 - np.exp(-since / (max(drum.swell_ms, 0.3) / 1000))
        envelope = np.maximum(envelope, np.where(clock >= start, dying * rising, 0))
    found: np.ndarray[tuple[int], np.dtype[np.float64]] = shaped * envelope
    return found
