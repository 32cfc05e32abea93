"""A sketch as SVG."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from cuetrack.movements.figure.sketch import Sketch

UNIT: float = 1000.0
"""User units to one height of the figure."""


def svg_of(sketch: Sketch) -> str:
    """Return a sketch as an SVG picture with no text and no size of its own."""
    window = sketch.window
    size = f"0 0 {window.wide * UNIT:.1f} {window.tall * UNIT:.1f}"
    shapes = "".join(
        f'<path fill="{hull.fill}" d="{_path(hull.points(), sketch)}"/>'
        for hull in sketch.hulls
    )
    paper = f'<rect width="100%" height="100%" fill="{sketch.paper}"/>'
    start = f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="{size}">'
    return f"{start}{paper}{shapes}</svg>"


def _path(points: tuple[tuple[float, float], ...], sketch: Sketch) -> str:
    window = sketch.window
    corners = (
        f"{(x - window.left) * UNIT:.1f},{(window.high - y) * UNIT:.1f}"
        for x, y in points
    )
    return f"M{'L'.join(corners)}Z"
