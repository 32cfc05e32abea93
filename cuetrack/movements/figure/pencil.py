"""What a drawing is made with: it turns joints into hulls as the camera sees them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from cuetrack.movements.figure.shapes import Hull

if TYPE_CHECKING:
    from cuetrack.movements.figure.camera import Camera
    from cuetrack.movements.figure.looks import Palette
    from cuetrack.movements.positions.vectors import Vector


@dataclass(frozen=True, slots=True, kw_only=True)
class Pencil:
    """What one drawing is made with; ``moving`` names the parts that move.

    The parts are ``left_arm``, ``right_arm``, ``left_leg``, ``right_leg``, ``trunk``
    and ``head``.
    """

    camera: Camera
    palette: Palette
    moving: frozenset[str] = frozenset()

    @property
    def from_side(self) -> bool:
        """The left side is behind the right one."""
        return 55 < self.camera.around < 125

    def limb(
        self, ends: tuple[Vector, Vector], radii: tuple[float, float], fill: str
    ) -> Hull:
        """Return the hull of a limb between two joints."""
        discs = (
            self.camera.disc(ends[0], radii[0]),
            self.camera.disc(ends[1], radii[1]),
        )
        return Hull(discs=discs, fill=fill)

    def ball(self, centre: Vector, radius: float, fill: str) -> Hull:
        """Return the hull of a ball."""
        return Hull(discs=(self.camera.disc(centre, radius),), fill=fill)

    def around(self, *balls: tuple[Vector, float], fill: str) -> Hull:
        """Return the hull of several balls."""
        return Hull(discs=tuple(self.camera.disc(c, r) for c, r in balls), fill=fill)

    def cloth(self, part: str, usual: str) -> str:
        """Return the colour of clothes: dark where it moves."""
        return self.palette.moving if part in self.moving else usual
