"""A sketch as SVG: outlines of arcs and straight lines, as small as they get."""

from __future__ import annotations

import math
from dataclasses import asdict
from itertools import groupby
from typing import TYPE_CHECKING, Final

from cuetrack.movements.figure.looks import IN_COLOUR

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from cuetrack.movements.figure.shapes import Disc, Hull, Point
    from cuetrack.movements.figure.sketch import Sketch

UNIT: Final = 4000
"""User units to one height of the figure: fine enough for whole numbers."""

ROLES: Final = {colour: role for role, colour in asdict(IN_COLOUR).items()}
"""What each colour of the usual palette is for."""


def svg_of(sketch: Sketch) -> str:
    """Return a sketch as an SVG file with no text and no size of its own."""
    start = f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="{_size(sketch)}">'
    paper = f'<rect width="100%" height="100%" fill="{sketch.paper}"/>'
    shapes = (f'<path fill="{fill}" d="{path}"/>' for fill, path in _paths(sketch))
    return f"{start}{paper}{''.join(shapes)}</svg>"


def row_of(panels: Sequence[Sketch]) -> str:
    """Return panels of one height side by side, as a picture inside a page.

    It has neither paper nor colours: each outline has the class of what its colour is
    for.
    """
    inner, at, tall = "", 0, 0
    for panel in panels:
        wide, tall = _sides(panel)
        paths = (f'<path class="{ROLES[fill]}" d="{d}"/>' for fill, d in _paths(panel))
        inner += f'<svg x="{at}" width="{wide}" height="{tall}" '
        inner += f'viewBox="{_size(panel)}">{"".join(paths)}</svg>'
        at += wide
    return f'<svg viewBox="0 0 {at} {tall}">{inner}</svg>'


def _sides(sketch: Sketch) -> tuple[int, int]:
    return round(sketch.window.wide * UNIT), round(sketch.window.tall * UNIT)


def _size(sketch: Sketch) -> str:
    wide, tall = _sides(sketch)
    return f"0 0 {wide} {tall}"


def _paths(sketch: Sketch) -> Iterator[tuple[str, str]]:
    """Yield a colour and the outlines of it that lie on one another."""
    for fill, run in groupby(sketch.hulls, key=lambda hull: hull.fill):
        yield fill, "".join(_outline(hull, sketch) for hull in run)


def _outline(hull: Hull, sketch: Sketch) -> str:
    """Return an outline as a path: an arc around each disc it touches."""
    x, y, radius = hull.discs[0]
    if len(hull.discs) == 1:
        return _circle(_whole((x - radius, y), sketch), round(radius * UNIT))
    points = hull.points()
    touched = [min(hull.discs, key=lambda disc: _off(disc, p)) for p in points]
    first = next(
        (at for at, disc in enumerate(touched) if disc != touched[at - 1]), None
    )
    if first is None:
        x, y, radius = touched[0]
        return _circle(_whole((x - radius, y), sketch), round(radius * UNIT))
    around = [*points[first:], *points[:first]]
    discs = [*touched[first:], *touched[:first]]
    text, last = "", (0, 0)
    for disc, run in groupby(range(len(around)), key=lambda at: discs[at]):
        ends = list(run)
        begin, end = (_whole(around[at], sketch) for at in (ends[0], ends[-1]))
        line = f"l{_step(last, begin)}" if text else f"M{begin[0]} {begin[1]}"
        text += line if begin != last or not text else ""
        if end != begin:
            turned = _turned(disc, around[ends[0]], around[ends[-1]])
            large = int(turned > math.pi)
            size = round(disc[2] * UNIT)
            text += f"a{size} {size} 0 {large} 0 {_step(begin, end)}"
        last = end
    return f"{text}z"


def _circle(start: tuple[int, int], radius: int) -> str:
    half = f"a{radius} {radius} 0 1 0"
    return f"M{start[0]} {start[1]}{half} {2 * radius} 0{half} {-2 * radius} 0z"


def _whole(point: Point, sketch: Sketch) -> tuple[int, int]:
    window = sketch.window
    x, y = point
    return round((x - window.left) * UNIT), round((window.high - y) * UNIT)


def _step(start: tuple[int, int], end: tuple[int, int]) -> str:
    return f"{end[0] - start[0]} {end[1] - start[1]}"


def _off(disc: Disc, point: Point) -> float:
    """Return how far a point is from the rim of a disc."""
    x, y, radius = disc
    return abs(math.hypot(point[0] - x, point[1] - y) - radius)


def _turned(disc: Disc, start: Point, end: Point) -> float:
    """Return the angle from one point to another around a disc, counter-clockwise."""
    angles = (math.atan2(y - disc[1], x - disc[0]) for x, y in (start, end))
    first, second = angles
    return (second - first) % (2 * math.pi)
