"""Single quantities of one posture, each a function of its joints."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Final

from cuetrack.movements.positions import body, ranges
from cuetrack.movements.positions.hands import SUPPORTS
from cuetrack.movements.positions.vectors import (
    DOWN,
    UP,
    Vector,
    angle_between,
    cross,
    distance,
    dot,
    minus,
    square_to,
    times,
    unit,
)

if TYPE_CHECKING:
    from collections.abc import Callable

    from cuetrack.movements.positions.legs import LegPoints
    from cuetrack.movements.positions.ranges import JointRange
    from cuetrack.movements.positions.skeleton import ArmPoints, Skeleton

ON_FLOOR: Final = 0.006
"""A foot this near the floor stands on it, in shares of height."""

SIDES: Final = (1, -1)


def hand_above_shoulder_deg(skeleton: Skeleton) -> float:
    """Return how far above level a straight arm would bring a palm as high as it is."""
    highest = max(arm.palm[2] - arm.shoulder[2] for arm in skeleton.arms)
    return math.degrees(math.asin(min(max(highest / _REACH, -1.0), 1.0)))


_REACH: Final = body.UPPER_ARM + body.FOREARM + body.PALM


def arm_lift(arm: ArmPoints, skeleton: Skeleton) -> float:
    """Return the angle of the upper arm to the trunk, whichever way it is lifted."""
    down = times(skeleton.trunk.chest_frame.up, -1)
    return angle_between(minus(arm.elbow, arm.shoulder), down)


def arm_lift_deg(skeleton: Skeleton) -> float:
    """Return the most that an upper arm is lifted to the front or the side."""
    lifts = (arm_lift(a, skeleton) for a in skeleton.arms if _is_ahead(a, skeleton))
    return max(lifts, default=0.0)


def arm_back_deg(skeleton: Skeleton) -> float:
    """Return the most that an upper arm is behind the trunk."""
    lifts = (arm_lift(a, skeleton) for a in skeleton.arms if not _is_ahead(a, skeleton))
    return max(lifts, default=0.0)


def _is_ahead(arm: ArmPoints, skeleton: Skeleton) -> bool:
    """Tell an arm lifted to the front or side from one drawn back."""
    frame = skeleton.trunk.chest_frame
    upper = minus(arm.elbow, arm.shoulder)
    return dot(upper, frame.front) > -abs(dot(upper, frame.left)) - 1e-6


def thigh_flexion(leg: LegPoints, skeleton: Skeleton) -> float:
    """Return how far a thigh is bent up from the line of the pelvis."""
    down = times(skeleton.trunk.pelvis_frame.up, -1)
    thigh = minus(leg.knee, leg.hip)
    behind = dot(thigh, skeleton.trunk.pelvis_frame.front) < 0
    return angle_between(thigh, down) * (-1 if behind else 1)


def thigh_opened(leg: LegPoints, side: int) -> float:
    """Return how far a thigh points outward from straight ahead; inward, negative."""
    thigh = unit(minus(leg.knee, leg.hip))
    sagittal = (thigh[0], 0.0, thigh[2])
    angle = angle_between(thigh, sagittal)
    return angle if thigh[1] * side >= 0 else -angle


def thigh_turned_in(leg: LegPoints, side: int) -> float:
    """Return how far a thigh is turned inward about its own line.

    With the thigh level that moves the foot outward. Near a straight knee it
    cannot be seen and counts as 0.
    """
    thigh = unit(minus(leg.knee, leg.hip))
    shank = unit(minus(leg.ankle, leg.knee))
    if angle_between(thigh, shank) < 25 or angle_between(thigh, DOWN) < 25:
        return 0.0
    rest, now = square_to(DOWN, thigh), square_to(shank, thigh)
    angle = angle_between(rest, now)
    outward = dot(cross(rest, now), thigh) * side > 0
    return angle if outward else -angle


def knee_bend(leg: LegPoints) -> float:
    """Return how far a knee is bent from straight."""
    return angle_between(minus(leg.knee, leg.hip), minus(leg.ankle, leg.knee))


def ankle_up(leg: LegPoints) -> float:
    """Return how far a foot is drawn up from a right angle to the shin."""
    return 90 - angle_between(minus(leg.knee, leg.ankle), minus(leg.ball, leg.heel))


def wrist_bend(arm: ArmPoints) -> float:
    """Return how far a hand is bent toward its palm; to its back, negative."""
    forearm = unit(minus(arm.wrist, arm.elbow))
    across = square_to(cross(arm.fingers, arm.palm_faces), forearm)
    palm = cross(across, forearm)
    return math.degrees(math.atan2(dot(arm.fingers, palm), dot(arm.fingers, forearm)))


def _across(points: tuple[Vector, Vector]) -> float:
    """Return how far a point of the left or right side is past the middle."""
    left, right = points
    return max(-left[1], right[1])


def on_floor(leg: LegPoints) -> bool:
    """Tell whether any part of a foot stands on the floor."""
    return min(leg.heel[2], leg.ball[2], leg.toe[2]) < ON_FLOOR


def _lean(skeleton: Skeleton) -> float:
    """Return how far the line from hips to shoulders is forward of upright."""
    line = minus(skeleton.trunk.neck, skeleton.trunk.pelvis)
    angle = angle_between((line[0], 0.0, line[2]), UP)
    return angle if line[0] >= 0 else -angle


def _beyond(
    measure: Callable[[Skeleton], float], to: JointRange, sign: int
) -> Callable[[Skeleton], float]:
    """Return the share of one direction of a range that a measure takes."""
    return lambda skeleton: (
        max(sign * measure(skeleton), 0.0) / (to.most if sign > 0 else -to.least)
    )


def _lever(skeleton: Skeleton) -> float:
    """Return how far level a palm is from its shoulder, at most."""
    return max(
        distance((*arm.palm[:2], 0.0), (*arm.shoulder[:2], 0.0))
        for arm in skeleton.arms
    )


QUANTITIES: Final[dict[str, Callable[[Skeleton], float]]] = {
    "hand_above_shoulder_deg": hand_above_shoulder_deg,
    "hand_over_crown": lambda s: max(a.palm[2] for a in s.arms) - s.trunk.crown[2],
    "arm_lift_deg": arm_lift_deg,
    "arm_back_deg": arm_back_deg,
    "hip_flexion_deg": lambda s: max(thigh_flexion(leg, s) for leg in s.legs),
    "knee_above_hip": lambda s: max(leg.knee[2] - leg.hip[2] for leg in s.legs),
    "knee_across": lambda s: _across((s.left_leg.knee, s.right_leg.knee)),
    "foot_across": lambda s: _across((s.left_leg.ball, s.right_leg.ball)),
    "hip_turned_in_deg": lambda s: max(map(thigh_turned_in, s.legs, SIDES)),
    "hip_opened_deg": lambda s: max(map(thigh_opened, s.legs, SIDES)),
    "knee_straight_deg": lambda s: min(map(knee_bend, s.legs)),
    "spine_bend": _beyond(lambda s: s.position.trunk.bend, ranges.SPINE_BEND, 1),
    "spine_side": _beyond(lambda s: abs(s.position.trunk.side), ranges.SPINE_SIDE, 1),
    "spine_turn": _beyond(lambda s: abs(s.position.trunk.turn), ranges.SPINE_TURN, 1),
    "lean_forward_deg": _lean,
    "lean_back_deg": lambda s: -_lean(s),
    "neck_bend": _beyond(lambda s: s.position.head.nod, ranges.NECK_BEND, 1),
    "neck_arch": _beyond(lambda s: s.position.head.nod, ranges.NECK_BEND, -1),
    "neck_side": _beyond(lambda s: abs(s.position.head.side), ranges.NECK_SIDE, 1),
    "neck_turn": _beyond(lambda s: abs(s.position.head.turn), ranges.NECK_TURN, 1),
    "head_below_heart": lambda s: s.trunk.heart[2] - s.trunk.head[2],
    "wrist_bend": _beyond(lambda s: max(map(wrist_bend, s.arms)), ranges.WRIST, 1),
    "wrist_back": _beyond(lambda s: min(map(wrist_bend, s.arms)), ranges.WRIST, -1),
    "lever_shoulder": _lever,
    "feet_on_floor": lambda s: sum(map(on_floor, s.legs)),
    "hands_on_chair": lambda s: sum(
        arm.on in SUPPORTS for arm in (s.position.left_arm, s.position.right_arm)
    ),
    "off_seat": lambda s: s.position.pelvis.rise / 100,
}
"""Each quantity of a posture by its name in `demands.Reach`."""

LEAST: Final = frozenset({"knee_straight_deg", "feet_on_floor", "hands_on_chair"})
"""Quantities whose least value on the way is the hardest."""
