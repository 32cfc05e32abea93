"""The figure at even phases of each movement, worked out once for all tests."""

from __future__ import annotations

from functools import cache

from cuetrack.movements.positions.motion import pose_at
from cuetrack.movements.positions.reading import motions

PHASES = tuple(step / 16 for step in range(16))


@cache
def poses(name):
    """Return the joints of a movement at each of the phases."""
    return tuple(pose_at(motions()[name], phase) for phase in PHASES)
