"""How much room a text takes in a picture, and texts made to fit their room.

Widths are estimated from the kinds of letters, a little too wide rather than too
narrow, so that a label fits whatever plain face it is drawn in.
"""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass

LINE_HEIGHT = 1.2
_EM = {
    **dict.fromkeys("iIjl.,:;'|! ", 0.34),
    **dict.fromkeys("rtf()[]-/", 0.45),
    **dict.fromkeys("csvxyzk", 0.55),
    **dict.fromkeys("mMW@%&\N{EM DASH}\N{HORIZONTAL ELLIPSIS}", 1.0),
    "w": 0.82,
}
"""Widths of letters for a size of 1, where they are not those of most."""


def width_of(text: str, size: float) -> float:
    """Return about how wide a line of text is, in the unit of ``size``."""
    return size * sum(map(_em, text))


def _em(letter: str) -> float:
    if unicodedata.combining(letter) or unicodedata.category(letter) == "Cf":
        return 0.0
    if letter in _EM:
        return _EM[letter]
    if unicodedata.east_asian_width(letter) in "WF":
        return 1.05
    if letter.isascii():
        return 0.72 if letter.isupper() else 0.62
    return 0.8


def cut_to(text: str, width: float, size: float) -> str:
    """Return as much of a text as fits, with an ellipsis; empty if that is nothing.

    >>> cut_to("heel dig", 1000, 20)
    'heel dig'
    """
    if width_of(text, size) <= width:
        return text
    room = width - width_of("…", size)
    used, kept = 0.0, 0
    while kept < len(text) and used + width_of(text[kept], size) <= room:
        used += width_of(text[kept], size)
        kept += 1
    start = text[:kept].rstrip()
    return f"{start}…" if len(start) >= 2 else ""


@dataclass(frozen=True, slots=True, kw_only=True)
class FittedLines:
    """Lines that fit a room, upright or turned a quarter to the left."""

    lines: tuple[str, ...]
    turned: bool
    is_cut: bool = False


def fitted(text: str, width: float, height: float, size: float) -> FittedLines | None:
    """Return a text broken to fit a room: upright if it can be, else turned.

    What fits neither way is cut, along the longer side of the room. None where not
    even a few letters fit.
    """
    for turned, along, across in ((False, width, height), (True, height, width)):
        lines = _wrapped(text, along, size)
        if lines and len(lines) * size * LINE_HEIGHT <= across:
            return FittedLines(lines=lines, turned=turned)
    turned = height > width
    along, across = (height, width) if turned else (width, height)
    cut = cut_to(text, along, size)
    if not cut or size * LINE_HEIGHT > across:
        return None
    return FittedLines(lines=(cut,), turned=turned, is_cut=True)


def _wrapped(text: str, width: float, size: float) -> tuple[str, ...]:
    """Break a text at gaps and hyphens; nothing if a word is wider than the line."""
    lines: list[str] = []
    for word in re.findall(r"[^\s-]*-+|[^\s-]+", text):
        gap = "" if lines and lines[-1].endswith("-") else " "
        joined = f"{lines[-1]}{gap}{word}" if lines else word
        if lines and width_of(joined, size) <= width:
            lines[-1] = joined
        elif width_of(word, size) <= width:
            lines.append(word)
        else:
            return ()
    return tuple(lines)
