"""How loud a clip is while it speaks, short words included.

The gated loudness of ITU-R BS.1770 needs 400 ms blocks, longer than the word "two".
This measure takes its K-weighting but 10 ms frames, and averages the power of the
frames within 25 dB of the loudest: pauses and fading ends do not count.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from scipy.signal import sosfilt

from cuetrack.times import SAMPLE_RATE_HZ

if TYPE_CHECKING:
    from cuetrack.arrays import Samples

TARGET_LUFS = -20.0
"""Every clip is brought here."""

ACTIVE_DB = 25.0
FRAME = SAMPLE_RATE_HZ // 100

K_WEIGHTING = np.array(
    [
        # ITU-R BS.1770-4, table 1: the head as a shelf.
        [
            1.53512485958697,
            -2.69169618940638,
            1.19839281085285,
            1.0,
            -1.69065929318241,
            0.73248077421585,
        ],
        # The same, table 2: the revised low-frequency B curve.
        [1.0, -2.0, 1.0, 1.0, -1.99004745483398, 0.99007225036621],
    ]
)
"""Second-order sections for 48 kHz only."""


def active_lufs(samples: Samples) -> float:
    """Return the loudness of the active frames, LUFS; 48 kHz mono.

    A full-scale sine of 997 Hz in one channel reads -3.01 (BS.1770-4, annex 1).
    Silence reads ``-inf``.
    """
    if not np.any(samples):
        return float("-inf")
    weighted = sosfilt(K_WEIGHTING, samples)
    squares = np.square(weighted, out=weighted)
    power = np.pad(squares, (0, -squares.size % FRAME)).reshape(-1, FRAME).mean(axis=1)
    active = power[power >= power.max() * 10 ** (-ACTIVE_DB / 10)]
    return float(-0.691 + 10 * np.log10(active.mean()))
