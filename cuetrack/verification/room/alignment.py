"""Where a recording lies on its track: roughly, by how the bands rise and fall.

The recording may begin before the track or in the midst of it, and its clock
may run at another speed. The logarithms of six band levels, cleared of slow
changes, are correlated for every speed that makes a difference.
"""

from __future__ import annotations

from dataclasses import dataclass
from operator import attrgetter
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt
from scipy import fft
from scipy.ndimage import uniform_filter1d

from cuetrack.verification.room.heard import HOP_S

if TYPE_CHECKING:
    from cuetrack.verification.room.heard import BandPowers

MOST_DRIFT_PPM = 300.0
"""Clocks of phones and players stay within 100 ppm each (common practice)."""

LEAST_OVERLAP_S = 10.0
RIVAL_SHARE = 0.9
"""Another place this near to the best may be the right one."""

_GROUPS = 6
_SLOW_HOPS = 75
_CLIP = 3.0
_SMEAR_HOPS = 2.0
_APART_HOPS = 50

LevelCurve = npt.NDArray[np.float32]


@dataclass(frozen=True, slots=True, kw_only=True)
class Alignment:
    """``start_s`` of the recording is the first frame of the track; may be negative.

    Recording time is ``start_s + rate * track time``. ``score`` is the height of
    the peak over all other lags, in their standard deviations; ``rival`` the
    height of the next place against it, 0..1.
    """

    start_s: float
    rate: float
    score: float
    rival: float


def align(track: BandPowers, recording: BandPowers) -> Alignment:
    """Return the place and speed at which the recording follows the track best."""
    known, heard = _shape_of(track), _shape_of(recording)
    length = int(fft.next_fast_len(known.shape[1] + heard.shape[1], real=True))
    against = np.conj(fft.rfft(known, length))
    least = LEAST_OVERLAP_S / HOP_S
    lags = np.arange(-known.shape[1] + int(least), heard.shape[1] - int(least))

    def at_rate(rate: float) -> Alignment:
        spectrum = fft.rfft(_retimed(heard, rate), length) * against
        curve = fft.irfft(spectrum.sum(axis=0), length)[lags]
        return _peak(curve, lags, rate)

    rates = map(float, _rates(min(known.shape[1], heard.shape[1])))
    return max(map(at_rate, rates), key=attrgetter("score"))


def _peak(curve: LevelCurve, lags: npt.NDArray[np.int64], rate: float) -> Alignment:
    spread = 1.4826 * float(np.median(np.abs(curve - np.median(curve)))) or 1.0
    top = int(np.argmax(curve))
    away = np.abs(np.arange(curve.size) - top) > _APART_HOPS
    height = float(curve[top])
    rival = float(curve[away].max(initial=0.0)) / height if height > 0 else 1.0
    return Alignment(
        start_s=float(lags[top]) * HOP_S * rate,
        rate=rate,
        score=(height - float(np.median(curve))) / spread,
        rival=max(0.0, rival),
    )


def _rates(hops: int) -> npt.NDArray[np.float64]:
    """Return the speeds to try: so close that no peak is smeared by 40 ms."""
    step = 2 * _SMEAR_HOPS / max(hops, 1)
    count = int(np.ceil(MOST_DRIFT_PPM * 1e-6 / step))
    return 1 + step * np.arange(-count, count + 1, dtype=np.float64)


def _retimed(shape: LevelCurve, rate: float) -> LevelCurve:
    """Return the recording's curves by the track's clock."""
    places = np.arange(int(shape.shape[1] / rate)) * rate
    below = np.minimum(places.astype(np.int64), shape.shape[1] - 2)
    part = (places - below).astype(np.float32)
    timed: LevelCurve = shape[:, below] * (1 - part) + shape[:, below + 1] * part
    return timed


def _shape_of(powers: BandPowers) -> LevelCurve:
    """Return how the level of each group of bands moves, shape (groups, hops)."""
    groups = powers.reshape(len(powers), _GROUPS, -1).sum(axis=2).T
    floor = 1e-3 * groups.mean(axis=1, keepdims=True) + 1e-14
    levels = np.log(groups + floor).astype(np.float32)
    moving = levels - uniform_filter1d(levels, _SLOW_HOPS, axis=1)
    spread = moving.std(axis=1, keepdims=True)
    shape: LevelCurve = np.clip(moving / np.maximum(spread, 1e-6), -_CLIP, _CLIP)
    return shape
