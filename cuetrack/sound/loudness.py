"""How loud sound is: ITU-R BS.1770 and EBU R 128, block by block.

``Meter`` is the yardstick of every report: it asks libebur128 for loudness and
oversamples for the true peak. ``SubblockMeter`` gives what no library does, the
K-weighted power of each 100 ms on the gating grid, so that a change to a few of
them need not be measured by going through the whole track again.

Loudness is in LUFS with each channel weighted 1: a mono file is one channel,
and reads 3.01 LU lower than the same voice on both channels of a stereo file.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt
import soxr
from pyebur128 import (
    MeasurementMode,
    R128State,
    get_loudness_global,
    get_loudness_range,
)
from scipy.signal import sosfilt

from cuetrack.sound.blocks import fixed_blocks
from cuetrack.speech.level import K_WEIGHTING
from cuetrack.times import SAMPLE_RATE_HZ

if TYPE_CHECKING:
    from collections.abc import Iterable

    from cuetrack.sound.blocks import Block

SILENCE_LUFS = -math.inf
"""What is said of sound in which nothing passes the absolute gate."""

ABSOLUTE_GATE_LUFS = -70.0  # ITU-R BS.1770-4, annex 1
RELATIVE_GATE_LU = -10.0  # ITU-R BS.1770-4, annex 1
LOUDNESS_OFFSET = -0.691  # ITU-R BS.1770-4, equation 2
SUBBLOCK_FRAMES = SAMPLE_RATE_HZ // 10
"""100 ms: the step of the gating blocks, which are four of these long."""

_RUN_SUBBLOCKS = 40
_OVERSAMPLING = 4  # ITU-R BS.1770-4, annex 2, for 48 kHz
_PAGE_FRAMES = 24_000
_EDGE_FRAMES = 480
_HIDDEN_PEAK = 2.0  # between its samples a sound may stand twice as high


@dataclass(frozen=True, slots=True, kw_only=True)
class TrackLevels:
    """What a meter says of a whole track.

    ``integrated_lufs`` and ``true_peak_dbtp`` are minus infinity in silence.
    """

    integrated_lufs: float
    range_lu: float
    true_peak_dbtp: float
    sample_peak_dbfs: float


def db(ratio: float) -> float:
    """Return an amplitude ratio in decibels; minus infinity for nothing.

    >>> db(10.0)
    20.0
    """
    return 20 * math.log10(ratio) if ratio > 0 else -math.inf


def ratio(decibels: float) -> float:
    """Return decibels as an amplitude ratio.

    >>> ratio(20.0)
    10.0
    """
    return float(10.0 ** (decibels / 20))


class Meter:
    """Measures a stream of blocks, in constant memory.

    Parameters
    ----------
    channels
        Number of channels, in the order left, right.
    rate_hz
        Frames a second.
    """

    def __init__(self, channels: int, rate_hz: int = SAMPLE_RATE_HZ) -> None:
        self._state = R128State(
            channels, rate_hz, MeasurementMode.MODE_I | MeasurementMode.MODE_LRA
        )
        self._peaks = _PeakFinder(channels, rate_hz)
        self._heard = False

    def add(self, block: Block) -> None:
        """Take in one block, shape (frames, channels)."""
        interleaved = np.ascontiguousarray(block, dtype=np.float32)
        self._state.add_frames(interleaved.reshape(-1), len(interleaved))
        self._peaks.add(interleaved)
        self._heard = self._heard or len(interleaved) > 0

    def levels(self) -> TrackLevels:
        """Return the levels of everything taken in so far."""
        true_peak, sample_peak = self._peaks.result()
        loudness = get_loudness_global(self._state) if self._heard else SILENCE_LUFS
        loud_enough = loudness > ABSOLUTE_GATE_LUFS
        return TrackLevels(
            integrated_lufs=loudness if loud_enough else SILENCE_LUFS,
            range_lu=get_loudness_range(self._state) if loud_enough else 0.0,
            true_peak_dbtp=db(true_peak),
            sample_peak_dbfs=db(sample_peak),
        )


def measure(
    blocks: Iterable[Block], channels: int, rate_hz: int = SAMPLE_RATE_HZ
) -> TrackLevels:
    """Return the levels of all ``blocks`` together.

    Parameters
    ----------
    blocks
        Float samples, each of shape (frames, channels).
    channels, rate_hz
        The shape of the sound.
    """
    meter = Meter(channels, rate_hz)
    for block in blocks:
        meter.add(block)
    return meter.levels()


class _PeakFinder:
    """The true peak, oversampling only where it could still rise."""

    def __init__(self, channels: int, rate_hz: int) -> None:
        self._rate_hz = rate_hz
        self._before = np.zeros((_EDGE_FRAMES, channels), np.float32)
        self._waiting: list[Block] = []
        self._waiting_frames = 0
        self._true_peak = 0.0
        self._sample_peak = 0.0

    def add(self, block: Block) -> None:
        self._waiting.append(block)
        self._waiting_frames += len(block)
        if self._waiting_frames >= _PAGE_FRAMES + _EDGE_FRAMES:
            self._work(last=False)

    def result(self) -> tuple[float, float]:
        self._work(last=True)
        return self._true_peak, self._sample_peak

    def _work(self, *, last: bool) -> None:
        sound = np.concatenate([self._before, *self._waiting])
        if last:
            sound = np.pad(sound, ((0, _EDGE_FRAMES), (0, 0)))
        start = 0
        while True:
            inside = min(_PAGE_FRAMES, len(sound) - start - 2 * _EDGE_FRAMES)
            if inside <= 0 or (inside < _PAGE_FRAMES and not last):
                break
            self._look(sound[start : start + inside + 2 * _EDGE_FRAMES])
            start += inside
        keep = sound[start : len(sound) - _EDGE_FRAMES] if last else sound[start:]
        self._before, rest = keep[:_EDGE_FRAMES], keep[_EDGE_FRAMES:]
        self._waiting, self._waiting_frames = [rest], len(rest)

    def _look(self, page: Block) -> None:
        inner = page[_EDGE_FRAMES:-_EDGE_FRAMES]
        highest = max(float(inner.max()), -float(inner.min()))
        self._sample_peak = max(self._sample_peak, highest)
        if highest == 0 or highest * _HIDDEN_PEAK <= self._true_peak:
            return
        fine = soxr.resample(page, self._rate_hz, self._rate_hz * _OVERSAMPLING)
        fine = fine[_EDGE_FRAMES * _OVERSAMPLING : -_EDGE_FRAMES * _OVERSAMPLING]
        between = max(float(fine.max()), -float(fine.min()))
        self._true_peak = max(self._true_peak, highest, between)


class SubblockMeter:
    """K-weighted power of each 100 ms of 48 kHz sound, all channels summed.

    Subblocks are given by their place. Those left out have no power, and after a
    gap the filter starts at rest.
    """

    def __init__(self, channels: int) -> None:
        self._at_rest = np.zeros((len(K_WEIGHTING), channels, 2))
        self._state = self._at_rest
        self._run: list[Block] = []
        self._run_index = 0
        self._runs: list[tuple[int, npt.NDArray[np.float64]]] = []

    def add(self, index: int, subblock: Block) -> None:
        """Take in the 100 ms at ``index``, shape (4800, channels); indices rise.

        A shorter one is dropped: ITU-R BS.1770-4 does not use a gating block that
        is not complete.
        """
        if len(subblock) < SUBBLOCK_FRAMES:
            return
        if index != self._run_index + len(self._run):
            self._filter_run()
            self._state, self._run_index = self._at_rest, index
        self._run.append(subblock)
        if len(self._run) == _RUN_SUBBLOCKS:
            self._filter_run()

    def write_powers(self, powers: npt.NDArray[np.float64]) -> None:
        """Put the mean square of each subblock given so far in its place."""
        self._filter_run()
        for index, run in self._runs:
            powers[index : index + len(run)] = run

    def _filter_run(self) -> None:
        """Weight what waits in one call, which costs less than one for each."""
        if not self._run:
            return
        run = np.concatenate(self._run).T.copy()  # channels by frames: faster
        weighted, self._state = sosfilt(K_WEIGHTING, run, zi=self._state)
        rows = weighted.reshape(len(run), len(self._run), SUBBLOCK_FRAMES)
        powers = np.einsum("cij,cij->i", rows, rows) / SUBBLOCK_FRAMES
        self._runs.append((self._run_index, powers))
        self._run_index += len(self._run)
        self._run = []


@dataclass(frozen=True, slots=True, eq=False)
class Subblocks:
    """A track in steps of 100 ms; what is left over at its end is not in.

    ``powers`` are K-weighted mean squares, channels summed; ``peaks`` the highest
    amplitude of any sample. Both of shape (n,).
    """

    powers: npt.NDArray[np.float64]
    peaks: npt.NDArray[np.float64]

    @property
    def highest(self) -> float:
        """The highest amplitude of any sample; 0 of nothing."""
        return float(self.peaks.max(initial=0.0))


def read_subblocks(blocks: Iterable[Block], channels: int) -> Subblocks:
    """Return the power and peak of each 100 ms of a 48 kHz track.

    Digital silence is not filtered but for the first 100 ms after sound, in which
    the filter rings out: its slowest part, two poles near 38 Hz, is then down by
    about 180 dB.
    """
    meter = SubblockMeter(channels)
    all_peaks = [np.zeros(0)]
    ringing = False
    index = 0
    for run in fixed_blocks(blocks, _RUN_SUBBLOCKS * SUBBLOCK_FRAMES):
        count = len(run) // SUBBLOCK_FRAMES
        whole = run[: count * SUBBLOCK_FRAMES].reshape(count, SUBBLOCK_FRAMES, -1)
        peaks = np.maximum(whole.max(axis=(1, 2)), -whole.min(axis=(1, 2)))
        for subblock, sounding in zip(whole, peaks > 0, strict=True):
            if sounding or ringing:
                meter.add(index, subblock)
            ringing = bool(sounding)
            index += 1
        all_peaks.append(peaks.astype(np.float64))
    powers = np.zeros(index)
    meter.write_powers(powers)
    return Subblocks(powers, np.concatenate(all_peaks))


def gated_lufs(powers: npt.NDArray[np.float64]) -> float:
    """Return the integrated loudness of a track from its 100 ms powers.

    ITU-R BS.1770-4, equations 3 to 7: blocks of 400 ms every 100 ms, those above
    -70 LUFS, then those above their own mean less 10 LU.

    Parameters
    ----------
    powers
        K-weighted mean square of each 100 ms, channels summed, shape (n,).
    """
    if len(powers) < 4:
        return SILENCE_LUFS
    running = np.concatenate([[0.0], np.cumsum(powers)])
    gating = np.maximum(running[4:] - running[:-4], 0.0) / 4
    gating = gating[gating > _power_of(ABSOLUTE_GATE_LUFS)]
    if not len(gating):
        return SILENCE_LUFS
    threshold = _power_of(_lufs_of(float(gating.mean())) + RELATIVE_GATE_LU)
    return _lufs_of(float(gating[gating > threshold].mean()))


def _lufs_of(power: float) -> float:
    return LOUDNESS_OFFSET + 10 * math.log10(power)


def _power_of(lufs: float) -> float:
    return float(10.0 ** ((lufs - LOUDNESS_OFFSET) / 10))
