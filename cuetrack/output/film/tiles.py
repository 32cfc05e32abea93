"""The parts of the picture of a film, each drawn by itself when it changes.

All places are in pixels of the whole picture and even, as video wants them.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from PIL import Image, ImageDraw, ImageOps

from cuetrack.movements.figure.contact_sheet import panels_in_a_row
from cuetrack.movements.figure.raster import picture_of
from cuetrack.movements.figure.sketch import sketch_at
from cuetrack.output.film.lettering import BOLD, LINE, USUAL, face, fitted
from cuetrack.output.film.shots import Showing

if TYPE_CHECKING:
    from collections.abc import Sequence

    from cuetrack.output.film.lettering import Lettering
    from cuetrack.output.film.shots import Shot
    from cuetrack.output.handouts.strip import StripBlock

WIDE, TALL = 1280, 720
GROUND: Final = "#fbf8f1"
INK: Final = "#211a2b"
SOFT: Final = "#4a4256"
EDGE: Final = "#6a6178"
STATE: Final = "#16476f"
WHITE: Final = "#ffffff"


@dataclass(frozen=True, slots=True, kw_only=True)
class Area:
    """A rectangle of the picture."""

    x: int
    y: int
    wide: int
    tall: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Layout:
    """Where everything is."""

    strip: Area
    line: Area
    figure: Area
    words: Area
    count: Area
    foot: Area
    caption: Area | None


def layout(*, captions: bool) -> Layout:
    """Return where everything is, with or without room for captions."""
    tall = 470 if captions else 560
    top, left, right = 126, 30, 682
    return Layout(
        strip=Area(x=left, y=18, wide=1220, tall=62),
        line=Area(x=left, y=84, wide=1220, tall=34),
        figure=Area(x=left, y=top, wide=620, tall=tall),
        words=Area(x=right, y=top, wide=568, tall=200),
        count=Area(x=right, y=top + 200, wide=568, tall=142),
        foot=Area(x=right, y=top + 342, wide=568, tall=tall - 342),
        caption=Area(x=left, y=610, wide=1220, tall=94) if captions else None,
    )


def strip_tile(
    area: Area, blocks: Sequence[StripBlock], shots: Sequence[Shot], now_ms: float
) -> Image.Image:
    """Return the strip, empty up to now, the present block standing out."""
    tile, draw = _blank(area)
    for block, shot in zip(blocks, shots, strict=True):
        left, right = (
            round(edge * (area.wide - 1)) for edge in (block.start, block.end)
        )
        top = round((1 - block.height) * (area.tall - 1))
        whole = (left, top, right, area.tall - 1)
        present = shot.start_ms <= now_ms < shot.end_ms
        done = (now_ms - shot.start_ms) / max(1, shot.end_ms - shot.start_ms)
        full = round(left + min(1.0, max(0.0, done)) * (right - left))
        if full < right:
            colour = STATE if present else EDGE
            draw.rectangle((full, top, right, area.tall - 1), fill=colour)
        if present:
            draw.rectangle(whole, outline=INK, width=3)
        elif done >= 1:
            draw.rectangle(whole, outline=EDGE)
        else:
            draw.rectangle(whole, outline=GROUND)
    return tile


def line_tile(area: Area, place: str, clock: str) -> Image.Image:
    """Return the line under the strip: where we are, and the time."""
    tile, draw = _blank(area)
    wide = face(24, BOLD).getlength(clock)
    text = fitted(place, area.wide - round(wide) - 30, area.tall, (24, 22, 20), 600)
    _write(draw, text, (0, 2), SOFT)
    draw.text((area.wide - 1, 2), clock, fill=SOFT, font=face(24, 600), anchor="ra")
    return tile


def words_tile(area: Area, shot: Shot) -> Image.Image:
    """Return the phase, what is done, and on which side."""
    tile, draw = _blank(area)
    wide = round(face(30, BOLD).getlength(shot.badge)) + 36
    fill, ink = (STATE, WHITE) if shot.moving else (GROUND, INK)
    outline = STATE if shot.moving else INK
    draw.rounded_rectangle((0, 0, wide, 46), 9, fill=fill, outline=outline, width=3)
    draw.text((18, 23), shot.badge, fill=ink, font=face(30, BOLD), anchor="lm")
    if shot.over:
        draw.text(
            (wide + 20, 24), shot.over, fill=SOFT, font=face(28, 600), anchor="lm"
        )
    room = area.tall - 58 - (46 if shot.side else 0)
    name = shot.what if shot.what != shot.badge else ""
    what = fitted(_capital(name), area.wide, room, range(68, 25, -2), BOLD)
    _write(draw, what, (0, 52), INK)
    if shot.side:
        at = 56 + what.tall + 22
        draw.polygon(
            [(0, at), (9, at - 9), (18, at), (9, at + 9)], outline=INK, width=3
        )
        draw.text((30, at), shot.side, fill=INK, font=face(34, BOLD), anchor="lm")
    return tile


def count_tile(area: Area, count: str, unit: str) -> Image.Image:
    """Return the time that is left, in figures as large as they get."""
    tile, draw = _blank(area)
    size = 168 if len(count) <= 2 else 132
    base = area.tall - 10
    draw.text((-4, base), count, fill=INK, font=face(size, BOLD), anchor="ls")
    beside = round(face(size, BOLD).getlength(count)) + 16
    draw.text((beside, base), unit, fill=INK, font=face(30, 600), anchor="ls")
    return tile


def foot_tile(area: Area, shot: Shot) -> Image.Image:
    """Return what comes next, or how the next movement is done."""
    tile, draw = _blank(area)
    draw.line((0, 9, area.wide, 9), fill=EDGE, width=2)
    top = 14
    if shot.foot_head:
        draw.text((0, top), shot.foot_head, fill=SOFT, font=face(24, 600))
        top += 30
    weight = BOLD if shot.foot_head else USUAL
    text = _capital(shot.foot)
    sizes = range(36, 21, -2)
    _write(
        draw,
        fitted(text, area.wide, area.tall - top - 8, sizes, weight),
        (0, top),
        INK,
    )
    return tile


def caption_tile(area: Area, lines: Sequence[str]) -> Image.Image:
    """Return what the voice says, in its frame; an empty frame in between."""
    tile, draw = _blank(area)
    edges = (0, 0, area.wide - 1, area.tall - 1)
    draw.rounded_rectangle(edges, 10, fill=WHITE, outline=EDGE, width=2)
    size = 34
    top = (area.tall - len(lines) * size * LINE) / 2 - 5
    for line in lines:
        draw.text((22, top), line, fill=INK, font=face(size, 500))
        top += size * LINE
    return tile


def figure_tile(area: Area, shot: Shot, phase: float) -> Image.Image:
    """Return the figure in its frame: solid while people move, else dashed or none."""
    inner = (area.wide - 16, area.tall - 16)
    if shot.figure is None:
        return _blank(area)[0]
    motion = shot.figure.motion
    if shot.showing is Showing.POSITIONS:
        drawn = panels_in_a_row(motion, *inner)
    else:
        sketch = sketch_at(motion, phase, hold=shot.figure.cadence.hold)
        drawn = picture_of(sketch, *inner)
    if shot.figure.mirrored:
        drawn = ImageOps.mirror(drawn)
    tile, draw = _blank(area)
    draw.rounded_rectangle((0, 0, area.wide - 1, area.tall - 1), 9, fill=WHITE)
    tile.paste(drawn, (8, 8))
    if shot.showing is Showing.MOVING:
        edges = (0, 0, area.wide - 1, area.tall - 1)
        draw.rounded_rectangle(edges, 9, outline=STATE, width=6)
    elif shot.showing is Showing.POSITIONS:
        _dashed(draw, area)
    return tile


def _dashed(draw: ImageDraw.ImageDraw, area: Area) -> None:
    for start in range(0, area.wide, 28):
        for y in (2, area.tall - 3):
            draw.line((start, y, min(start + 16, area.wide), y), fill=EDGE, width=5)
    for start in range(0, area.tall, 28):
        for x in (2, area.wide - 3):
            draw.line((x, start, x, min(start + 16, area.tall)), fill=EDGE, width=5)


def blank(area: Area) -> Image.Image:
    """Return a area with nothing in it."""
    return Image.new("RGB", (area.wide, area.tall), GROUND)


def _blank(area: Area) -> tuple[Image.Image, ImageDraw.ImageDraw]:
    tile = blank(area)
    return tile, ImageDraw.Draw(tile)


def _write(
    draw: ImageDraw.ImageDraw, text: Lettering, at: tuple[int, int], colour: str
) -> None:
    left, top = at
    for number, line in enumerate(text.lines):
        y = top + round(number * text.size * LINE)
        draw.text((left, y), line, fill=colour, font=face(text.size, text.weight))


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]
