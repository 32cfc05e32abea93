"""The few shapes a picture is made of. ``kind`` says what one stands for."""

from __future__ import annotations

from dataclasses import dataclass

TEXT_SIZE = 21.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Box:
    """A rectangle; ``told`` is shown when it is pointed at."""

    x: float
    y: float
    width: float
    height: float
    kind: str
    told: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class TextLine:
    """One line of text; ``x``, ``y`` lie on its base line at its ``anchor``."""

    x: float
    y: float
    text: str
    size: float = TEXT_SIZE
    anchor: str = "start"
    turned: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Polyline:
    """A line through points."""

    points: tuple[tuple[float, float], ...]
    kind: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Glyph:
    """A small shape centred on a point."""

    x: float
    y: float
    kind: str


DrawnShape = Box | TextLine | Polyline | Glyph


@dataclass(frozen=True, slots=True, kw_only=True)
class Drawing:
    """A whole picture; ``told`` describes it to those who cannot see it."""

    width: float
    height: float
    title: str
    told: str
    language: str
    boxes: tuple[Box, ...]
    strokes: tuple[Polyline, ...]
    marks: tuple[Glyph, ...]
    labels: tuple[TextLine, ...]
