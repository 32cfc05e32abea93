"""Takes the bed down where speech lives, and leaves the rest of it alone.

Speech is carried by 150 to 4000 Hz (`BAND_HZ`); half an octave beyond, nothing is
taken any more. What is taken is that band of the bed, found by a filter of linear
phase, times what the glide says. So at every moment of a glide the bed is as if
through a tone control that moves, in no frequency louder than before, and where
nothing is cut it is the same to the bit. The band rings for less than 43 ms before
and after a sound, below the steep edge at 150 Hz only.
"""

from __future__ import annotations

from functools import cache
from itertools import chain
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt
from scipy.fft import fft, ifft, irfft
from scipy.signal.windows import kaiser

from cuetrack.times import SAMPLE_RATE_HZ

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from cuetrack.arrays import Block
    from cuetrack.sound.ducking import DuckEnvelope

BAND_HZ = (150.0, 4000.0)
SKIRT_OCTAVES = 0.5

_REACH_FRAMES = 2048
"""How far the filter looks back, and ahead."""
_FFT_FRAMES = 16_384
CHUNK_FRAMES = _FFT_FRAMES - 2 * _REACH_FRAMES
"""Length of the blocks that are filtered; fixed, so that the bits are, too."""

_KAISER_BETA = 6.0
_FINE = 1 << 17


def gain_when_cut(hz: npt.ArrayLike, cut_db: float) -> npt.NDArray[np.float64]:
    """Return the amplitude gain of a sound whose band is ``cut_db`` down.

    >>> gain_when_cut([80, 200, 1000, 3900, 6000], 20).round(2).tolist()
    [1.0, 0.1, 0.1, 0.1, 1.0]
    """
    lines_hz = np.arange(_FFT_FRAMES // 2 + 1) * SAMPLE_RATE_HZ / _FFT_FRAMES
    share = np.interp(
        np.asarray(hz, np.float64), lines_hz, _response()[: len(lines_hz)]
    )
    gain: npt.NDArray[np.float64] = 1 - (1 - 10 ** (-cut_db / 20)) * share
    return gain


def cut_blocks(blocks: Iterable[Block], cut: DuckEnvelope) -> Iterator[Block]:
    """Yield the same sound, its band of speech as far down as the envelope says.

    Parameters
    ----------
    blocks
        48 kHz float32, shape (`CHUNK_FRAMES`, 2); only the last may be shorter.
    cut
        Gain of the band at each frame; where it is 1, nothing changes.

    Yields
    ------
    Block
        As many as came, of the same lengths.
    """
    end = np.zeros((0, 2), np.float32)
    before = np.zeros((_REACH_FRAMES, 2), np.float32)
    block = end
    start = 0
    for following in chain(blocks, [end]):
        if len(block):
            taken = 1 - cut.gains(start, len(block))
            around = np.concatenate([before, block, following[:_REACH_FRAMES]])
            if taken.any():
                block = block - _band(around, len(block)) * taken[:, None]
            yield block
            before = around[len(block) :][:_REACH_FRAMES]
            start += len(block)
        block = following


def _band(around: Block, frames: int) -> Block:
    """Return the band of speech of the frames from ``_REACH_FRAMES`` on.

    Both channels go through one complex transform, left real, right imaginary: the
    filter is even, so that they do not mix.
    """
    padded = np.zeros((_FFT_FRAMES, 2), np.float32)
    padded[: len(around)] = around
    both = ifft(fft(padded.view(np.complex64)[:, 0]) * _response())
    band: Block = both.astype(np.complex64, copy=False).view(np.float32).reshape(-1, 2)
    return band[_REACH_FRAMES : _REACH_FRAMES + frames]


@cache
def _response() -> npt.NDArray[np.float32]:
    """Return the gain of the band filter, shape (_FFT_FRAMES,): real, 0 to 1."""
    octaves = np.log2(np.maximum(np.fft.rfftfreq(_FINE, 1 / SAMPLE_RATE_HZ), 1))
    low, high = np.log2(BAND_HZ)
    outside = np.maximum(low - octaves, octaves - high) / SKIRT_OCTAVES
    curve = 0.5 + 0.5 * np.cos(np.pi * np.clip(outside, 0, 1))
    impulse = np.roll(irfft(curve), _REACH_FRAMES)[: 2 * _REACH_FRAMES + 1]
    impulse = impulse * kaiser(len(impulse), _KAISER_BETA)
    even = np.roll(np.pad(impulse, (0, _FFT_FRAMES - len(impulse))), -_REACH_FRAMES)
    response: npt.NDArray[np.float32] = fft(even).real.astype(np.float32)
    return np.clip(response, 0, 1)
