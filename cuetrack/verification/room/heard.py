"""A sound file as the room check needs it: band powers, and a narrow copy.

One pass over the file, whatever its kind, rate and channels. Kept are the mean
squares of the 18 one-third-octave bands every 20 ms, and the sound at 8 kHz in
half precision, which holds 66 dB below whatever is loud at the time: together
80 MB for an hour.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt
import soxr
from scipy import fft
from scipy.ndimage import uniform_filter1d

from cuetrack.times import frames_from_ms

if TYPE_CHECKING:
    from collections.abc import Iterator

    from cuetrack.arrays import Samples
    from cuetrack.sound.decoding import SoundFile

HalfFloats = npt.NDArray[np.float16]
"""Mono sound at ``NARROW_HZ``, shape (frames,)."""

BandPowers = npt.NDArray[np.float32]
"""Mean squares, shape (hops, 18); hop j is centred ``j * HOP_S`` into the file."""

NARROW_HZ = 8_000
WIDE_HZ = 24_000
HOP_MS = 20
HOP_S = HOP_MS / 1000
BANDS = 18

_HOP = frames_from_ms(HOP_MS, WIDE_HZ)
_WINDOW = 1024
_BATCH = 512
_FULL_SCALE = 0.995
_FLAT_TOP = 0.999
_FLAT_RUN = 3
_HEIGHTS = 1000
_TOP_SHARE = 1e-4
_LEAST_TOP = 30
_SWING_HOPS = 5
_LEAST_SWING = 1e-12


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptSound:
    """What is kept of a sound file.

    ``peak`` is the highest absolute sample, full scale at 1; ``clipped`` counts
    samples that were cut off at the top, and ``crowding`` tells it after a lossy
    codec, too: of the samples over a third of the highest, the share in the upper
    half. Speech and music have less than a tenth there. ``rate_hz`` and
    ``channels`` are the file's own.
    """

    narrow: HalfFloats
    powers: BandPowers
    rate_hz: int
    channels: int
    peak: float
    clipped: int
    crowding: float = 0.0

    @property
    def seconds(self) -> float:
        """How long it lasts."""
        return self.narrow.size / NARROW_HZ

    @property
    def swing_db(self) -> float:
        """How far its loud moments lie over its quiet ones, a tenth of a second each.

        Talk all around swings by about 10 dB, a voice in a quiet room by 20 and more.
        """
        levels = uniform_filter1d(self.powers.sum(axis=1), _SWING_HOPS)
        quiet, loud = np.quantile(levels + _LEAST_SWING, (0.1, 0.95))
        return float(10 * np.log10(loud / quiet))


def hear(sound: SoundFile) -> KeptSound:
    """Read a whole sound file once.

    Raises
    ------
    TrackError
        When it turns out to be damaged on the way.
    """
    meter = TopMeter()
    bands = _BandPowerCurve()
    narrow: list[HalfFloats] = []
    thin = soxr.ResampleStream(WIDE_HZ, NARROW_HZ, 1, quality="MQ")
    empty = np.empty(0, np.float32)
    for block in _wide_blocks(sound, meter):
        bands.add(block)
        narrow.append(thin.resample_chunk(block).astype(np.float16))
    narrow.append(thin.resample_chunk(empty, last=True).astype(np.float16))
    return KeptSound(
        narrow=np.concatenate(narrow),
        powers=bands.powers(),
        rate_hz=sound.rate_hz,
        channels=sound.channels,
        peak=meter.peak,
        clipped=meter.clipped(),
        crowding=meter.crowding(),
    )


def _wide_blocks(sound: SoundFile, meter: TopMeter) -> Iterator[Samples]:
    """Yield the mean of all channels at ``WIDE_HZ``."""
    resampler = soxr.ResampleStream(sound.rate_hz, WIDE_HZ, 1, quality="MQ")
    for block in sound.blocks():
        meter.add(block)
        yield resampler.resample_chunk(block.mean(axis=1, dtype=np.float32))
    yield resampler.resample_chunk(np.empty(0, np.float32), last=True)


class TopMeter:
    """Looks for samples that stand at the very top in a row."""

    def __init__(self) -> None:
        self.peak = 0.0
        self._over = 0
        self._flats: list[tuple[float, int]] = []
        self._heights = np.zeros(_HEIGHTS + 1, np.int64)

    def add(self, block: npt.NDArray[np.float32]) -> None:
        """Take the next samples in, of any shape."""
        tall = np.abs(block)
        peak = float(tall.max(initial=0.0))
        self.peak = max(self.peak, peak)
        self._over += int(np.count_nonzero(tall >= _FULL_SCALE))
        near = tall >= _FLAT_TOP * peak
        runs = near[: 1 - _FLAT_RUN] & near[1:-1] & near[_FLAT_RUN - 1 :]
        self._flats.append((peak, int(np.count_nonzero(runs))))
        steps = np.minimum(tall * _HEIGHTS, _HEIGHTS).astype(np.int64).ravel()
        self._heights += np.bincount(steps, minlength=_HEIGHTS + 1)

    def clipped(self) -> int:
        """Return the samples at full scale, or in flat tops at the file's own peak."""
        level = _FLAT_TOP * self.peak
        return max(
            self._over, sum(count for peak, count in self._flats if peak >= level)
        )

    def crowding(self) -> float:
        """Return the share of the upper half among samples over a third of the top.

        The top is what one sample in ten thousand reaches.
        """
        reaching = np.cumsum(self._heights[::-1])[::-1]
        top = int(np.count_nonzero(reaching >= _TOP_SHARE * reaching[0]))
        high, third = (reaching[int(part * top)] for part in (0.7, 0.35))
        return float(high / third) if third and top > _LEAST_TOP else 0.0


class _BandPowerCurve:
    """Takes a stream at ``WIDE_HZ`` in, gives band powers every hop."""

    def __init__(self) -> None:
        self._held = np.zeros(_WINDOW // 2, np.float32)
        self._rows: list[BandPowers] = []

    def add(self, block: Samples) -> None:
        self._held = np.concatenate([self._held, block])
        hops = (self._held.size - _WINDOW) // _HOP + 1
        if hops < _BATCH:
            return
        self._take(hops)

    def powers(self) -> BandPowers:
        """Return all rows, the last windows filled up with silence."""
        left = max(self._held.size - _WINDOW // 2, 0)
        hops = left // _HOP + (left > 0)
        needed = (hops - 1) * _HOP + _WINDOW
        self._held = np.pad(self._held, (0, max(0, needed - self._held.size)))
        self._take(hops)
        return np.concatenate([np.empty((0, BANDS), np.float32), *self._rows])

    def _take(self, hops: int) -> None:
        window, weights = _window(), _band_weights()
        for start in range(0, hops, _BATCH):
            count = min(_BATCH, hops - start)
            part = self._held[start * _HOP :][: (count - 1) * _HOP + _WINDOW]
            views = np.lib.stride_tricks.sliding_window_view(part, _WINDOW)[::_HOP]
            lines = fft.rfft(views * window, axis=-1)
            squares = lines.real**2 + lines.imag**2
            row = [
                np.einsum("ij,j->i", squares[:, low : low + weight.size], weight)
                for low, weight in weights
            ]
            self._rows.append(np.stack(row, axis=1))
        self._held = self._held[hops * _HOP :]


@cache
def _window() -> Samples:
    phase = 2 * np.pi * np.arange(_WINDOW) / _WINDOW
    return (0.5 - 0.5 * np.cos(phase)).astype(np.float32)


@cache
def _band_weights() -> tuple[tuple[int, npt.NDArray[np.float32]], ...]:
    """Return first line and weights that turn squared lines into mean squares.

    Band edges by IEC 61260-1, base ten, 160 Hz to 8 kHz.
    """
    width_hz = WIDE_HZ / _WINDOW
    lines = np.arange(_WINDOW // 2 + 1)
    energy = float(np.sum(_window().astype(np.float64) ** 2))
    scale = 2 / (_WINDOW * energy)
    found = []
    for step in range(-8, 10):
        edges_hz = 1000 * 10 ** ((2 * step + np.array([-1, 1])) / 20)
        above = np.maximum((lines - 0.5) * width_hz, edges_hz[0])
        below = np.minimum((lines + 0.5) * width_hz, edges_hz[1])
        share = np.maximum(below - above, 0) / width_hz
        inside = np.flatnonzero(share)
        weights = (scale * share[inside]).astype(np.float32)
        found.append((int(inside[0]), weights))
    return tuple(found)
