"""Points and directions in space as plain triples.

Axes of the room: x to the front of the seated person, y to that person's left,
z up. Lengths are shares of the person's standing height; angles are degrees.
"""

from __future__ import annotations

import math
from typing import Final

Vector = tuple[float, float, float]

UP: Final[Vector] = (0.0, 0.0, 1.0)
DOWN: Final[Vector] = (0.0, 0.0, -1.0)


def add(*vectors: Vector) -> Vector:
    """Return the sum of all.

    >>> add((1.0, 0.0, 0.0), (0.0, 2.0, 0.0))
    (1.0, 2.0, 0.0)
    """
    return (
        sum(v[0] for v in vectors),
        sum(v[1] for v in vectors),
        sum(v[2] for v in vectors),
    )


def minus(a: Vector, b: Vector) -> Vector:
    """Return the way from b to a."""
    return (a[0] - b[0], a[1] - b[1], a[2] - b[2])


def times(a: Vector, factor: float) -> Vector:
    """Return a vector ``factor`` times as long."""
    return (a[0] * factor, a[1] * factor, a[2] * factor)


def along(start: Vector, direction: Vector, distance: float) -> Vector:
    """Return the point that far from ``start`` in a direction of length 1."""
    return add(start, times(direction, distance))


def dot(a: Vector, b: Vector) -> float:
    """Return the scalar product."""
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]


def cross(a: Vector, b: Vector) -> Vector:
    """Return the vector product, right-handed.

    >>> cross((1.0, 0.0, 0.0), (0.0, 1.0, 0.0))
    (0.0, 0.0, 1.0)
    """
    return (
        a[1] * b[2] - a[2] * b[1],
        a[2] * b[0] - a[0] * b[2],
        a[0] * b[1] - a[1] * b[0],
    )


def length(a: Vector) -> float:
    """Return how long a vector is."""
    return math.sqrt(dot(a, a))


def distance(a: Vector, b: Vector) -> float:
    """Return how far two points are apart."""
    return length(minus(a, b))


def unit(a: Vector) -> Vector:
    """Return the direction of a vector; a vector without one stays as it is.

    >>> unit((0.0, 0.0, 3.0))
    (0.0, 0.0, 1.0)
    """
    size = length(a)
    return times(a, 1 / size) if size > 1e-12 else a


def square_to(a: Vector, axis: Vector) -> Vector:
    """Return the direction of what of ``a`` is square to ``axis``."""
    return unit(minus(a, times(axis, dot(a, axis))))


def blend(a: Vector, b: Vector, share: float) -> Vector:
    """Return the point at ``share`` of the straight way from a to b."""
    return (
        a[0] + (b[0] - a[0]) * share,
        a[1] + (b[1] - a[1]) * share,
        a[2] + (b[2] - a[2]) * share,
    )


def swing(a: Vector, b: Vector, share: float) -> Vector:
    """Return the direction at ``share`` of the shortest turn from a to b."""
    angle = angle_between(a, b)
    if angle < 1e-6:
        return a
    if angle > 179.9:
        return unit(blend(a, b, share)) if abs(share - 0.5) > 1e-3 else a
    whole = math.radians(angle)
    sine = math.sin(whole)
    return unit(
        add(
            times(a, math.sin((1 - share) * whole) / sine),
            times(b, math.sin(share * whole) / sine),
        )
    )


def angle_between(a: Vector, b: Vector) -> float:
    """Return the angle between two vectors, 0 to 180 degrees.

    >>> angle_between((1.0, 0.0, 0.0), (0.0, 2.0, 0.0))
    90.0
    """
    return math.degrees(math.atan2(length(cross(a, b)), dot(a, b)))


def turned(a: Vector, axis: Vector, angle: float) -> Vector:
    """Return ``a`` turned about an axis of length 1, by the right-hand rule.

    >>> [round(c, 6) for c in turned((1.0, 0.0, 0.0), (0.0, 0.0, 1.0), 90)]
    [0.0, 1.0, 0.0]
    """
    cosine, sine = math.cos(math.radians(angle)), math.sin(math.radians(angle))
    return add(
        times(a, cosine),
        times(cross(axis, a), sine),
        times(axis, dot(axis, a) * (1 - cosine)),
    )
