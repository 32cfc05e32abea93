"""One pass over a track: mono at 48 kHz, cut into the stretches that are asked for.

Only the sound between the oldest stretch still waiting and the newest block is
kept, so a track of three hours needs no more memory than one of ten minutes.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import soxr

from cuetrack.times import SAMPLE_RATE_HZ, frames_from_ms

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence

    from cuetrack.arrays import Block, Samples

POWER_STEP_MS = 20
POWER_STEP_FRAMES = frames_from_ms(POWER_STEP_MS)
_SECOND_STEPS = 1000 // POWER_STEP_MS


@dataclass(frozen=True, slots=True, kw_only=True, order=True)
class TrackSpan:
    """A stretch of a track, frames at 48 kHz; may reach beyond both its ends."""

    start: int
    end: int


def mono(blocks: Iterable[Block], rate_hz: int) -> Iterator[Samples]:
    """Yield the mean of all channels at 48 kHz, whatever the rate of ``blocks``."""
    folded = (block.mean(axis=1, dtype=np.float32) for block in blocks)
    if rate_hz == SAMPLE_RATE_HZ:
        yield from folded
        return
    resampler = soxr.ResampleStream(rate_hz, SAMPLE_RATE_HZ, 1, quality="HQ")
    for block in folded:
        yield resampler.resample_chunk(block)
    yield resampler.resample_chunk(np.empty(0, np.float32), last=True)


def stretches(
    blocks: Iterable[Samples], spans: Sequence[TrackSpan]
) -> Iterator[tuple[int, Samples]]:
    """Yield each span's index and sound, in order of their starts.

    Silence stands where a span reaches before or behind the track. All blocks
    are consumed, also those behind the last span.
    """
    waiting = sorted(range(len(spans)), key=lambda index: spans[index])[::-1]
    held = np.empty(0, np.float32)
    position = 0
    for block in blocks:
        held = np.concatenate([held, block])
        end = position + held.size
        while waiting and spans[waiting[-1]].end <= end:
            index = waiting.pop()
            yield index, _cut(held, position, spans[index])
        needed = spans[waiting[-1]].start if waiting else end
        dropped = min(max(0, needed - position), held.size)
        held, position = held[dropped:], position + dropped
    while waiting:
        index = waiting.pop()
        yield index, _cut(held, position, spans[index])


def _cut(held: Samples, position: int, span: TrackSpan) -> Samples:
    """Return a span of the sound that starts at ``position``, silence around it."""
    start, end = span.start - position, span.end - position
    inside = held[max(0, start) : max(0, end)]
    before = min(max(0, -start), end - start)
    return np.pad(inside, (before, end - start - before - inside.size))


class PowerCurve:
    """The mean square of every 20 ms of a stream: 180 000 numbers an hour."""

    def __init__(self) -> None:
        self.frames = 0
        self._rest = np.empty(0, np.float32)
        self._powers: list[Samples] = []
        self._means: list[Samples] = []

    def add(self, block: Samples) -> None:
        """Take in the next block, shape (frames,)."""
        self.frames += block.size
        sound = np.concatenate([self._rest, block])
        steps = sound.size // POWER_STEP_FRAMES
        whole = sound[: steps * POWER_STEP_FRAMES].reshape(steps, POWER_STEP_FRAMES)
        self._powers.append(np.square(whole).mean(axis=1))
        self._means.append(whole.mean(axis=1))
        self._rest = sound[steps * POWER_STEP_FRAMES :]

    @property
    def offset(self) -> float:
        """How far off its zero line nine seconds of ten lie, or further.

        Music may lean to one side as well, but only while it is loud.
        """
        means = np.concatenate([np.empty(0, np.float32), *self._means])
        count = means.size // _SECOND_STEPS
        seconds = (
            means[: count * _SECOND_STEPS].reshape(count, _SECOND_STEPS).mean(axis=1)
        )
        by_size = sorted(seconds.tolist(), key=abs)
        return by_size[count // 10] if by_size else 0.0

    def powers(self) -> Samples:
        """Return the power of each whole step so far, shape (steps,)."""
        return np.concatenate([np.empty(0, np.float32), *self._powers])
