"""From samples to one-third-octave levels and loudness, in one pass over the sound.

Levels are dB re full scale: a mean square of 1 is 0 dB, so a full-scale sine
reads -3.01. Several channels are averaged by power: a voice that is the same on
both channels reads as it does in mono, and a bed as it would on the loudspeakers
of a room, where the channels add by power.

The analysis takes Hann windows of 85 ms every 21 ms at 48 kHz. The squares of
the windows add up to a constant, so no energy is lost or counted twice. Band
edges are those of IEC 61260-1, base ten; a spectral line on an edge is shared.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache
from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt
from scipy.fft import rfft

from cuetrack.sound.hearing.sii_tables import BANDWIDTH_DB, Bands
from cuetrack.speech.level import K_WEIGHTING, active_lufs
from cuetrack.times import SAMPLE_RATE_HZ

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence

    from cuetrack.arrays import Samples

SILENCE_DB = -200.0
"""Said of a band with nothing in it."""

SPECTRUM_VERSION = "1"
"""Counts up whenever `active_spectrum` changes what it gives: spectra are kept."""

WINDOW_FRAMES = 4096
HOP_FRAMES = 1024
PIECE_FRAMES = 2 * SAMPLE_RATE_HZ
"""A long stretch is judged by its loudest piece of about this length."""

LINES_HZ = np.arange(WINDOW_FRAMES // 2 + 1) * (SAMPLE_RATE_HZ / WINDOW_FRAMES)
"""Frequencies of the spectral lines a window is made of."""

_BATCH_HOPS = 96
_Column = tuple[int, npt.NDArray[np.float32]]  # its first line, and their weights
_LUFS_OFFSET = -0.691  # ITU-R BS.1770-4, equation 2


@dataclass(frozen=True, slots=True, kw_only=True)
class ClipSpectrum:
    """What the hearing model knows of a sound: small, and safe to store.

    ``band_db`` holds the 18 one-third-octave band levels 160 Hz-8 kHz, dB re
    full scale; ``loudness_lufs`` is K-weighted, averaged over the channels.
    """

    band_db: Bands
    loudness_lufs: float

    @property
    def level_db(self) -> float:
        """Level of all the bands together, dB re full scale."""
        return power_sum_db(self.band_db)

    @property
    def spectrum_level_db(self) -> Bands:
        """Band levels as spectrum levels, dB re full scale per Hz."""
        return tuple(
            level - width
            for level, width in zip(self.band_db, BANDWIDTH_DB, strict=True)
        )

    def raised(self, gain_db: float) -> ClipSpectrum:
        """Return the same sound, ``gain_db`` louder."""
        return ClipSpectrum(
            band_db=tuple(level + gain_db for level in self.band_db),
            loudness_lufs=self.loudness_lufs + gain_db,
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class TrackPart:
    """Part of a track: ``start_frame`` inclusive, ``end_frame`` exclusive."""

    start_frame: int
    end_frame: int

    def __post_init__(self) -> None:
        if not self.start_frame < self.end_frame:
            raise ValueError(f"a stretch must last: {self}")


def power_sum_db(levels_db: Iterable[float]) -> float:
    """Return the level of several levels together.

    >>> round(power_sum_db([60.0, 60.0]), 2)
    63.01
    """
    total = sum(10 ** (level / 10) for level in levels_db)
    return 10 * math.log10(total) if total > 0 else SILENCE_DB


def active_spectrum(samples: Samples) -> ClipSpectrum:
    """Return the spectrum of a clip or tone while it sounds.

    The pauses do not count: the level is that of the active frames, by the same
    rule that levels the clips.

    Parameters
    ----------
    samples
        48 kHz mono, shape (frames,).

    Raises
    ------
    ValueError
        If there is nothing to hear.
    """
    loudness = active_lufs(samples) if len(samples) else -math.inf
    if not math.isfinite(loudness):
        raise ValueError("A silent clip has no spectrum: give one that sounds.")
    hops = -(-len(samples) // HOP_FRAMES) + WINDOW_FRAMES // HOP_FRAMES
    wanted = np.ones(hops, dtype=np.bool_)
    lead = np.zeros((WINDOW_FRAMES // 2, 1), np.float32)
    padded = [lead, np.asarray(samples, np.float32)[:, None]]
    total = np.zeros(19)
    for _, powers in _hop_powers(padded, wanted, _columns()):
        total += powers.sum(axis=0)
    whole = _spectrum(total / hops)
    return whole.raised(loudness - whole.loudness_lufs)


def spectrum(samples: npt.NDArray[np.float32]) -> ClipSpectrum:
    """Return the spectrum of a whole sound, averaged over all of its length.

    Parameters
    ----------
    samples
        48 kHz, shape (frames,) or (frames, channels), at least one frame.
    """
    whole = TrackPart(start_frame=0, end_frame=len(samples))
    (found,) = stretch_spectra([samples], [whole], piece_frames=len(samples))
    return found


def stretch_spectra(
    blocks: Iterable[npt.NDArray[np.float32]],
    stretches: Sequence[TrackPart],
    *,
    piece_frames: int = PIECE_FRAMES,
) -> tuple[ClipSpectrum, ...]:
    """Return the spectrum of each stretch of a track, see `filtered_spectra`."""
    plain = np.ones(len(LINES_HZ))
    (found,) = filtered_spectra(blocks, stretches, [plain], piece_frames=piece_frames)
    return found


def filtered_spectra(
    blocks: Iterable[npt.NDArray[np.float32]],
    stretches: Sequence[TrackPart],
    gains: Sequence[npt.NDArray[np.float64]],
    *,
    piece_frames: int = PIECE_FRAMES,
) -> tuple[tuple[ClipSpectrum, ...], ...]:
    """Return the spectrum of each stretch of a track, in one pass over its blocks.

    Memory does not grow with the track. A stretch longer than ``piece_frames``
    is cut into even pieces of about that length and the loudest one counts: what
    hides a word is the music over it, not the average of a sentence.

    Parameters
    ----------
    blocks
        48 kHz, of any length, shape (frames,) or (frames, channels).
    stretches
        In any order; they may overlap. What lies beyond the track is silence.
    gains
        Filters the sound is to be seen through, each an amplitude gain at
        `LINES_HZ`. The answer has the spectra of all stretches for each of them.
    """
    pieces = [
        (index, first, last)
        for index, stretch in enumerate(stretches)
        for first, last in _pieces(stretch, piece_frames)
    ]
    if not pieces:
        return ((),) * len(gains)
    firsts = np.array([first for _, first, _ in pieces])
    lasts = np.array([last for _, _, last in pieces])
    wanted = np.zeros(int(lasts.max()), dtype=np.bool_)
    for first, last in zip(firsts, lasts, strict=True):
        wanted[first:last] = True
    columns = [
        (low, (weights * gain[low : low + len(weights)] ** 2).astype(np.float32))
        for gain in gains
        for low, weights in _columns()
    ]
    sums = np.zeros((len(pieces), len(columns)))
    for hop, powers in _hop_powers(blocks, wanted, columns):
        for piece in np.flatnonzero((firsts < hop + len(powers)) & (lasts > hop)):
            low, high = max(firsts[piece] - hop, 0), lasts[piece] - hop
            sums[piece] += powers[low:high].sum(axis=0)
    means = sums / (lasts - firsts)[:, None]
    owners = [index for index, _, _ in pieces]
    return tuple(
        _loudest_pieces(owners, part) for part in np.split(means, len(gains), axis=1)
    )


def _loudest_pieces(
    owners: Sequence[int], means: npt.NDArray[np.float64]
) -> tuple[ClipSpectrum, ...]:
    """Return for each stretch the spectrum of the loudest of its pieces."""
    loudest: dict[int, npt.NDArray[np.float64]] = {}
    for index, mean in zip(owners, means, strict=True):
        if index not in loudest or mean[-1] > loudest[index][-1]:
            loudest[index] = mean
    return tuple(_spectrum(loudest[index]) for index in sorted(loudest))


def _pieces(stretch: TrackPart, piece_frames: int) -> list[tuple[int, int]]:
    """Return the hops of each piece, first inclusive, last exclusive."""
    first = -(-max(stretch.start_frame, 0) // HOP_FRAMES)
    last = -(-max(stretch.end_frame, 0) // HOP_FRAMES)
    if last <= first:  # Shorter than a hop: the window over its middle.
        middle = max(stretch.start_frame + stretch.end_frame, 0)
        first = (middle + HOP_FRAMES) // (2 * HOP_FRAMES)
        return [(first, first + 1)]
    count = max(1, round((last - first) * HOP_FRAMES / piece_frames))
    edges = [first + (last - first) * step // count for step in range(count + 1)]
    return list(pairwise(edges))


def _hop_powers(
    blocks: Iterable[npt.NDArray[np.float32]],
    wanted: npt.NDArray[np.bool_],
    columns: Sequence[_Column],
) -> Iterator[tuple[int, npt.NDArray[np.float64]]]:
    """Yield the index of a first hop and the powers by band of it and the next.

    Hop j is the window centred on frame ``j * HOP_FRAMES``; the powers have the
    shape (hops, columns), with `_columns` 18 bands and the K-weighted whole. Hops
    that are not wanted are nought, and those after the last wanted one are left out.
    """
    half = WINDOW_FRAMES // 2
    held: list[npt.NDArray[np.float32]] = []
    held_frames, hop = half, 0
    batch_frames = _BATCH_HOPS * HOP_FRAMES + WINDOW_FRAMES
    for given in blocks:
        block = given if given.ndim == 2 else given[:, None]
        if not held:
            held = [np.zeros((half, block.shape[1]), np.float32)]
        held.append(block)
        held_frames += len(block)
        if held_frames < batch_frames:
            continue
        sound = np.concatenate(held)
        hops = (len(sound) - WINDOW_FRAMES) // HOP_FRAMES + 1
        yield from _batches(sound, hop, hops, wanted, columns)
        hop += hops
        held = [sound[hops * HOP_FRAMES :].copy()]
        held_frames = len(held[0])
        if hop >= len(wanted):
            return
    if held and hop < len(wanted):
        sound = np.concatenate(held)
        left = -(-max(len(sound) - half, 0) // HOP_FRAMES) + half // HOP_FRAMES
        hops = min(left, len(wanted) - hop)
        needed = (hops - 1) * HOP_FRAMES + WINDOW_FRAMES
        sound = np.pad(sound, ((0, max(0, needed - len(sound))), (0, 0)))
        yield from _batches(sound, hop, hops, wanted, columns)


def _batches(
    sound: npt.NDArray[np.float32],
    first_hop: int,
    hops: int,
    wanted: npt.NDArray[np.bool_],
    columns: Sequence[_Column],
) -> Iterator[tuple[int, npt.NDArray[np.float64]]]:
    """Yield the powers of ``hops`` windows of the sound, a bounded number at once."""
    window = _window()
    for start in range(0, hops, _BATCH_HOPS):
        count = min(_BATCH_HOPS, hops - start)
        asked = wanted[first_hop + start : first_hop + start + count]
        chosen = np.flatnonzero(asked)
        if not len(chosen):
            continue
        powers = np.zeros((len(asked), len(columns)))
        part = sound[start * HOP_FRAMES :][: count * HOP_FRAMES + WINDOW_FRAMES]
        for channel in part.T:
            views = np.lib.stride_tricks.sliding_window_view(channel, WINDOW_FRAMES)
            lines = rfft(views[::HOP_FRAMES][chosen] * window, axis=-1)
            squares = lines.real**2 + lines.imag**2
            for column, (low, weights) in enumerate(columns):
                # Not a matrix product: its threads cost more than they save.
                part_of = squares[:, low : low + len(weights)]
                powers[chosen, column] += np.einsum("ij,j->i", part_of, weights)
        yield first_hop + start, powers / part.shape[1]


def _spectrum(powers: npt.NDArray[np.float64]) -> ClipSpectrum:
    levels = 10 * np.log10(np.maximum(powers, 10 ** (SILENCE_DB / 10)))
    return ClipSpectrum(
        band_db=tuple(float(level) for level in levels[:-1]),
        loudness_lufs=float(levels[-1]) + _LUFS_OFFSET,
    )


@cache
def _window() -> npt.NDArray[np.float32]:
    phase = 2 * np.pi * np.arange(WINDOW_FRAMES) / WINDOW_FRAMES
    return (0.5 - 0.5 * np.cos(phase)).astype(np.float32)


@cache
def _columns() -> tuple[_Column, ...]:
    """Return what turns squared spectral lines into the 19 mean squares.

    For each: its first line, and the weights of it and those that follow.
    """
    lines = np.arange(WINDOW_FRAMES // 2 + 1)
    width_hz = SAMPLE_RATE_HZ / WINDOW_FRAMES
    lows, highs = (lines - 0.5) * width_hz, (lines + 0.5) * width_hz
    both_sides = np.where((lines == 0) | (lines == lines[-1]), 1.0, 2.0)
    energy = np.sum(_window().astype(np.float64) ** 2)
    scale = both_sides / (WINDOW_FRAMES * energy)
    found = []
    for step in range(-8, 10):  # 1 kHz times 10**(step/10): 160 Hz to 8 kHz
        edges = 1000 * 10 ** ((2 * step + np.array([-1, 1])) / 20)
        overlap = np.minimum(highs, edges[1]) - np.maximum(lows, edges[0])
        inside = np.flatnonzero(overlap > 0)
        weights = scale[inside] * overlap[inside] / width_hz
        found.append((int(inside[0]), weights.astype(np.float32)))
    k_power = _k_power(2 * np.pi * lines / WINDOW_FRAMES)
    found.append((0, (scale * k_power).astype(np.float32)))
    return tuple(found)


def _k_power(angle: npt.NDArray[np.float64]) -> npt.NDArray[np.float64]:
    """Return the power gain of the K-weighting at angular frequencies a frame."""
    delay = np.exp(-1j * angle)
    power = np.ones_like(angle)
    for section in K_WEIGHTING:
        upper, lower = section[:3], section[3:]
        gain = np.polyval(upper[::-1], delay) / np.polyval(lower[::-1], delay)
        power *= np.abs(gain) ** 2
    return power
