"""What a player cuts off a lossy file, whose peaks encoding has raised over full scale.

A few samples of a stroke are not missed beside the error of the encoder itself; a
track that was too loud loses far more, and again and again.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from cuetrack.arrays import Block

_FRAMES = 4096
"""85 ms at 48 kHz."""

_LEAST_POWER = 1e-9


class OvershootMeter:
    """Measures how much of a sound lies over full scale where most of it does."""

    def __init__(self) -> None:
        self._most = 0.0

    def add(self, block: Block) -> None:
        """Take in the next block, shape (frames, channels)."""
        starts = np.arange(0, max(1, len(block) - _FRAMES // 2), _FRAMES)
        over = np.maximum(np.abs(block) - 1.0, 0.0)
        if not over.any():
            return
        lost = np.add.reduceat((over**2).sum(axis=1), starts)
        whole = np.add.reduceat((block**2).sum(axis=1), starts)
        share = float(np.max(lost / np.maximum(whole, _LEAST_POWER)))
        self._most = max(self._most, share)

    def share(self) -> float:
        """Return that part of the power of the worst twelfth of a second, 0 to 1."""
        return self._most
