"""How the bed gets out of the way of the voice.

The bed is down before the first sound of a cue and comes up after its last, along
raised cosines in decibels, so that neither a click nor a jump is heard. Between
cues that follow closely it stays down instead of pumping.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt

from cuetrack.times import frames_from_ms

if TYPE_CHECKING:
    from collections.abc import Iterable

Gains = npt.NDArray[np.float32]
"""One amplitude gain for each frame, shape (frames,), 0..1."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Duck:
    """A stretch of speech, and how far the bed goes down under it.

    The bed is at ``-depth_db`` from ``start_frame`` up to ``end_frame``.
    """

    start_frame: int
    end_frame: int
    depth_db: float

    def __post_init__(self) -> None:
        if not self.start_frame < self.end_frame:
            raise ValueError(f"a duck must last: {self}")
        if not self.depth_db >= 0:
            raise ValueError(f"a duck goes down, by 0 dB or more: {self}")


@dataclass(frozen=True, slots=True, kw_only=True)
class DuckShape:
    """How a duck comes and goes, in frames.

    ``attack_frames`` before its start the bed begins to sink, ``release_frames``
    after its end it is back. When the next duck starts within ``bridge_frames`` of
    an end, the bed stays down between them.
    """

    attack_frames: int = frames_from_ms(300)
    release_frames: int = frames_from_ms(700)
    bridge_frames: int = frames_from_ms(1500)


class DuckEnvelope:
    """The gain of the bed over the whole track; the same however it is cut.

    Where ducks meet, the deeper one holds. The depth between bridged ducks is the
    lesser of the two, and the glide to it is the release or attack of the deeper.

    Parameters
    ----------
    ducks
        In any order; they may touch or overlap.
    shape
        How they come and go.
    """

    def __init__(self, ducks: Iterable[Duck], shape: DuckShape | None = None) -> None:
        self._shape = shape or DuckShape()
        given = sorted(ducks, key=lambda duck: (duck.start_frame, duck.end_frame))
        bridged = given + _bridges(given, self._shape.bridge_frames)
        self._ducks = sorted(bridged, key=lambda duck: duck.start_frame)
        starts = [duck.start_frame - self._shape.attack_frames for duck in self._ducks]
        ends = [duck.end_frame + self._shape.release_frames for duck in self._ducks]
        self._starts = np.array(starts, np.int64)
        self._latest_ends = np.maximum.accumulate(np.array(ends, np.int64))

    def gains(self, start_frame: int, frames: int) -> Gains:
        """Return the gain of each frame from ``start_frame`` on, shape (frames,)."""
        gains = np.ones(frames, np.float32)
        end_frame = start_frame + frames
        first = int(np.searchsorted(self._latest_ends, start_frame, "right"))
        last = int(np.searchsorted(self._starts, end_frame, "left"))
        for duck in self._ducks[first:last]:
            self._lower(gains, start_frame, duck)
        return gains

    def _lower(self, gains: Gains, start_frame: int, duck: Duck) -> None:
        floor = np.float32(10 ** (-duck.depth_db / 20))
        attack = _slope(duck.depth_db, self._shape.attack_frames)
        down = np.broadcast_to(floor, duck.end_frame - duck.start_frame)
        release = _slope(duck.depth_db, self._shape.release_frames)[::-1]
        for piece_start, piece in (
            (duck.start_frame - len(attack), attack),
            (duck.start_frame, down),
            (duck.end_frame, release),
        ):
            low = max(piece_start, start_frame)
            high = min(piece_start + len(piece), start_frame + len(gains))
            if low < high:
                lowered = gains[low - start_frame : high - start_frame]
                limit = piece[low - piece_start : high - piece_start]
                np.minimum(lowered, limit, out=lowered)


def _bridges(ducks: list[Duck], bridge_frames: int) -> list[Duck]:
    """Return what keeps the bed down from the end of each duck to the next start."""
    if not ducks:
        return []
    bridges = []
    furthest = ducks[0]
    for duck in ducks[1:]:
        gap = duck.start_frame - furthest.end_frame
        if 0 < gap <= bridge_frames:
            bridges.append(
                Duck(
                    start_frame=furthest.end_frame,
                    end_frame=duck.start_frame,
                    depth_db=min(furthest.depth_db, duck.depth_db),
                )
            )
        furthest = max(furthest, duck, key=lambda one: one.end_frame)
    return bridges


@lru_cache(maxsize=16)
def _slope(depth_db: float, frames: int) -> Gains:
    """Return the way down from 0 dB to the depth; the next frame would be there."""
    share = (np.arange(frames) + 0.5) / max(frames, 1)
    depths_db = depth_db * (0.5 - 0.5 * np.cos(np.pi * share))
    slope = (10 ** (-depths_db / 20)).astype(np.float32)
    slope.setflags(write=False)
    return slope
