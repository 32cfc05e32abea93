"""The one thing pictures are made of: smooth outlines around discs, in layers.

Points are in the plane of the picture, x to the right and y up, in shares of the
figure's height. A `Hull` is the tightest outline around some discs: a limb is the
hull of two, a hand of one, the seat of a chair of four. Whatever writes a picture
gets the same points, so that a drawing for print and one for a screen agree.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

Point = tuple[float, float]
Disc = tuple[float, float, float]
"""A middle, x and y, and a radius."""

CORNER_DEG: Final = 12.0
"""How finely an arc is cut into straight edges."""

EDGE: Final = 0.0085
"""How wide the dark line around each part is."""

HALO: Final = 0.011
"""How wide the strip of paper around that line is, where parts cross."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Hull:
    """The tightest outline around discs, filled with one colour."""

    discs: tuple[Disc, ...]
    fill: str

    def grown(self, by: float, fill: str) -> Hull:
        """Return the same outline pushed out on all sides, in another colour."""
        return Hull(discs=tuple((x, y, r + by) for x, y, r in self.discs), fill=fill)

    def points(self) -> tuple[Point, ...]:
        """Return the corners of the outline, counter-clockwise."""
        if len(self.discs) == 1:
            return _arc(self.discs[0], 0.0, 360.0 - CORNER_DEG)
        if len(self.discs) == 2:
            return _limb(*self.discs)
        return _hull([p for d in self.discs for p in _arc(d, 0.0, 360.0 - CORNER_DEG)])


@dataclass(frozen=True, slots=True, kw_only=True)
class BodyPart:
    """Hulls that share one dark line around them all, and how near they are.

    ``depth`` grows toward the eye. Without ``edge`` there is no line around.
    """

    hulls: tuple[Hull, ...]
    depth: float
    edge: str | None
    halo: bool = True


def layers(parts: tuple[BodyPart, ...], paper: str) -> tuple[Hull, ...]:
    """Return all hulls from the farthest to the nearest, lines and halos included."""
    drawn: list[Hull] = []
    for part in sorted(parts, key=lambda p: p.depth):
        if part.edge is not None:
            if part.halo:
                drawn += [hull.grown(EDGE + HALO, paper) for hull in part.hulls]
            drawn += [hull.grown(EDGE, part.edge) for hull in part.hulls]
        drawn += part.hulls
    return tuple(drawn)


def _arc(disc: Disc, start: float, end: float) -> tuple[Point, ...]:
    x, y, radius = disc
    steps = max(1, math.ceil((end - start) / CORNER_DEG))
    angles = (math.radians(start + (end - start) * i / steps) for i in range(steps + 1))
    return tuple((x + radius * math.cos(a), y + radius * math.sin(a)) for a in angles)


def _limb(first: Disc, second: Disc) -> tuple[Point, ...]:
    """Return the outline around two discs: two arcs and their common tangents."""
    (x1, y1, r1), (x2, y2, r2) = first, second
    far = math.hypot(x2 - x1, y2 - y1)
    if far <= abs(r1 - r2) + 1e-9:
        return _arc(first if r1 >= r2 else second, 0.0, 360.0 - CORNER_DEG)
    along = math.degrees(math.atan2(y2 - y1, x2 - x1))
    tangent = math.degrees(math.acos((r1 - r2) / far))
    return (
        *_arc(second, along - tangent, along + tangent),
        *_arc(first, along + tangent, along + 360.0 - tangent),
    )


def _hull(points: list[Point]) -> tuple[Point, ...]:
    """Return the convex hull (Andrew's monotone chain), counter-clockwise."""
    ordered = sorted(set(points))

    def chain(ranked: list[Point]) -> list[Point]:
        found: list[Point] = []
        for point in ranked:
            while len(found) > 1 and _turn(found[-2], found[-1], point) <= 0:
                found.pop()
            found.append(point)
        return found[:-1]

    return tuple(chain(ordered) + chain(ordered[::-1]))


def _turn(a: Point, b: Point, c: Point) -> float:
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])
