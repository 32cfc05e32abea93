"""Sound as a stream of blocks: the shape everything between files works on."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import soxr

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator

    from cuetrack.arrays import Block


def tapped(blocks: Iterable[Block], *taps: Callable[[Block], None]) -> Iterator[Block]:
    """Yield the blocks unchanged, showing each to the ``taps`` first."""
    for block in blocks:
        for tap in taps:
            tap(block)
        yield block


def resampled(blocks: Iterable[Block], from_hz: int, to_hz: int) -> Iterator[Block]:
    """Yield the same sound at another rate, untouched where the rate is the same."""
    if from_hz == to_hz:
        yield from blocks
        return
    stream = None
    for block in blocks:
        if stream is None:
            channels = block.shape[1]
            stream = soxr.ResampleStream(from_hz, to_hz, channels, dtype="float32")
        yield stream.resample_chunk(block)
    if stream is not None:
        yield stream.resample_chunk(block[:0], last=True)


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
