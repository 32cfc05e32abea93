"""The timeline picture: a class at a glance, as SVG and as PNG.

All of it is black, white and grey, told apart by height, pattern and shape, so that
a photocopy says as much as the screen.
"""

from __future__ import annotations

import math
from functools import cache
from types import MappingProxyType
from typing import TYPE_CHECKING

import jinja2

from cuetrack.output.handouts.picture_layout import FOOT_HEIGHT, drawing_of
from cuetrack.output.handouts.sheet_typesetting import png_of, template

if TYPE_CHECKING:
    from collections.abc import Mapping

    from cuetrack.languages.phrases import Phrases
    from cuetrack.output.handouts.picture_shapes import Drawing
    from cuetrack.output.track.cuefile import CueFile

MOST_PIXELS = 40_000_000
"""A longer class gets a coarser PNG rather than one no program opens."""

_OUTLINE = 'stroke="#000" stroke-width="1.5"'
_LOOKS: Mapping[str, str] = MappingProxyType(
    {
        "section": 'fill="#e4e4e4" stroke="#fff" stroke-width="3"',
        "work": 'fill="#fff" stroke="#000" stroke-width="3"',
        "move": f'fill="#fff" {_OUTLINE}',
        "recovery": f'fill="#fff" {_OUTLINE}',
        "rest": f'fill="#fff" {_OUTLINE}',
        "talk": f'fill="#fff" {_OUTLINE} stroke-dasharray="5 4"',
    }
)
_FEET: Mapping[str, str] = MappingProxyType(
    {
        "work": 'fill="#000"',
        "move": f'fill="#b0b0b0" {_OUTLINE}',
        "recovery": f'fill="url(#stripes)" {_OUTLINE}',
    }
)
_STROKES: Mapping[str, str] = MappingProxyType(
    {
        "axis": 'stroke="#000" stroke-width="2"',
        "lane": 'stroke="#bbb" stroke-width="1"',
        "side": 'stroke="#000" stroke-width="2" stroke-dasharray="4 3"',
        "speech": 'stroke="#000" stroke-width="4"',
    }
)
_MARKS: Mapping[str, tuple[str, str]] = MappingProxyType(
    {
        "tones": ("M0-9V9", 'stroke="#000" stroke-width="3"'),
        "clock": ("M-4-6H4V6H-4Z", 'fill="#000"'),
        "next": ("M-6-8L8 0L-6 8Z", 'fill="#000"'),
        "coaching": (
            "M-6 0a6 6 0 1 0 12 0a6 6 0 1 0-12 0Z",
            'fill="#fff" stroke="#000" stroke-width="2"',
        ),
        "other": ("M0-9L8 0L0 9L-8 0Z", 'fill="#fff" stroke="#000" stroke-width="2"'),
    }
)


def timeline_svg(cue_file: CueFile, phrases: Phrases) -> str:
    """Return the picture of a track as an SVG file."""
    return _svg(drawing_of(cue_file, phrases))


def timeline_png(
    cue_file: CueFile, phrases: Phrases, *, pixels_wide: int = 2400
) -> bytes:
    """Return the picture of a track as a PNG file, so many pixels wide.

    That of a very long class is narrower, so that it still can be opened.
    """
    drawing = drawing_of(cue_file, phrases)
    scale = pixels_wide / drawing.width
    most = math.sqrt(MOST_PIXELS / (drawing.width * drawing.height))
    return png_of(_svg(drawing), drawing.width, min(scale, most))


def _svg(drawing: Drawing) -> str:
    return _svg_template().render(
        drawing=drawing,
        foot=FOOT_HEIGHT,
        looks=_LOOKS,
        feet=_FEET,
        strokes=_STROKES,
        marks=_MARKS,
    )


@cache
def _svg_template() -> jinja2.Template:
    environment = jinja2.Environment(
        autoescape=True,
        trim_blocks=True,
        undefined=jinja2.StrictUndefined,
        keep_trailing_newline=True,
    )
    environment.filters["n"] = lambda value: f"{value:.1f}".removesuffix(".0")
    return environment.from_string(template("picture.svg.j2"))
