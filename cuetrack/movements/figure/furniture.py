"""The chair under the figure, and what it holds."""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING, Final

from cuetrack.movements.figure.shapes import BodyPart, Hull
from cuetrack.movements.positions.motion import Line, Seating, Thing
from cuetrack.movements.positions.vectors import (
    Vector,
    add,
    along,
    blend,
    minus,
    times,
    unit,
)

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from cuetrack.movements.figure.pencil import Pencil
    from cuetrack.movements.positions.body import Chair
    from cuetrack.movements.positions.motion import Held
    from cuetrack.movements.positions.skeleton import ArmPoints, Skeleton

_LOW_BACK: Final = 0.13
"""How high the back of the chair is drawn when it would hide the figure."""

_FORWARD_BY: Final = 0.085
"""How much nearer to the seat's front somebody sits who sits forward."""


def chair_parts(chair: Chair, seating: Seating, pencil: Pencil) -> tuple[BodyPart, ...]:
    """Return the seat, its legs and its back, each as far away as it is."""
    place = _placed(chair, seating)
    wide = chair.half_width

    def corner(x: float, y: float, z: float) -> Vector:
        return place((x, y, z))

    behind = pencil.camera.around > 90
    seat, high = chair.seat, chair.top
    if behind:
        high = seat + _LOW_BACK
    front, back = chair.front, -chair.back
    top = [corner(x, y, seat - 0.016) for x in (front, back) for y in (wide, -wide)]
    bars: list[tuple[Vector, Vector]] = []
    arms: list[tuple[Vector, Vector]] = []
    for y in (wide, -wide):
        bars.append((corner(front - 0.01, y, seat - 0.02), corner(front, y, 0.012)))
        bars.append((corner(back, y, seat - 0.02), corner(back - 0.02, y, 0.012)))
        bars.append((corner(back, y, seat), corner(back - 0.015, y, high)))
        if seating is Seating.ARMCHAIR:
            arm = seat + chair.arm_up
            out = y * 1.22
            arms.append((corner(front, out, arm), corner(front, out, 0.012)))
            arms.append((corner(back, out, arm), corner(front, out, arm)))
    rest = [
        corner(back - 0.012, y, z)
        for y in (wide - 0.02, -wide + 0.02)
        for z in (high, high - 0.1)
    ]
    parts = [_wood(pencil, bar, 0.012) for bar in bars]
    parts += [_wood(pencil, bar, 0.014, nearer=0.19) for bar in arms]
    return (*parts, _wood(pencil, top, 0.016), _wood(pencil, rest, 0.014))


def _placed(chair: Chair, seating: Seating) -> Callable[[Vector], Vector]:
    """Return the function that puts a point of the chair into the room."""
    match seating:
        case Seating.FORWARD:
            return lambda p: (p[0] - _FORWARD_BY, p[1], p[2])
        case Seating.SIDEWAYS:
            return lambda p: (p[1], -p[0] + chair.front - 0.09, p[2])
        case _:
            return lambda p: p


def _wood(
    pencil: Pencil, points: Sequence[Vector], radius: float, *, nearer: float = 0.0
) -> BodyPart:
    palette = pencil.palette
    hull = pencil.around(*((p, radius) for p in points), fill=palette.chair)
    depth = min(pencil.camera.depth(p) for p in points) + nearer
    if pencil.camera.around < 90:
        depth -= 0.2
    return BodyPart(hulls=(hull,), depth=depth, edge=palette.chair_edge, halo=False)


def held_parts(
    held: Held | None, skeleton: Skeleton, pencil: Pencil
) -> tuple[BodyPart, ...]:
    """Return what is held, wherever it is."""
    if held is None:
        return ()
    table: dict[Thing, Callable[[], Sequence[BodyPart]]] = {
        Thing.WEIGHTS: lambda: [_weight(arm, pencil) for arm in skeleton.arms],
        Thing.BAND: lambda: _band(held.line, skeleton, pencil),
        Thing.TOWEL: lambda: _towel(held.line, skeleton, pencil),
        Thing.BREATH: lambda: _breath(skeleton, pencil),
        Thing.SQUEEZE: tuple,
        Thing.BALL: lambda: [_round_thing(held, skeleton, pencil)],
        Thing.CUSHION: lambda: [_round_thing(held, skeleton, pencil)],
    }
    return tuple(table[held.thing]())


def _breath(skeleton: Skeleton, pencil: Pencil) -> tuple[BodyPart, ...]:
    """Return three strokes that leave the mouth, once the belly sinks."""
    if skeleton.position.trunk.breath > 1.5:
        return ()
    trunk, face = skeleton.trunk, skeleton.trunk.head_frame
    mouth = add(trunk.head, times(face.front, 0.085), times(face.up, -0.035))
    strokes = []
    for rise in (0.35, 0.0, -0.35):
        way = unit(add(face.front, times(face.up, rise)))
        ends = (along(mouth, way, 0.02), along(mouth, way, 0.085))
        strokes.append(pencil.limb(ends, (0.006, 0.006), pencil.palette.arrow))
    return (BodyPart(hulls=tuple(strokes), depth=9.0, edge=pencil.palette.paper),)


def _part(pencil: Pencil, hulls: tuple[Hull, ...], near: list[Vector]) -> BodyPart:
    depth = max(pencil.camera.depth(p) for p in near) + 0.06
    return BodyPart(hulls=hulls, depth=depth, edge=pencil.palette.edge)


def _weight(arm: ArmPoints, pencil: Pencil) -> BodyPart:
    grip, colour = arm.grip, pencil.palette.thing
    ends = [along(arm.palm, grip, sign * 0.047) for sign in (1, -1)]
    bar = pencil.limb((ends[0], ends[1]), (0.012, 0.012), colour)
    knobs = tuple(
        pencil.limb((end, along(end, grip, sign * 0.016)), (0.031, 0.031), colour)
        for end, sign in zip(ends, (1, -1), strict=True)
    )
    fist = pencil.ball(arm.palm, 0.029, pencil.palette.skin)
    return _part(pencil, (bar, *knobs, fist), [arm.palm])


def _strip(pencil: Pencil, points: list[Vector], radius: float) -> BodyPart:
    hulls = tuple(
        pencil.limb((a, b), (radius, radius), pencil.palette.thing)
        for a, b in pairwise(points)
    )
    depth = max(pencil.camera.depth(p) for p in points) - 0.02
    return BodyPart(hulls=hulls, depth=depth, edge=pencil.palette.edge)


def _band(line: Line, skeleton: Skeleton, pencil: Pencil) -> tuple[BodyPart, ...]:
    left, right = skeleton.left_arm.palm, skeleton.right_arm.palm
    feet = [_under(skeleton, 1), _under(skeleton, -1)]
    match line:
        case Line.FEET_TO_HANDS:
            ways = [[left, feet[0]], [feet[0], feet[1]], [feet[1], right]]
        case Line.RIGHT_FOOT_TO_HANDS:
            ways = [[left, feet[1]], [feet[1], right]]
        case Line.AROUND_KNEES:
            return (_around_knees(skeleton, pencil),)
        case Line.BEHIND_BACK_TO_HANDS:
            chest = skeleton.trunk.chest_frame
            back = along(skeleton.trunk.chest, chest.front, -0.07)
            sides = [along(back, chest.left, s * 0.1) for s in (1, -1)]
            ways = [[left, sides[0]], [sides[0], sides[1]], [sides[1], right]]
        case _:
            ways = [[left, right]]
    return tuple(_strip(pencil, way, 0.009) for way in ways)


def _under(skeleton: Skeleton, side: int) -> Vector:
    leg = skeleton.left_leg if side > 0 else skeleton.right_leg
    return along(leg.ball, unit(minus(leg.ball, leg.ankle)), 0.006)


def _around_knees(skeleton: Skeleton, pencil: Pencil) -> BodyPart:
    left, right = (blend(g.hip, g.knee, 0.86) for g in skeleton.legs)
    over = [add(p, (0.0, 0.0, 0.045)) for p in (left, right)]
    out = [add(p, (0.0, s * 0.047, 0.0)) for p, s in ((left, 1), (right, -1))]
    part = _strip(pencil, [over[1], over[0]], 0.01)
    sides = _strip(pencil, [out[0], over[0]], 0.01)
    other = _strip(pencil, [out[1], over[1]], 0.01)
    hulls = (*part.hulls, *sides.hulls, *other.hulls)
    return BodyPart(hulls=hulls, depth=part.depth + 0.1, edge=pencil.palette.edge)


def _towel(line: Line, skeleton: Skeleton, pencil: Pencil) -> tuple[BodyPart, ...]:
    left, right = skeleton.left_arm.palm, skeleton.right_arm.palm
    if line is Line.RIGHT_FOOT_TO_HANDS:
        foot = skeleton.right_leg.ball
        return tuple(_strip(pencil, [hand, foot], 0.011) for hand in (left, right))
    return (_strip(pencil, [left, right], 0.016),)


def _round_thing(held: Held, skeleton: Skeleton, pencil: Pencil) -> BodyPart:
    if held.line is Line.BETWEEN_KNEES:
        centre = blend(skeleton.left_leg.knee, skeleton.right_leg.knee, 0.5)
        centre = add(centre, (-0.03, 0.0, 0.025))
    elif held.line is Line.IN_RIGHT_HAND:
        arm = skeleton.right_arm
        centre = add(arm.palm, times(arm.palm_faces, 0.03), times(arm.fingers, 0.01))
    else:
        centre = blend(skeleton.left_arm.palm, skeleton.right_arm.palm, 0.5)
        centre = add(centre, times(skeleton.trunk.chest_frame.front, 0.01))
    colour = pencil.palette.thing
    if held.thing is Thing.CUSHION:
        corners = [
            add(centre, (x, y, z))
            for x in (-0.05, 0.05)
            for y in (-0.012, 0.012)
            for z in (-0.05, 0.04)
        ]
        hull = pencil.around(*((c, 0.026) for c in corners), fill=colour)
    else:
        hull = pencil.ball(
            centre, 0.05 if held.line is not Line.IN_RIGHT_HAND else 0.04, colour
        )
    return _part(pencil, (hull,), [centre])
