"""Whether a load resists a movement: the line it pulls along, and the way done.

A weight pulls straight down, so only what rises works against it: pressed level to
the front it hangs on the shoulders and trains no chest. A band pulls along itself, so
only what makes it longer works against it.
"""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING

from cuetrack.movements.positions.motion import Line, Thing, way
from cuetrack.movements.positions.vectors import along, distance

if TYPE_CHECKING:
    from cuetrack.movements.positions.motion import Held, Motion
    from cuetrack.movements.positions.skeleton import Skeleton
    from cuetrack.movements.positions.vectors import Vector

_STEPS = 8


def against_load(motion: Motion, held: Held | None = None) -> float | None:
    """Return the share of the way out that goes against the pull of a load.

    Parameters
    ----------
    held
        Another thing than the one the movement is drawn with.

    Returns
    -------
    float or None
        0 when the load never resists, 1 when all of the way is against it; None
        when nothing is held that pulls.
    """
    thing = held or motion.held
    if thing is None or thing.thing not in {Thing.WEIGHTS, Thing.BAND}:
        return None
    joints = way(motion, _STEPS)
    if thing.thing is Thing.WEIGHTS:
        hands = [[s.right_arm.palm for s in joints], [s.left_arm.palm for s in joints]]
        done = max(hands, key=_far)
        gained = sum(max(b[2] - a[2], 0.0) for a, b in pairwise(done))
        return gained / _far(done) if _far(done) else 0.0
    ends = [_ends(s, thing.line) for s in joints]
    lengths = [distance(*end) for end in ends]
    gained = sum(max(b - a, 0.0) for a, b in pairwise(lengths))
    done_by = sum(_far([end[side] for end in ends]) for side in (0, 1))
    return gained / done_by if done_by else 0.0


def _far(points: list[Vector]) -> float:
    return sum(distance(a, b) for a, b in pairwise(points))


def _ends(skeleton: Skeleton, line: Line) -> tuple[Vector, Vector]:
    """Return both ends of a band, on the right side where there are two."""
    hand, trunk = skeleton.right_arm.palm, skeleton.trunk
    match line:
        case Line.FEET_TO_HANDS | Line.RIGHT_FOOT_TO_HANDS:
            return skeleton.right_leg.ball, hand
        case Line.AROUND_KNEES:
            return skeleton.left_leg.knee, skeleton.right_leg.knee
        case Line.BEHIND_BACK_TO_HANDS:
            return along(trunk.chest, trunk.chest_frame.front, -0.07), hand
        case _:
            return skeleton.left_arm.palm, hand
