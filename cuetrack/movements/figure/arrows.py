"""Arrows that show which way a movement goes on its way out."""

from __future__ import annotations

import math
from itertools import pairwise
from typing import TYPE_CHECKING, Final

from cuetrack.movements.figure.shapes import BodyPart, Hull, Point
from cuetrack.movements.figure.trails import trails_of
from cuetrack.movements.positions.motion import Line, Thing
from cuetrack.movements.positions.vectors import blend

if TYPE_CHECKING:
    from cuetrack.movements.figure.pencil import Pencil
    from cuetrack.movements.positions.motion import Held
    from cuetrack.movements.positions.skeleton import Skeleton

OFF: Final = 0.06
"""How far beside the way of a joint its arrow runs."""

LEAST: Final = 0.14
"""The shortest arrow that the back row can see."""

SMALLEST_LOOP: Final = 0.075
"""The least radius of an arrow that goes round."""

SHAFT: Final = 0.0075
HEAD: Final = 0.034
NEAREST: Final = 9.0
"""A depth before everything else."""


def arrow_parts(
    way: tuple[Skeleton, ...], moving: frozenset[str], pencil: Pencil, *, looped: bool
) -> tuple[BodyPart, ...]:
    """Return an arrow for each thing that moves, along the way it goes.

    A ``looped`` one goes round its own middle; others run beside the joint.
    """
    centre = pencil.camera.seen(way[-1].trunk.chest)
    arrows: list[BodyPart] = []
    for trail in trails_of(way, moving, from_side=pencil.from_side):
        seen = [pencil.camera.seen(point) for point in trail.points]
        if looped:
            arrows.append(_arrow(_loop(seen), pencil))
        else:
            arrows.append(_arrow(_beside(seen, centre, trail.off * OFF), pencil))
    return tuple(arrows)


def squeeze_parts(
    held: Held | None, skeleton: Skeleton, pencil: Pencil
) -> tuple[BodyPart, ...]:
    """Return two short arrows that press together where muscles tighten."""
    if held is None or held.thing is not Thing.SQUEEZE:
        return ()
    palms = [arm.palm for arm in skeleton.arms]
    at = {
        Line.AT_HANDS: skeleton.right_arm.palm,
        Line.AT_PALMS: blend(palms[0], palms[1], 0.5),
    }.get(held.line, skeleton.right_leg.hip)
    x, y = pencil.camera.seen(at)
    right, up = (0.0, 1.0) if held.line is Line.AT_HANDS else (1.0, 0.0)
    one = [(x + right * far, y + up * far) for far in _CLOSING]
    other = [(x - right * far, y - up * far) for far in _CLOSING]
    return _arrow(one, pencil), _arrow(other, pencil)


_CLOSING: Final = (0.19, 0.15, 0.07)


def _loop(seen: list[Point]) -> list[Point]:
    """Return most of a circle, the way round that the points go."""
    x = (min(x for x, _ in seen) + max(x for x, _ in seen)) / 2
    y = (min(y for _, y in seen) + max(y for _, y in seen)) / 2
    area = sum(a[0] * b[1] - b[0] * a[1] for a, b in pairwise([*seen, seen[0]]))
    far = sum(math.hypot(px - x, py - y) for px, py in seen) / len(seen)
    radius = max(far, SMALLEST_LOOP)
    turn = math.copysign(math.radians(300), area)
    start = math.radians(-60 if area > 0 else 240)
    angles = (start + turn * step / 24 for step in range(25))
    return [(x + radius * math.cos(a), y + radius * math.sin(a)) for a in angles]


def _beside(seen: list[Point], centre: Point, off: float) -> list[Point]:
    """Return a trail moved to its outer side, and lengthened when it is short."""
    start, end = seen[0], seen[-1]
    way = (end[0] - start[0], end[1] - start[1])
    far = math.hypot(*way) or 1e-9
    normal = (-way[1] / far, way[0] / far)
    middle = seen[len(seen) // 2]
    bulge = (middle[0] - (start[0] + end[0]) / 2, middle[1] - (start[1] + end[1]) / 2)
    lean = normal[0] * bulge[0] + normal[1] * bulge[1]
    if abs(lean) < 0.06 * far:
        lean = normal[0] * (middle[0] - centre[0]) + normal[1] * (middle[1] - centre[1])
    shift = off if lean >= 0 else -off
    grow = max(LEAST / far, 1.0)
    if grow > 1.0:
        seen = [start, ((start[0] + end[0]) / 2, (start[1] + end[1]) / 2), end]
    return [
        (
            end[0] + (x - end[0]) * grow + normal[0] * shift,
            end[1] + (y - end[1]) * grow + normal[1] * shift,
        )
        for x, y in seen
    ]


def _arrow(points: list[Point], pencil: Pencil) -> BodyPart:
    """Return a line with a head at its last point."""
    colour = pencil.palette.arrow
    tip = points[-1]
    far, last = 0.0, len(points) - 1
    while last > 0 and far < HEAD:
        last -= 1
        far = math.hypot(tip[0] - points[last][0], tip[1] - points[last][1])
    base, far = points[last], max(far, 1e-9)
    ahead = ((tip[0] - base[0]) / far, (tip[1] - base[1]) / far)
    root = (tip[0] - ahead[0] * HEAD, tip[1] - ahead[1] * HEAD)
    wing = (-ahead[1] * HEAD * 0.62, ahead[0] * HEAD * 0.62)
    head = Hull(
        discs=(
            (tip[0], tip[1], 0.003),
            (root[0] + wing[0], root[1] + wing[1], 0.003),
            (root[0] - wing[0], root[1] - wing[1], 0.003),
        ),
        fill=colour,
    )
    shaft = [*points[: last + 1], root]
    hulls = tuple(
        Hull(discs=((*a, SHAFT), (*b, SHAFT)), fill=colour) for a, b in pairwise(shaft)
    )
    paper = pencil.palette.paper
    return BodyPart(hulls=(*hulls, head), depth=NEAREST, edge=paper, halo=False)
