"""How loud sound is: ITU-R BS.1770 and EBU R 128, block by block.

All of it stands on the K-weighted power of each 100 ms, the gating grid. ``Meter``
is the yardstick of every report: it adds the range and, oversampling, the true
peak. ``SubblockMeter`` is told which 100 ms it hears, so that a change to a few of
them need not be measured by going through the whole track again.

Loudness is in LUFS with each channel weighted 1: a mono file is one channel,
and reads 3.01 LU lower than the same voice on both channels of a stereo file.
"""

from __future__ import annotations

import math
from array import array
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt
import soxr
from scipy.signal import sosfilt

from cuetrack.sound.blocks import fixed_blocks
from cuetrack.speech.level import K_WEIGHTING
from cuetrack.times import SAMPLE_RATE_HZ

if TYPE_CHECKING:
    from collections.abc import Iterable

    from cuetrack.arrays import Block

SILENCE_LUFS = -math.inf
"""What is said of sound in which nothing passes the absolute gate."""

ABSOLUTE_GATE_LUFS = -70.0  # ITU-R BS.1770-4, annex 1
RELATIVE_GATE_LU = -10.0  # ITU-R BS.1770-4, annex 1
LOUDNESS_OFFSET = -0.691  # ITU-R BS.1770-4, equation 2
RANGE_GATE_LU = -20.0  # EBU Tech 3342
RANGE_SHARES = (0.10, 0.95)  # EBU Tech 3342
RANGE_WINDOW_SUBBLOCKS = 30  # EBU Tech 3342: 3 s
RANGE_STEP_SUBBLOCKS = 10  # EBU Tech 3342: windows overlap by two thirds or more
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
    """Measures a stream of blocks, in constant memory."""

    def __init__(self, channels: int, rate_hz: int = SAMPLE_RATE_HZ) -> None:
        self._weighting = _Weighting(channels, rate_hz)
        self._subblock_frames = round(rate_hz / 10)
        self._waiting: list[Block] = []
        self._waiting_frames = 0
        self._powers = array("d")
        self._peaks = _PeakFinder(channels, rate_hz)

    def add(self, block: Block) -> None:
        """Take in one block, shape (frames, channels)."""
        block = np.asarray(block, dtype=np.float32)
        self._peaks.add(block)
        self._waiting.append(block)
        self._waiting_frames += len(block)
        if self._waiting_frames >= _RUN_SUBBLOCKS * self._subblock_frames:
            self._weigh()

    def levels(self) -> TrackLevels:
        """Return the levels of everything taken in so far."""
        self._weigh()
        powers = np.array(self._powers)
        true_peak, sample_peak = self._peaks.result()
        return TrackLevels(
            integrated_lufs=gated_lufs(powers),
            range_lu=loudness_range_lu(powers),
            true_peak_dbtp=db(true_peak),
            sample_peak_dbfs=db(sample_peak),
        )

    def _weigh(self) -> None:
        count = self._waiting_frames // self._subblock_frames
        if not count:
            return
        sound = np.concatenate(self._waiting)
        whole = count * self._subblock_frames
        self._powers.extend(self._weighting.powers(sound[:whole], count))
        self._waiting, self._waiting_frames = [sound[whole:]], len(sound) - whole


def measure(
    blocks: Iterable[Block], channels: int, rate_hz: int = SAMPLE_RATE_HZ
) -> TrackLevels:
    """Return the levels of all ``blocks`` together.

    Parameters
    ----------
    blocks
        Float samples, each of shape (frames, channels).
    """
    meter = Meter(channels, rate_hz)
    for block in blocks:
        meter.add(block)
    return meter.levels()


def k_weighting(rate_hz: int) -> npt.NDArray[np.float64]:
    """Return the K-weighting of ITU-R BS.1770-4 as second-order sections.

    The standard gives figures for 48 kHz. At another rate each section is the
    bilinear transform of the same analogue filter, true at its corner.

    Returns
    -------
    Shape (2, 6), as ``scipy.signal.sosfilt`` takes them.
    """
    if rate_hz == SAMPLE_RATE_HZ:
        return K_WEIGHTING
    return np.array([_at_rate(section, rate_hz) for section in K_WEIGHTING])


def _at_rate(section: npt.NDArray[np.float64], rate_hz: int) -> npt.NDArray[np.float64]:
    """Turn a section for 48 kHz into one for another rate."""
    # Rows: what (1, z**-1, z**-2) becomes in (1, s, s**2), z**-1 = (1 - s) / (1 + s).
    to_analogue = np.array([[1, 1, 1], [2, 0, -2], [1, -1, 1]])
    analogue = section.reshape(2, 3) @ to_analogue.T
    corner = math.sqrt(analogue[1, 0] / analogue[1, 2])  # tan(pi f / rate)
    there = math.tan(math.atan(corner) * SAMPLE_RATE_HZ / rate_hz)
    analogue *= (corner / there) ** np.arange(3)
    digital = analogue @ np.linalg.inv(to_analogue).T
    scaled: npt.NDArray[np.float64] = digital / digital[1, 0]
    return scaled.reshape(6)


class _Weighting:
    """The running K-weighting of all channels of a stream."""

    def __init__(self, channels: int, rate_hz: int) -> None:
        self._sections = k_weighting(rate_hz)
        self._at_rest = np.zeros((len(self._sections), channels, 2))
        self._state = self._at_rest

    def rest(self) -> None:
        """Begin anew, as after silence."""
        self._state = self._at_rest

    def powers(self, run: Block, count: int) -> npt.NDArray[np.float64]:
        """Return the mean square of each of the ``count`` equal parts of ``run``."""
        channels_first = run.T.copy()  # faster
        weighted, self._state = sosfilt(self._sections, channels_first, zi=self._state)
        rows = weighted.reshape(len(weighted), count, -1)
        energies: npt.NDArray[np.float64] = np.einsum("cij,cij->i", rows, rows)
        energies /= rows.shape[2]
        return energies


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
        self._weighting = _Weighting(channels, SAMPLE_RATE_HZ)
        self._run: list[Block] = []
        self._run_index = 0
        self._given = array("q")
        self._powers = array("d")

    def add(self, index: int, subblock: Block) -> None:
        """Take in the 100 ms at ``index``, shape (4800, channels); indices rise.

        A shorter one is dropped: ITU-R BS.1770-4 does not use a gating block that
        is not complete.
        """
        if len(subblock) < SUBBLOCK_FRAMES:
            return
        if index != self._run_index + len(self._run):
            self._filter_run()
            self._weighting.rest()
            self._run_index = index
        self._run.append(subblock)
        if len(self._run) == _RUN_SUBBLOCKS:
            self._filter_run()

    def write_powers(self, powers: npt.NDArray[np.float64]) -> None:
        """Put the mean square of each subblock given so far in its place."""
        self._filter_run()
        powers[np.array(self._given)] = self._powers

    def _filter_run(self) -> None:
        """Weight what waits in one call, which costs less than one for each."""
        if not self._run:
            return
        powers = self._weighting.powers(np.concatenate(self._run), len(self._run))
        self._powers.extend(powers)
        next_index = self._run_index + len(self._run)
        self._given.extend(range(self._run_index, next_index))
        self._run_index = next_index
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


def loudness_range_lu(powers: npt.NDArray[np.float64]) -> float:
    """Return the loudness range of a track from its 100 ms powers.

    EBU Tech 3342: the loudness of 3 s every second, above -70 LUFS and above its
    own mean less 20 LU; from the 10th to the 95th of a hundred.

    Parameters
    ----------
    powers
        K-weighted mean square of each 100 ms, channels summed, shape (n,).
    """
    if len(powers) < RANGE_WINDOW_SUBBLOCKS:
        return 0.0
    windows = np.lib.stride_tricks.sliding_window_view(powers, RANGE_WINDOW_SUBBLOCKS)
    levels = np.sort(windows[::RANGE_STEP_SUBBLOCKS].mean(axis=1))
    levels = levels[levels >= _power_of(ABSOLUTE_GATE_LUFS)]
    if not len(levels):
        return 0.0
    levels = levels[levels >= _power_of(_lufs_of(float(levels.mean())) + RANGE_GATE_LU)]
    low, high = (
        float(levels[int((len(levels) - 1) * share + 0.5)]) for share in RANGE_SHARES
    )
    return _lufs_of(high) - _lufs_of(low)


def _lufs_of(power: float) -> float:
    return LOUDNESS_OFFSET + 10 * math.log10(power)


def _power_of(lufs: float) -> float:
    return float(10.0 ** ((lufs - LOUDNESS_OFFSET) / 10))
