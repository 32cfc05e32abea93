"""A true-peak limiter that moves nothing: what goes in at a frame comes out there.

It works on a grid of its own, however the sound is cut, and looks ahead by waiting
for the next 100 ms, not by delaying what it gives. The gain is that of
``cuetrack.speech.peaks``.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from cuetrack.sound.blocks import fixed_blocks
from cuetrack.speech.peaks import (
    EDGE_FRAMES,
    GAIN_REACH_FRAMES,
    needed_gains,
    smooth_gains,
)
from cuetrack.times import SAMPLE_RATE_HZ

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from cuetrack.arrays import Block
    from cuetrack.speech.peaks import PeakGains

CHUNK_FRAMES = SAMPLE_RATE_HZ // 10
"""Longer than the gain reaches: a chunk's gain depends on its neighbours only."""


@dataclass(frozen=True, slots=True, eq=False)
class LimitedChunk:
    """100 ms of sound after the limiter, the last one shorter.

    ``least_gain`` is 1 where nothing had to be done.
    """

    sound: Block
    least_gain: float


@dataclass(frozen=True, slots=True, eq=False)
class _Seen:
    """A chunk and the gain each frame needs by itself; None where it is 1."""

    sound: Block
    needed: PeakGains | None


def limit(blocks: Iterable[Block], ceiling: float) -> Iterator[LimitedChunk]:
    """Keep the true peak of 48 kHz sound at or under ``ceiling``.

    Parameters
    ----------
    blocks
        Shape (frames, channels), of any length; all channels get one gain.
    ceiling
        The highest amplitude allowed between samples too, full scale at 1.

    Yields
    ------
    LimitedChunk
        The same frames in the same places, the last chunk shorter.
    """
    before: _Seen | None = None
    current: _Seen | None = None
    for seen in _look_ahead(blocks, ceiling):
        if current is not None:
            yield _turned_down(before, current, seen)
        before, current = current, seen
    if current is not None:
        yield _turned_down(before, current, None)


def _look_ahead(blocks: Iterable[Block], ceiling: float) -> Iterator[_Seen]:
    edge: Block | None = None
    current: Block | None = None
    for chunk in fixed_blocks(blocks, CHUNK_FRAMES):
        if current is not None:
            yield _Seen(current, _needed(edge, current, chunk, ceiling))
            edge = current[-EDGE_FRAMES:]
        current = chunk
    if current is not None:
        yield _Seen(current, _needed(edge, current, None, ceiling))


def _needed(
    edge: Block | None, chunk: Block, after: Block | None, ceiling: float
) -> PeakGains | None:
    """Return what each frame needs, padded with 1 to a whole chunk."""
    sound = np.zeros((len(chunk) + 2 * EDGE_FRAMES, chunk.shape[1]), np.float32)
    sound[EDGE_FRAMES : EDGE_FRAMES + len(chunk)] = chunk
    if edge is not None:
        sound[:EDGE_FRAMES] = edge
    if after is not None:
        ahead = after[:EDGE_FRAMES]
        sound[EDGE_FRAMES + len(chunk) :][: len(ahead)] = ahead
    needed = needed_gains(sound, ceiling)
    if needed is None or len(needed) == CHUNK_FRAMES:
        return needed
    return np.pad(needed, (0, CHUNK_FRAMES - len(needed)), constant_values=1.0)


def _turned_down(
    before: _Seen | None, current: _Seen, after: _Seen | None
) -> LimitedChunk:
    around = [_needed_in(seen) for seen in (before, current, after)]
    if all(needed is None for needed in around):
        return LimitedChunk(current.sound, 1.0)
    past, here, coming = (
        np.ones(CHUNK_FRAMES) if needed is None else needed for needed in around
    )
    needed = np.concatenate(
        [past[-GAIN_REACH_FRAMES:], here, coming[:GAIN_REACH_FRAMES]]
    )
    gains = smooth_gains(needed)[: len(current.sound)]
    least_gain = float(gains.min())
    if least_gain >= 1:
        return LimitedChunk(current.sound, 1.0)
    turned_down = current.sound * gains.astype(np.float32)[:, np.newaxis]
    return LimitedChunk(turned_down, least_gain)


def _needed_in(seen: _Seen | None) -> PeakGains | None:
    return None if seen is None else seen.needed
