"""Hum of the mains: a line at 50 or 60 Hz, or twice that, that never changes.

Music has no such line. Both frequencies lie a third of a semitone beside the notes
tuned to 440 Hz, and no bass sounds all along at one level.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from scipy import fft

from cuetrack.times import SAMPLE_RATE_HZ
from cuetrack.verification.limits import HUM_CLEAR_DB, HUM_DBFS, HUM_SWING_DB

if TYPE_CHECKING:
    from cuetrack.arrays import Floats, Samples

LINES_HZ = (50, 60, 100, 120)
_THINNING = 64
_RATE_HZ = SAMPLE_RATE_HZ // _THINNING
_WINDOW_S = 4
_WINDOW = _WINDOW_S * _RATE_HZ
_FEWEST_WINDOWS = 5
_NEARLY_ALL = 0.1
"""Of the windows, what in this share is weaker does not count."""

_BESIDE_HZ = (1.0, 3.0)
_LEAST = 1e-12


@dataclass(frozen=True, slots=True, kw_only=True)
class Hum:
    """A line of the mains, its level as a mean square in dB of full scale."""

    hz: int
    level_dbfs: float


class HumMeter:
    """Keeps the lowest 375 Hz of a stream: 750 numbers a second."""

    def __init__(self) -> None:
        self._rest = np.empty(0, np.float32)
        self._low: list[Samples] = []

    def add(self, block: Samples) -> None:
        """Take in the next block, mono at 48 kHz, shape (frames,)."""
        sound = np.concatenate([self._rest, block])
        steps = sound.size // _THINNING
        whole = sound[: steps * _THINNING].reshape(steps, _THINNING)
        self._low.append(whole.mean(axis=1))
        self._rest = sound[steps * _THINNING :]

    def hum(self) -> Hum | None:
        """Return the loudest hum that is there all along, None where none is."""
        low = np.concatenate([np.empty(0, np.float32), *self._low])
        if low.size < (_FEWEST_WINDOWS + 1) * _WINDOW // 2:
            return None
        lines = _lines(low)
        hums = [_hum_at(lines, hz) for hz in LINES_HZ]
        return max(
            (hum for hum in hums if hum is not None),
            key=lambda hum: hum.level_dbfs,
            default=None,
        )


def _lines(low: Samples) -> Floats:
    """Return the amplitude of each line in windows of 4 s, shape (windows, lines)."""
    hann = np.hanning(_WINDOW + 1)[:_WINDOW]
    views = np.lib.stride_tricks.sliding_window_view(low, _WINDOW)[:: _WINDOW // 2]
    amplitudes: Floats = 2 * np.abs(fft.rfft(views * hann)) / hann.sum()
    return amplitudes


def _hum_at(lines: Floats, hz: int) -> Hum | None:
    at = hz * _WINDOW_S
    peaks = lines[:, at - 1 : at + 2].max(axis=1)
    near, far = (round(apart * _WINDOW_S) for apart in _BESIDE_HZ)
    beside = np.concatenate(
        [lines[:, at - far : at - near + 1], lines[:, at + near : at + far + 1]], axis=1
    )
    clear = 20 * np.log10((peaks + _LEAST) / (np.median(beside, axis=1) + _LEAST))
    weak, strong = np.quantile(peaks, (_NEARLY_ALL, 1 - _NEARLY_ALL)) + _LEAST
    level_dbfs = 20 * math.log10(float(np.median(peaks)) / math.sqrt(2) + _LEAST)
    stands = np.quantile(clear, _NEARLY_ALL) >= HUM_CLEAR_DB
    steady = 20 * math.log10(strong / weak) <= HUM_SWING_DB
    if not (stands and steady and level_dbfs >= HUM_DBFS):
        return None
    return Hum(hz=hz, level_dbfs=level_dbfs)
