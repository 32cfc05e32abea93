"""Tops of the sound that stand still at its highest value: it was clipped there.

Only a file that keeps every sample keeps them flat; what an encoder leaves of them is
looked for in ``bending``.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from cuetrack.arrays import Block, Flags, Floats

_SAMPLES = 3
_NEAR = 1e-4
"""The tops of a sine of 120 Hz are rounder, and those of a voice much more so."""

_FAINT = 0.03
_HIGH = 0.5
_HELD_SHARE = 0.5


class FlatTopMeter:
    """Counts tops of three samples and more at the highest value of a channel.

    Sound in which much else stands still, sample by sample, is coarse, not clipped.
    """

    def __init__(self, channels: int) -> None:
        self._highest: Floats = np.full(channels, _FAINT)
        self._tops = np.zeros(channels, np.intp)
        self._high = np.zeros(channels, np.intp)
        self._held = np.zeros(channels, np.intp)

    def add(self, block: Block) -> None:
        """Count in the next block, shape (frames, channels)."""
        if len(block) < _SAMPLES:
            return
        sizes = np.abs(block)
        highest = sizes.max(axis=0)
        self._tops[highest > (1 + _NEAR) * self._highest] = 0
        self._highest = np.maximum(self._highest, highest)
        top = sizes >= (1 - _NEAR) * self._highest
        flat: Flags = top[:-2] & top[1:-1] & top[2:]
        self._tops += flat[0].astype(np.intp) + (flat[1:] & ~flat[:-1]).sum(axis=0)
        high = (sizes[1:] > _HIGH * self._highest) & ~top[1:]
        self._high += high.sum(axis=0)
        self._held += (high & (block[1:] == block[:-1])).sum(axis=0)

    def tops(self) -> int:
        """Return how many flat tops the channel has that has most."""
        clipped = self._held <= _HELD_SHARE * self._high
        return int(np.where(clipped, self._tops, 0).max(initial=0))
