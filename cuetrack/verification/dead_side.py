"""A side of a stereo file that falls silent on the way, and when.

Music may leave a side, the voice never does: it is in the middle. So a side is dead
in a stretch when nothing of a spoken cue is in it.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Iterable

    from cuetrack.arrays import Flags, Floats

_DEAD_SHARE = 1e-3
"""30 dB under the other: what an encoder that couples the sides leaves of one."""

_QUIET = 1e-6
"""The mean square of what is no sound in either."""

_MOST_OF_A_CUE = 0.9


@dataclass(frozen=True, slots=True, kw_only=True)
class DeadSide:
    """Which side is silent, and from when to when in the file, ms."""

    side: str
    start_ms: int
    end_ms: int


def dead_side(
    powers: Floats, moment_ms: float, cues_ms: Iterable[tuple[float, float]]
) -> DeadSide | None:
    """Return the longest stretch with a spoken cue in which one side is silent.

    Parameters
    ----------
    powers
        Mean squares of left and right in each moment, shape (moments, 2).
    moment_ms
        How long a moment is.
    cues_ms
        From when to when the spoken cues sound.
    """
    spans = [
        slice(round(start / moment_ms), max(round(end / moment_ms), 1))
        for start, end in cues_ms
    ]
    sounds = powers.max(axis=1, initial=0.0) > _QUIET
    found = [
        DeadSide(
            side=side, start_ms=round(first * moment_ms), end_ms=round(last * moment_ms)
        )
        for side, at in (("left", 0), ("right", 1))
        for first, last in _stretches(
            powers[:, at] < _DEAD_SHARE * powers[:, 1 - at], sounds, spans
        )
    ]
    return max(found, key=lambda one: one.end_ms - one.start_ms, default=None)


def _stretches(
    dead: Flags, sounds: Flags, spans: Iterable[slice]
) -> Iterable[tuple[int, int]]:
    """Yield the first moment of each stretch, and the one behind its last."""
    alive = np.flatnonzero(sounds & ~dead)
    for span in spans:
        heard = sounds[span]
        if not heard.any() or dead[span][heard].mean() < _MOST_OF_A_CUE:
            continue
        middle = (span.start + span.stop) // 2
        before, after = alive[alive < middle], alive[alive >= middle]
        yield (
            int(before[-1]) + 1 if before.size else 0,
            int(after[0]) if after.size else len(dead),
        )
