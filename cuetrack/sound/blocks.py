"""Sound as a stream of blocks: the shape everything between files works on."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator

    from cuetrack.arrays import Block


def tapped(blocks: Iterable[Block], *taps: Callable[[Block], None]) -> Iterator[Block]:
    """Yield the blocks unchanged, showing each to the ``taps`` first."""
    for block in blocks:
        for tap in taps:
            tap(block)
        yield block


def fixed_blocks(blocks: Iterable[Block], frames: int) -> Iterator[Block]:
    """Yield the same sound in blocks of ``frames``; only the last may be shorter.

    What works on these gives the same samples however the sound was cut before.

    >>> import numpy as np
    >>> cut = fixed_blocks([np.zeros((5, 1)), np.zeros((4, 1))], 4)
    >>> [len(block) for block in cut]
    [4, 4, 1]
    """
    held: list[Block] = []
    held_frames = 0
    for block in blocks:
        start = 0
        if held_frames:
            start = min(frames - held_frames, len(block))
            held.append(block[:start])
            held_frames += start
            if held_frames < frames:
                continue
            yield np.concatenate(held)
            held, held_frames = [], 0
        while len(block) - start >= frames:
            yield block[start : start + frames]
            start += frames
        if start < len(block):
            held, held_frames = [block[start:]], len(block) - start
    if held_frames:
        yield np.concatenate(held)
