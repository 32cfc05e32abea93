"""All pictures on one sheet, each movement with its name."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Final

import fontpkg_noto_sans
from PIL import Image, ImageDraw, ImageFont

from cuetrack.movements.figure.raster import picture_of
from cuetrack.movements.figure.sketch import panels_of
from cuetrack.movements.positions.motion import holding

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence

    from cuetrack.movements.positions.motion import Motion

PICTURE_WIDE: Final = 620
PICTURE_TALL: Final = 330
NAME_TALL: Final = 44
PADDING: Final = 8
COLUMNS: Final = 3
ROWS: Final = 6
"""How many pictures are on one page, as tall as a sheet of A4 is to its width."""

_INK: Final = "#20252b"
_RULE: Final = "#c8ccd0"


def pages_of(motions: Iterable[Motion]) -> tuple[Image.Image, ...]:
    """Return pages with all movements in order, `COLUMNS` by `ROWS` on each."""
    cells = list(_cells(motions))
    size = COLUMNS * ROWS
    pages = (cells[at : at + size] for at in range(0, len(cells), size))
    return tuple(_page(page) for page in pages)


def one_sheet(motions: Iterable[Motion]) -> Image.Image:
    """Return all movements in order as one picture, however long."""
    return _page(list(_cells(motions)))


def _cells(motions: Iterable[Motion]) -> Iterator[Image.Image]:
    """Yield each movement, and once more with what else it may be done with."""
    for motion in motions:
        yield named_picture(motion, motion.name)
        if motion.or_held:
            other = motion.or_held.thing
            yield named_picture(
                holding(motion, other), f"{motion.name}, with a {other}"
            )


def named_picture(motion: Motion, name: str) -> Image.Image:
    """Return one movement: its positions side by side, its name above."""
    cell = Image.new("RGB", (PICTURE_WIDE, PICTURE_TALL + NAME_TALL), "white")
    cell.paste(panels_in_a_row(motion, PICTURE_WIDE, PICTURE_TALL), (0, NAME_TALL))
    draw = ImageDraw.Draw(cell)
    draw.text((12, 6), name, fill=_INK, font=_face(26))
    draw.rectangle((0, 0, cell.width - 1, cell.height - 1), outline=_RULE)
    return cell


def panels_in_a_row(motion: Motion, width: int, height: int) -> Image.Image:
    """Return the positions of a movement side by side, at one scale, centred."""
    panels = panels_of(motion)
    wide = sum(panel.window.wide for panel in panels)
    scale = min(height / panels[0].window.tall, (width - 2 * PADDING) / wide)
    row = Image.new("RGB", (width, height), panels[0].paper)
    left = (width - wide * scale) / 2
    for panel in panels:
        across = panel.window.wide * scale
        row.paste(picture_of(panel, round(across), height), (round(left), 0))
        left += across
    return row


def _page(cells: Sequence[Image.Image]) -> Image.Image:
    rows = -(-len(cells) // COLUMNS)
    tall = PICTURE_TALL + NAME_TALL
    page = Image.new("RGB", (COLUMNS * PICTURE_WIDE, max(rows, 1) * tall), "white")
    for number, cell in enumerate(cells):
        row, column = divmod(number, COLUMNS)
        page.paste(cell, (column * PICTURE_WIDE, row * tall))
    return page


@cache
def _face(size: int) -> ImageFont.FreeTypeFont:
    folder = Path(fontpkg_noto_sans.ROOT) / "files"
    return ImageFont.truetype(str(folder / "NotoSans[wdth,wght].ttf"), size)
