"""Forward kinematics: from a key position to every joint in the room.

A hand on something has its wrist there, and the elbow is found by the law of cosines
in the plane of its hint (the closed two-bone solution of inverse kinematics).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from cuetrack.movements.positions import body
from cuetrack.movements.positions.body import USUAL_CHAIR, Chair
from cuetrack.movements.positions.bones import bent_between
from cuetrack.movements.positions.hands import (
    ON_OTHER_ARM,
    REST,
    HandRest,
    Surroundings,
)
from cuetrack.movements.positions.legs import LegPoints, leg_points
from cuetrack.movements.positions.position import Contact, Position
from cuetrack.movements.positions.trunk import TrunkPoints, trunk_points
from cuetrack.movements.positions.vectors import (
    Vector,
    add,
    along,
    angle_between,
    cross,
    dot,
    minus,
    square_to,
    times,
    unit,
)

if TYPE_CHECKING:
    from cuetrack.movements.positions.position import Arm


@dataclass(frozen=True, slots=True, kw_only=True)
class ArmPoints:
    """The joints of one arm.

    ``palm`` is the middle of the palm and ``palm_faces`` its direction; ``lacks`` is
    by how much a hand falls short of what it should rest on.
    """

    shoulder: Vector
    elbow: Vector
    wrist: Vector
    palm: Vector
    tip: Vector
    palm_faces: Vector
    bend: Vector
    lacks: float

    @property
    def fingers(self) -> Vector:
        """Where the hand points."""
        return unit(minus(self.tip, self.wrist))

    @property
    def grip(self) -> Vector:
        """The line of a bar held in the hand."""
        return unit(cross(self.fingers, self.palm_faces))

    @property
    def elbow_angle(self) -> float:
        """How far the elbow is bent from straight, in degrees."""
        upper = minus(self.elbow, self.shoulder)
        return angle_between(upper, minus(self.wrist, self.elbow))


@dataclass(frozen=True, slots=True, kw_only=True)
class Skeleton:
    """Every joint of the figure in the room, in shares of its height."""

    position: Position
    chair: Chair
    trunk: TrunkPoints
    left_arm: ArmPoints
    right_arm: ArmPoints
    left_leg: LegPoints
    right_leg: LegPoints

    @property
    def arms(self) -> tuple[ArmPoints, ArmPoints]:
        """Both arms, the left one first."""
        return self.left_arm, self.right_arm

    @property
    def legs(self) -> tuple[LegPoints, LegPoints]:
        """Both legs, the left one first."""
        return self.left_leg, self.right_leg


def skeleton_of(
    position: Position, *, start: Position | None = None, chair: Chair = USUAL_CHAIR
) -> Skeleton:
    """Return every joint of a position.

    ``start`` is where planted feet stood; without it they stand where the same legs
    would be with the hips at rest on the seat.
    """
    trunk = trunk_points(position, chair)
    planted = _planted(position, start, chair)
    legs = (
        leg_points(position, 1, trunk, planted[0]),
        leg_points(position, -1, trunk, planted[1]),
    )
    left, right = _arms(position, chair, trunk, legs)
    return Skeleton(
        position=position,
        chair=chair,
        trunk=trunk,
        left_arm=left,
        right_arm=right,
        left_leg=legs[0],
        right_leg=legs[1],
    )


def _planted(
    position: Position, start: Position | None, chair: Chair
) -> tuple[Vector | None, Vector | None]:
    legs = (position.left_leg, position.right_leg)
    if not any(leg.contact is Contact.PLANTED for leg in legs):
        return None, None
    stood = start or Position()
    trunk = trunk_points(stood, chair)
    left, right = (
        leg_points(stood, side, trunk).ankle if leg.contact is Contact.PLANTED else None
        for side, leg in zip((1, -1), legs, strict=True)
    )
    return left, right


def _arms(
    position: Position,
    chair: Chair,
    trunk: TrunkPoints,
    legs: tuple[LegPoints, LegPoints],
) -> tuple[ArmPoints, ArmPoints]:
    left_waits = position.left_arm.on in ON_OTHER_ARM
    first, second = (-1, 1) if left_waits else (1, -1)
    found: dict[int, ArmPoints] = {}
    other = None
    for side in (first, second):
        around = Surroundings(
            side=side,
            chair=chair,
            trunk=trunk,
            legs=legs,
            other_arm=other,
            breath=position.trunk.breath,
        )
        arm = position.left_arm if side > 0 else position.right_arm
        found[side] = points = _arm_points(arm, around)
        other = (points.shoulder, points.elbow, points.wrist, points.palm)
    return found[1], found[-1]


def _arm_points(arm: Arm, around: Surroundings) -> ArmPoints:
    frame = around.trunk.chest_frame
    shoulder = around.at(
        around.trunk.neck,
        arm.shoulder_front / 100,
        body.SHOULDER_HALF,
        arm.shoulder_up / 100,
    )
    hint = unit(frame.of(arm.bend, around.side))
    if arm.on is not None:
        return _resting(shoulder, hint, REST[arm.on](around), around)
    upper = unit(frame.of(arm.upper, around.side))
    bend = square_to(hint, upper)
    radians = math.radians(arm.elbow)
    forearm = add(times(upper, math.cos(radians)), times(bend, math.sin(radians)))
    elbow = along(shoulder, upper, body.UPPER_ARM)
    wrist = along(elbow, forearm, body.FOREARM)
    said = frame.of(arm.palm, around.side) if arm.palm else None
    palm = _palm(forearm, said, around)
    wrist_bend = math.radians(arm.wrist)
    hand = add(times(forearm, math.cos(wrist_bend)), times(palm, math.sin(wrist_bend)))
    if arm.fingers is not None:
        hand = unit(frame.of(arm.fingers, around.side))
        palm = said or palm
    return ArmPoints(
        shoulder=shoulder,
        elbow=elbow,
        wrist=wrist,
        palm=along(wrist, hand, body.PALM),
        tip=along(wrist, hand, body.HAND),
        palm_faces=square_to(palm, hand) if abs(dot(palm, hand)) < 0.99 else palm,
        bend=bend,
        lacks=0.0,
    )


def _palm(forearm: Vector, said: Vector | None, around: Surroundings) -> Vector:
    """Return where the palm faces, square to the forearm; unsaid, to the middle."""
    frame = around.trunk.chest_frame
    choices = (
        said,
        frame.of((0.0, -1.0, 0.0), around.side),
        frame.of((0.0, 0.0, -1.0), around.side),
        frame.of((1.0, 0.0, 0.0), around.side),
    )
    for wanted in choices:
        if wanted is not None and 25 < angle_between(wanted, forearm) < 155:
            return square_to(wanted, forearm)
    return square_to(frame.front, forearm)


def _resting(
    shoulder: Vector, hint: Vector, rest: HandRest, around: Surroundings
) -> ArmPoints:
    if rest.fingers is None:
        reach = body.FOREARM + body.PALM
        elbow, palm, lacks = bent_between(
            shoulder, rest.point, body.UPPER_ARM, reach, hint
        )
        fingers = unit(minus(palm, elbow))
        wrist = along(elbow, fingers, body.FOREARM)
    else:
        fingers = rest.fingers
        aim = along(rest.point, fingers, -body.PALM)
        elbow, wrist, lacks = bent_between(
            shoulder, aim, body.UPPER_ARM, body.FOREARM, hint
        )
    upper = unit(minus(elbow, shoulder))
    forearm = minus(wrist, elbow)
    return ArmPoints(
        shoulder=shoulder,
        elbow=elbow,
        wrist=wrist,
        palm=along(wrist, fingers, body.PALM),
        tip=along(wrist, fingers, body.HAND),
        palm_faces=_palm(fingers, rest.palm, around),
        bend=square_to(forearm, upper),
        lacks=lacks,
    )
