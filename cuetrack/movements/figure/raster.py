"""A sketch as pixels."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from PIL import Image, ImageDraw

if TYPE_CHECKING:
    from cuetrack.movements.figure.sketch import Sketch

OVERSAMPLED: Final = 3
"""Drawn so many times larger, then reduced: smooth edges."""


def picture_of(sketch: Sketch, width: int, height: int) -> Image.Image:
    """Return a sketch as a picture of so many pixels, as large as fits, centred."""
    window = sketch.window
    scale = OVERSAMPLED * min(width / window.wide, height / window.tall)
    size = (width * OVERSAMPLED, height * OVERSAMPLED)
    left = (size[0] - window.wide * scale) / 2 - window.left * scale
    top = (size[1] - window.tall * scale) / 2 + window.high * scale
    large = Image.new("RGB", size, sketch.paper)
    draw = ImageDraw.Draw(large)
    for hull in sketch.hulls:
        corners = [(left + x * scale, top - y * scale) for x, y in hull.points()]
        draw.polygon(corners, fill=hull.fill)
    return large.reduce(OVERSAMPLED)
