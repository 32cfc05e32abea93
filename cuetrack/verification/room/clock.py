"""The clock of a recording against that of its track, to a fraction of a millisecond.

From the rough place on, the delay is measured in many short windows by
generalised cross-correlation with most of the magnitude divided away (the phase
transform of Knapp & Carter 1976, softened), so that reverberation blurs it
little. The line that most windows agree on is the clock: what disagrees, because
there was more noise than track, is left out.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cache
from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt
import soxr
from scipy import fft

from cuetrack.verification.room.alignment import MOST_DRIFT_PPM
from cuetrack.verification.room.heard import HOP_S, NARROW_HZ

if TYPE_CHECKING:
    from cuetrack.arrays import Floats
    from cuetrack.verification.room.alignment import Alignment
    from cuetrack.verification.room.heard import BandPowers, HalfFloats, KeptSound


_WINDOW_S = 2.0
_MOST_WINDOWS = 400
_SILENT_SHARE = 1e-4
_BAND_HZ = (250.0, 3600.0)
_SOFTNESS = 0.7


@dataclass(frozen=True, slots=True, kw_only=True)
class _Step:
    """How far to look for delays, and how near to a line they must lie."""

    reach_s: float
    tolerance_s: float


_WIDE = _Step(reach_s=0.3, tolerance_s=0.02)
_NEAR = _Step(reach_s=0.06, tolerance_s=0.003)
_FINE = _Step(reach_s=0.02, tolerance_s=0.0005)


@dataclass(frozen=True, slots=True, kw_only=True)
class Clock:
    """Recording time is ``start_s + rate * track time``.

    ``agreeing`` of ``windows`` measured delays lie on that line, and
    ``spread_s`` is the standard deviation of those around it. Between
    ``first_s`` and ``last_s`` of the track most agree, ``followed`` of all there,
    0..1; outside, where the track may have been paused or stopped, they do not.
    """

    start_s: float
    rate: float
    windows: int = 0
    agreeing: int = 0
    spread_s: float = 0.0
    first_s: float = 0.0
    last_s: float = 0.0
    followed: float = 0.0

    @property
    def drift_ppm(self) -> float:
        """How much faster the recorder's clock ran than the player's."""
        return (self.rate - 1) * 1e6

    @property
    def share(self) -> float:
        """The share of windows that agree, 0..1."""
        return self.agreeing / self.windows if self.windows else 0.0


def fit_clock(track: KeptSound, recording: KeptSound, rough: Alignment) -> Clock:
    """Return the clock of the recording, from its rough place on the track."""
    start = Clock(start_s=rough.start_s, rate=rough.rate)
    wide = _fitted(track, track.narrow, recording, start, _WIDE)
    return _fitted(track, track.narrow, recording, wide, _NEAR)


def refine_clock(
    track: KeptSound,
    in_room: HalfFloats,
    recording: KeptSound,
    clock: Clock,
    *,
    last: bool,
) -> Clock:
    """Return the clock measured again against the track as the room answers to it.

    Windows in which one or the other reflection was the stronger agree now. In
    the ``last`` round only what is off by less than half a millisecond counts.
    """
    return _fitted(track, in_room, recording, clock, _FINE if last else _NEAR)


def _fitted(
    track: KeptSound, known: HalfFloats, recording: KeptSound, clock: Clock, step: _Step
) -> Clock:
    """Return the clock after one round of measuring delays against ``known``."""
    timed = retimed(recording.narrow, clock.rate)
    start_s = clock.start_s / clock.rate
    times_s = _window_times(track.powers, timed.size / NARROW_HZ, start_s)
    late_s = _delays(known, timed, times_s, start_s, step.reach_s)
    found = _consensus(times_s, late_s, step)
    return replace(
        found,
        start_s=(start_s + found.start_s) * clock.rate,
        rate=clock.rate * found.rate,
    )


def retimed(narrow: HalfFloats, rate: float) -> HalfFloats:
    """Return the recording by the track's clock, still at ``NARROW_HZ``."""
    stream = soxr.ResampleStream(NARROW_HZ * rate, NARROW_HZ, 1, quality="HQ")
    step = 2**20
    parts = [
        stream.resample_chunk(narrow[at : at + step].astype(np.float32))
        for at in range(0, narrow.size, step)
    ]
    parts.append(stream.resample_chunk(np.empty(0, np.float32), last=True))
    return np.concatenate([part.astype(np.float16) for part in parts])


def _window_times(powers: BandPowers, heard_s: float, start_s: float) -> Floats:
    """Return the starts of windows of the track that sound and were recorded."""
    first_s = max(0.0, -start_s)
    last_s = min(len(powers) * HOP_S, heard_s - start_s) - _WINDOW_S
    slots = int(np.clip((last_s - first_s) / (_WINDOW_S / 2), 1, _MOST_WINDOWS))
    edges = np.linspace(first_s, last_s, slots + 1)
    hops = round(_WINDOW_S / HOP_S)
    sums = np.cumsum(powers[:, 3:15].sum(axis=1, dtype=np.float64))
    strength = sums[hops:] - sums[:-hops]
    loud = _SILENT_SHARE * strength.max(initial=0.0)
    times = []
    for low_s, high_s in pairwise(edges):
        low = int(low_s / HOP_S)
        part = strength[low : max(int(high_s / HOP_S), low + 1)]
        if part.size and part.max() > loud:
            times.append((low + int(np.argmax(part))) * HOP_S)
    return np.array(times)


def _delays(
    track: HalfFloats,
    timed: HalfFloats,
    times_s: Floats,
    start_s: float,
    reach_s: float,
) -> Floats:
    """Return how late the recording is in each window, against ``start_s``."""
    frames = round(_WINDOW_S * NARROW_HZ)
    reach = round(reach_s * NARROW_HZ)
    length = int(fft.next_fast_len(frames + 2 * reach, real=True))
    band = _band(length)
    late = np.zeros(times_s.size)
    for index, time_s in enumerate(times_s):
        at = round(time_s * NARROW_HZ)
        place = time_s * NARROW_HZ + start_s * NARROW_HZ
        first = round(place) - reach
        known = cut(track, at, frames)
        heard = cut(timed, first, frames + 2 * reach)
        cross = fft.rfft(heard, length) * np.conj(fft.rfft(known, length)) * band
        cross /= np.maximum(np.abs(cross), 1e-12 * np.abs(cross).max() + 1e-30) ** (
            _SOFTNESS
        )
        curve = np.abs(fft.irfft(cross, length)[: 2 * reach + 1])
        lag = first - (at + start_s * NARROW_HZ) + _top(curve)
        late[index] = lag / NARROW_HZ
    return late


def cut(sound: HalfFloats, first: int, frames: int) -> npt.NDArray[np.float32]:
    """Return a stretch, silence where it reaches beyond the sound."""
    inside = sound[max(0, first) : max(0, first + frames)].astype(np.float32)
    before = min(max(0, -first), frames)
    return np.pad(inside, (before, frames - before - inside.size))


def _top(curve: npt.NDArray[np.float32]) -> float:
    """Return the place of the highest value, between samples by a parabola."""
    top = int(np.clip(np.argmax(curve), 1, curve.size - 2))
    before, at, after = (float(value) for value in curve[top - 1 : top + 2])
    bend = before - 2 * at + after
    bow = 0.5 * (before - after) / bend if bend < 0 else 0.0
    return top + float(np.clip(bow, -1.0, 1.0))


@cache
def _band(length: int) -> npt.NDArray[np.float32]:
    hz = fft.rfftfreq(length, 1 / NARROW_HZ)
    rise = np.clip((hz - _BAND_HZ[0]) / 100 + 0.5, 0, 1)
    fall = np.clip((_BAND_HZ[1] - hz) / 200 + 0.5, 0, 1)
    edges: npt.NDArray[np.float32] = (rise * fall).astype(np.float32)
    return edges


def _consensus(times_s: Floats, late_s: Floats, step: _Step) -> Clock:
    """Return the line that the most delays lie on, fitted to those by least squares."""
    if not times_s.size:
        return Clock(start_s=0.0, rate=1.0)
    tolerance_s = step.tolerance_s
    middle_s = float(times_s.mean())
    away_s = times_s - middle_s
    furthest_s = max(float(np.abs(away_s).max()), 1.0)
    most = 2 * MOST_DRIFT_PPM * 1e-6
    fine = min(tolerance_s / furthest_s, most)
    slopes = np.arange(-np.ceil(most / fine), np.ceil(most / fine) + 1) * fine
    best_count, best = 0, (0.0, 0.0)
    for slope in slopes:
        rest = np.sort(late_s - slope * away_s)
        counts = np.searchsorted(rest, rest + 2 * tolerance_s, "right") - np.arange(
            rest.size
        )
        lowest = int(np.argmax(counts))
        if counts[lowest] > best_count:
            best_count, best = int(counts[lowest]), (slope, rest[lowest])
    slope, low_s = best
    rest = late_s - slope * away_s
    # Counted as above to the last bit, so that one window agrees with itself.
    agreeing = (rest >= low_s) & (rest <= low_s + 2 * tolerance_s)
    for _ in range(3):
        slope, height = _line(away_s[agreeing], late_s[agreeing], slope)
        rest = late_s - slope * away_s - height
        agreeing = np.abs(rest) <= tolerance_s
    first, last = _followed(agreeing)
    return Clock(
        start_s=height - slope * middle_s,
        rate=1 + slope,
        windows=times_s.size,
        agreeing=int(np.count_nonzero(agreeing)),
        spread_s=float(np.std(rest[agreeing])),
        first_s=float(times_s[first]),
        last_s=float(times_s[last - 1] + _WINDOW_S),
        followed=float(np.mean(agreeing[first:last])),
    )


def _followed(agreeing: npt.NDArray[np.bool_]) -> tuple[int, int]:
    """Return the stretch in which agreeing windows most outnumber the others."""
    sums = np.concatenate([[0], np.cumsum(np.where(agreeing, 1, -1))])
    lowest = np.minimum.accumulate(sums)
    last = int(np.argmax(sums - lowest))
    first = int(np.argmin(sums[: last + 1]))
    return first, last


def _line(away_s: Floats, late_s: Floats, slope: float) -> tuple[float, float]:
    """Return slope and height of the least-squares line; the old slope for a point."""
    centre = away_s.mean()
    spread = float(np.sum((away_s - centre) ** 2))
    if spread > 1:
        slope = float(np.sum((away_s - centre) * late_s) / spread)
    return slope, float(late_s.mean() - slope * centre)
