"""Letters in a picture: faces, and texts made as large as their room allows."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING, Final

import fontpkg_noto_sans
from PIL import ImageFont

if TYPE_CHECKING:
    from collections.abc import Iterable

LINE: Final = 1.18
"""The height of a line for a size of 1."""

USUAL, BOLD = 450, 740
_WIDTH: Final = 100


@dataclass(frozen=True, slots=True, kw_only=True)
class Lettering:
    """Lines of one size, in pixels."""

    lines: tuple[str, ...]
    size: int
    weight: int

    @property
    def tall(self) -> int:
        """How tall they stand together."""
        return round(len(self.lines) * self.size * LINE)


@lru_cache(maxsize=64)
def face(size: int, weight: int) -> ImageFont.FreeTypeFont:
    """Return Noto Sans in a size in pixels and a weight from 100 to 900."""
    folder = Path(fontpkg_noto_sans.ROOT) / "files"
    found = ImageFont.truetype(str(folder / "NotoSans[wdth,wght].ttf"), size)
    order = [axis["name"] for axis in found.get_variation_axes()]
    values = {b"Weight": weight, b"Width": _WIDTH}
    found.set_variation_by_axes([values[name] for name in order])
    return found


def fitted(
    text: str, width: int, height: int, sizes: Iterable[int], weight: int
) -> Lettering:
    """Return a text in the largest of ``sizes`` in which it fits its room.

    ``sizes`` fall. What fits in none has the smallest, with lines cut off below.
    """
    size = 0
    lines: tuple[str, ...] = ()
    for size in sizes:
        lines = _wrapped(text, width, size, weight)
        fits = all(face(size, weight).getlength(line) <= width for line in lines)
        if fits and round(len(lines) * size * LINE) <= height:
            break
    most = max(1, int(height / (size * LINE)))
    return Lettering(lines=lines[:most], size=size, weight=weight)


def _wrapped(text: str, width: int, size: int, weight: int) -> tuple[str, ...]:
    lines: list[str] = []
    for word in text.split():
        joined = f"{lines[-1]} {word}" if lines else word
        if lines and face(size, weight).getlength(joined) <= width:
            lines[-1] = joined
        else:
            lines.append(word)
    return tuple(lines)
