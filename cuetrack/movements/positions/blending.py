"""A position between two others, with its contacts solved again.

Angles are blended, not points: limbs keep their lengths and joints pass through
what a joint can do. A hand that rests on the same place in both stays on it; one
that leaves a place goes from where it was found there. A foot on the floor in both
stays on it, and one that comes or goes never sinks below it.
"""

from __future__ import annotations

import math
from dataclasses import fields, replace
from typing import TYPE_CHECKING, Final, TypeVar

from cuetrack.movements.positions import body
from cuetrack.movements.positions.bones import bent_between
from cuetrack.movements.positions.measures import ankle_up
from cuetrack.movements.positions.position import Arm, Contact, Leg, Position
from cuetrack.movements.positions.skeleton import skeleton_of
from cuetrack.movements.positions.vectors import (
    UP,
    Vector,
    add,
    angle_between,
    blend,
    dot,
    minus,
    square_to,
    swing,
    times,
    unit,
)

if TYPE_CHECKING:
    from cuetrack.movements.positions.skeleton import Skeleton

HOP: Final = 0.02
"""How high a stepping foot passes over the floor."""

_Numbers = TypeVar("_Numbers")


def between(
    first: Skeleton,
    second: Skeleton,
    share: float,
    *,
    straight_hands: bool = False,
    stepping: bool = False,
) -> Position:
    """Return the position at ``share`` of the way from one to the other.

    Parameters
    ----------
    share
        0 is the first, 1 the second; beyond them the way goes on.
    straight_hands
        The hands go on a straight line of the chest's frame, as in a press.
    stepping
        A foot that changes its place on the floor is lifted on the way.
    """
    a, b = first.position, second.position
    trunk = _numbers_between(a.trunk, b.trunk, share)
    arms = [
        _arm_between(first, second, side, share, straight=straight_hands)
        for side in (-1, 1)
    ]
    legs = [_leg_between(first, second, side, share) for side in (-1, 1)]
    position = Position(
        trunk=trunk,
        head=_numbers_between(a.head, b.head, share),
        pelvis=_numbers_between(a.pelvis, b.pelvis, share),
        right_arm=arms[0],
        left_arm=arms[1],
        right_leg=legs[0],
        left_leg=legs[1],
    )
    return _over_the_floor(position, first, second, share, stepping=stepping)


def _mix(a: float, b: float, share: float) -> float:
    return a + (b - a) * share


def _numbers_between(a: _Numbers, b: _Numbers, share: float) -> _Numbers:
    names = [f.name for f in fields(a)]  # type: ignore[arg-type]
    mixed = {n: _mix(getattr(a, n), getattr(b, n), share) for n in names}
    return type(a)(**mixed)


def _arm_between(
    first: Skeleton, second: Skeleton, side: int, share: float, *, straight: bool
) -> Arm:
    a, b = _arm(first, side), _arm(second, side)
    if a.on is not None and a.on == b.on:
        nearer = b if share > 0.5 else a
        return replace(
            nearer,
            bend=swing(unit(a.bend), unit(b.bend), share),
            shoulder_up=_mix(a.shoulder_up, b.shoulder_up, share),
            shoulder_front=_mix(a.shoulder_front, b.shoulder_front, share),
        )
    a, b = freed(first, side), freed(second, side)
    if a == b:
        return a
    mixed = replace(
        b if share > 0.5 else a,
        upper=swing(a.upper, b.upper, share),
        elbow=_mix(a.elbow, b.elbow, share),
        bend=unit(swing(a.bend, b.bend, share)),
        palm=swing(a.palm or b.bend, b.palm or a.bend, share),
        fingers=swing(a.fingers or a.upper, b.fingers or b.upper, share),
        shoulder_up=_mix(a.shoulder_up, b.shoulder_up, share),
        shoulder_front=_mix(a.shoulder_front, b.shoulder_front, share),
    )
    return _on_a_line(mixed, a, b, share) if straight else mixed


def _on_a_line(arm: Arm, a: Arm, b: Arm, share: float) -> Arm:
    """Return the arm with its wrist on the straight way between two wrists."""
    wrist = blend(_wrist(a), _wrist(b), share)
    elbow, end, _ = bent_between(
        (0.0, 0.0, 0.0), wrist, body.UPPER_ARM, body.FOREARM, _elbow_hint(arm)
    )
    upper, forearm = unit(elbow), minus(end, elbow)
    bent = angle_between(upper, forearm)
    return replace(
        arm,
        upper=upper,
        elbow=bent,
        bend=square_to(forearm, upper) if bent > 0.5 else arm.bend,
    )


def _wrist(arm: Arm) -> Vector:
    bend = square_to(arm.bend, arm.upper)
    cosine, sine = math.cos(math.radians(arm.elbow)), math.sin(math.radians(arm.elbow))
    return tuple(  # type: ignore[return-value]
        u * (body.UPPER_ARM + body.FOREARM * cosine) + v * body.FOREARM * sine
        for u, v in zip(arm.upper, bend, strict=True)
    )


def _elbow_hint(arm: Arm) -> Vector:
    """Return which way the elbow lies off the line from shoulder to wrist."""
    bend = square_to(arm.bend, arm.upper)
    return minus(times(arm.upper, math.sin(math.radians(arm.elbow)) + 0.05), bend)


def _arm(skeleton: Skeleton, side: int) -> Arm:
    position = skeleton.position
    return position.left_arm if side > 0 else position.right_arm


def freed(skeleton: Skeleton, side: int) -> Arm:
    """Return an arm that no longer rests on anything, just as it was found."""
    arm = _arm(skeleton, side)
    points = skeleton.left_arm if side > 0 else skeleton.right_arm
    frame = skeleton.trunk.chest_frame
    faces = frame.local(points.palm_faces, side)
    if arm.on is None:
        bend = square_to(arm.bend, arm.upper)
        fingers = frame.local(points.fingers, side)
        return replace(arm, palm=faces, bend=bend, fingers=fingers)
    upper = unit(minus(points.elbow, points.shoulder))
    return replace(
        arm,
        on=None,
        upper=frame.local(upper, side),
        elbow=points.elbow_angle,
        bend=frame.local(points.bend, side),
        palm=faces,
        fingers=frame.local(points.fingers, side),
    )


def _leg_between(first: Skeleton, second: Skeleton, side: int, share: float) -> Leg:
    a, b = _leg(first, side), _leg(second, side)
    if a == b:
        return a
    on_floor = Contact.FREE not in (a.contact, b.contact)
    planted = Contact.PLANTED in (a.contact, b.contact)
    legs = [first.left_leg, second.left_leg]
    if side < 0:
        legs = [first.right_leg, second.right_leg]
    thigh = _mix(legs[0].thigh, legs[1].thigh, share)
    contact = Contact.FREE
    if on_floor:
        contact = Contact.PLANTED if planted else Contact.FLOOR
    return Leg(
        contact=contact,
        thigh=None if on_floor else thigh,
        knee=_mix(a.knee, b.knee, share),
        out=_mix(a.out, b.out, share),
        splay=_mix(a.splay, b.splay, share),
        toes=_mix(_toes(first, a, side), _toes(second, b, side), share)
        if not on_floor
        else _mix(a.toes, b.toes, share),
        toe_out=_mix(a.toe_out, b.toe_out, share),
    )


def _leg(skeleton: Skeleton, side: int) -> Leg:
    position = skeleton.position
    return position.left_leg if side > 0 else position.right_leg


def _toes(skeleton: Skeleton, leg: Leg, side: int) -> float:
    """Return how far the foot is drawn up from a right angle to the shin."""
    if leg.contact is Contact.FREE:
        return leg.toes
    return ankle_up(skeleton.left_leg if side > 0 else skeleton.right_leg)


def _over_the_floor(
    position: Position,
    first: Skeleton,
    second: Skeleton,
    share: float,
    *,
    stepping: bool,
) -> Position:
    for name, side in (("right_leg", -1), ("left_leg", 1)):
        a, b, leg = _leg(first, side), _leg(second, side), getattr(position, name)
        if a == b:
            continue
        hop = HOP * 4 * share * (1 - share) if stepping and 0 < share < 1 else 0.0
        if leg.contact is Contact.FREE or hop:
            lifted = _lifted(position, name, side, hop, first)
            position = replace(position, **{name: lifted})  # type: ignore[arg-type]
    return position


def _lifted(
    position: Position, name: str, side: int, clearance: float, start: Skeleton
) -> Leg:
    """Return the leg with its foot off the floor by at least ``clearance``.

    The ankle goes straight up by what is missing, and hip and knee follow.
    """
    leg: Leg = getattr(position, name)
    free = leg
    for _ in range(6):
        trial = replace(position, **{name: free})  # type: ignore[arg-type]
        skeleton = skeleton_of(trial, start=start.position, chair=start.chair)
        points = skeleton.left_leg if side > 0 else skeleton.right_leg
        lacking = clearance - min(points.heel[2], points.ball[2], points.toe[2])
        if lacking < 5e-4:
            break
        aim = add(points.ankle, (0.0, 0.0, lacking))
        ahead = unit(
            (points.knee[0] - points.hip[0], points.knee[1] - points.hip[1], 0.0)
        )
        knee, ankle, _ = bent_between(
            points.hip, aim, body.THIGH, body.SHANK, add(ahead, UP)
        )
        thigh = minus(knee, points.hip)
        free = replace(
            leg,
            contact=Contact.FREE,
            thigh=math.degrees(math.atan2(dot(thigh, ahead), -thigh[2])),
            knee=angle_between(thigh, minus(ankle, knee)),
            toes=_toes(skeleton, free, side),
        )
    return free
