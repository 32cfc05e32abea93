"""How loud voice and bed are over time, for a picture: short-term loudness.

Short-term loudness is that of three seconds, not gated (EBU Tech 3341, 2.2). Here
the three seconds lie around the instant they are drawn at, not before it.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from cuetrack.sound.loudness import LOUDNESS_OFFSET, SILENCE_LUFS, read_subblocks

if TYPE_CHECKING:
    from collections.abc import Iterable

    import numpy.typing as npt

    from cuetrack.arrays import Block

WINDOW_SUBBLOCKS = 30
STEP_SUBBLOCKS = 10
STEP_MS = 1000


@dataclass(frozen=True, slots=True, kw_only=True)
class LoudnessSeries:
    """Short-term loudness at 0, 1, 2... seconds, LUFS; minus infinity is silence.

    ``bed`` is empty for a track without music.
    """

    voice: tuple[float, ...]
    bed: tuple[float, ...] = ()


def loudness_series(
    voice: Iterable[Block], bed: Iterable[Block] | None, channels: int
) -> LoudnessSeries:
    """Return how loud the parts of a mix are, each read once and block by block.

    Parameters
    ----------
    voice, bed
        Stems of the mix at 48 kHz, blocks of shape (frames, channels).
    channels
        Channels of both stems.
    """
    return LoudnessSeries(
        voice=tuple(short_term_lufs(voice, channels).tolist()),
        bed=() if bed is None else tuple(short_term_lufs(bed, channels).tolist()),
    )


def short_term_lufs(blocks: Iterable[Block], channels: int) -> npt.NDArray[np.float64]:
    """Return the loudness of the 3 s around each whole second, shape (seconds,).

    Before the first frame and after the last there is silence.
    """
    powers = read_subblocks(blocks, channels).powers
    half = WINDOW_SUBBLOCKS // 2
    running = np.concatenate([[0.0], np.cumsum(np.pad(powers, half))])
    sums = running[WINDOW_SUBBLOCKS:] - running[:-WINDOW_SUBBLOCKS]
    means = np.maximum(sums[::STEP_SUBBLOCKS], 0.0) / WINDOW_SUBBLOCKS
    lufs = np.full(len(means), SILENCE_LUFS)
    sounding = means > 1e-12  # below about -120 LUFS, rounding of the sums
    lufs[sounding] = LOUDNESS_OFFSET + 10 * np.log10(means[sounding])
    return lufs
