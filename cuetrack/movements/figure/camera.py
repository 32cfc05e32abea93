"""From where the figure is looked at, and its joints in the plane of the picture."""

from __future__ import annotations

import math
from dataclasses import dataclass
from types import MappingProxyType
from typing import TYPE_CHECKING, Final

from cuetrack.movements.positions.motion import View
from cuetrack.movements.positions.vectors import Vector, cross, dot

if TYPE_CHECKING:
    from collections.abc import Mapping

    from cuetrack.movements.figure.shapes import Disc, Point


@dataclass(frozen=True, slots=True, kw_only=True)
class Camera:
    """A parallel projection.

    ``around`` turns the eye from straight ahead toward the figure's right side, and
    ``above`` lifts it over the level, both in degrees.
    """

    around: float
    above: float

    @property
    def toward(self) -> Vector:
        """The direction from the figure to the eye."""
        around, above = math.radians(self.around), math.radians(self.above)
        return (
            math.cos(around) * math.cos(above),
            -math.sin(around) * math.cos(above),
            math.sin(above),
        )

    @property
    def rightward(self) -> Vector:
        """What is to the right in the picture."""
        around = math.radians(self.around)
        return (math.sin(around), math.cos(around), 0.0)

    def seen(self, point: Vector) -> Point:
        """Return where a point of the room is in the picture.

        >>> [round(c, 6) for c in Camera(around=90, above=0).seen((0.3, 0.5, 0.2))]
        [0.3, 0.2]
        """
        up = cross(self.toward, self.rightward)
        return dot(point, self.rightward), dot(point, up)

    def disc(self, point: Vector, radius: float) -> Disc:
        """Return a ball of the room as a disc of the picture."""
        x, y = self.seen(point)
        return x, y, radius

    def depth(self, point: Vector) -> float:
        """Return how near a point is to the eye."""
        return dot(point, self.toward)


CAMERAS: Final[Mapping[View, Camera]] = MappingProxyType(
    {
        View.SIDE: Camera(around=68, above=9),
        View.QUARTER: Camera(around=40, above=13),
        View.FRONT: Camera(around=6, above=8),
        View.HIGH: Camera(around=24, above=34),
        View.BACK: Camera(around=168, above=20),
    }
)
"""The eye for each view; the working right side is turned to it."""
