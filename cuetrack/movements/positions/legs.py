"""Where the legs of a key position are; the contact of a foot is solved here.

A foot on the floor has its ankle at the height its pitch asks for, as far from the
hip as the bent knee lets it be.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from cuetrack.movements.positions import body
from cuetrack.movements.positions.bones import bent_between, far_apart
from cuetrack.movements.positions.position import Contact
from cuetrack.movements.positions.vectors import (
    DOWN,
    UP,
    Vector,
    add,
    along,
    cross,
    dot,
    minus,
    times,
    turned,
    unit,
)

if TYPE_CHECKING:
    from cuetrack.movements.positions.position import Leg, Position
    from cuetrack.movements.positions.trunk import TrunkPoints


@dataclass(frozen=True, slots=True, kw_only=True)
class LegPoints:
    """The joints of one leg; ``thigh`` is its angle from straight down."""

    hip: Vector
    knee: Vector
    ankle: Vector
    heel: Vector
    ball: Vector
    toe: Vector
    thigh: float
    lacks: float


def leg_points(
    position: Position,
    side: int,
    trunk: TrunkPoints,
    planted: Vector | None = None,
) -> LegPoints:
    """Return the joints of the left (1) or right (-1) leg.

    ``planted`` is where its ankle stood at the start, for a foot that stays there.
    """
    leg = position.left_leg if side > 0 else position.right_leg
    across = times(trunk.pelvis_frame.left, side * body.HIP_HALF)
    hip = add(trunk.pelvis, (0.0, side * body.HIP_HALF, across[2]))
    ahead = turned((1.0, 0.0, 0.0), UP, side * leg.out)
    if leg.thigh is not None:
        thigh = _in_plane(ahead, leg.thigh)
        shank = _in_plane(ahead, leg.thigh - leg.knee)
        knee = along(hip, thigh, body.THIGH)
        ankle = along(knee, shank, body.SHANK)
        lacks = 0.0
    else:
        aim = planted or _ankle_on_floor(hip, ahead, leg)
        knee, ankle, lacks = bent_between(
            hip, aim, body.THIGH, body.SHANK, add(ahead, UP)
        )
    knee = _splayed(hip, knee, ankle, -side * leg.splay)
    heel, ball, toe = _foot(leg, side, knee, ankle, ahead)
    return LegPoints(
        hip=hip,
        knee=knee,
        ankle=ankle,
        heel=heel,
        ball=ball,
        toe=toe,
        thigh=_angle_from_down(minus(knee, hip), ahead),
        lacks=lacks,
    )


def _in_plane(ahead: Vector, angle: float) -> Vector:
    radians = math.radians(angle)
    return add(times(ahead, math.sin(radians)), times(DOWN, math.cos(radians)))


def _angle_from_down(thigh: Vector, ahead: Vector) -> float:
    return math.degrees(math.atan2(dot(thigh, ahead), dot(thigh, DOWN)))


def ankle_height(toes: float) -> float:
    """Return how high the ankle is when the foot stands pitched by ``toes``.

    >>> ankle_height(0.0) == body.ANKLE_HEIGHT
    True
    """
    pitch = math.radians(abs(toes))
    behind = body.HEEL_BACK if toes > 0 else body.BALL_FORWARD
    return body.ANKLE_HEIGHT * math.cos(pitch) + behind * math.sin(pitch)


def _ankle_on_floor(hip: Vector, ahead: Vector, leg: Leg) -> Vector:
    height = ankle_height(leg.toes)
    reach = far_apart(body.THIGH, body.SHANK, leg.knee)
    level = math.sqrt(max(reach**2 - (hip[2] - height) ** 2, 0.0))
    return along((hip[0], hip[1], height), ahead, level)


def _splayed(hip: Vector, knee: Vector, ankle: Vector, angle: float) -> Vector:
    if not angle:
        return knee
    axis = unit(minus(ankle, hip))
    return add(hip, turned(minus(knee, hip), axis, angle))


def _foot(
    leg: Leg, side: int, knee: Vector, ankle: Vector, ahead: Vector
) -> tuple[Vector, Vector, Vector]:
    """Return heel, ball and tip of the foot; on the floor the toes lie flat."""
    on_floor = leg.contact is not Contact.FREE
    if on_floor:
        level = turned(ahead, UP, side * leg.toe_out)
        sole = turned(level, unit(cross(UP, level)), -leg.toes)
        down = turned(DOWN, unit(cross(UP, level)), -leg.toes)
    else:
        shank = unit(minus(ankle, knee))
        level = unit(cross(shank, cross(UP, ahead)))
        level = turned(level, shank, -side * leg.toe_out)
        axis = unit(cross(shank, level))
        sole = turned(level, axis, leg.toes)
        down = turned(shank, axis, leg.toes)
    under = along(ankle, down, body.ANKLE_HEIGHT)
    heel = along(under, sole, -body.HEEL_BACK)
    ball = along(under, sole, body.BALL_FORWARD)
    tip = body.TOE_FORWARD - body.BALL_FORWARD
    if ball[2] + sole[2] * tip > 0:
        return heel, ball, along(ball, sole, tip)
    drop = min(max(-ball[2] / tip, -1.0), 0.0)
    flat = times(level if on_floor else ahead, math.sqrt(1 - drop**2))
    return heel, ball, along(ball, add(flat, times(UP, drop)), tip)
