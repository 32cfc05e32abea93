"""Two bones and the joint between them, solved in closed form."""

from __future__ import annotations

import math

from cuetrack.movements.positions.vectors import (
    Vector,
    add,
    along,
    length,
    minus,
    square_to,
    times,
    unit,
)


def far_apart(first: float, second: float, bend: float) -> float:
    """Return how far apart the ends of two bones are that bend by some degrees."""
    cosine = math.cos(math.radians(bend))
    return math.sqrt(first**2 + second**2 + 2 * first * second * cosine)


def bent_between(
    root: Vector, aim: Vector, first: float, second: float, hint: Vector
) -> tuple[Vector, Vector, float]:
    """Return the middle joint, the end, and by how much the aim was out of reach."""
    way = minus(aim, root)
    far = length(way)
    ahead = unit(way)
    reach = min(max(far, abs(first - second) + 1e-6), first + second - 1e-9)
    cosine = (first**2 + reach**2 - second**2) / (2 * first * reach)
    sine = math.sqrt(max(1 - cosine**2, 0.0))
    bend = square_to(hint, ahead)
    middle = add(root, times(ahead, first * cosine), times(bend, first * sine))
    return middle, along(root, ahead, reach), abs(far - reach)
