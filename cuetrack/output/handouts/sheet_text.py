"""Texts of a plan made fit to be printed: nothing in them can disturb a page.

Markup is no concern here, the templates see to that. What remains are letters
that no file may hold, marks that turn the direction of all that follows, words
without an end, and titles longer than the line they stand in.
"""

from __future__ import annotations

import re
import unicodedata
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from cuetrack.languages.phrases import Phrases

POP_FORMAT = "\N{POP DIRECTIONAL FORMATTING}"
POP_ISOLATE = "\N{POP DIRECTIONAL ISOLATE}"
FIRST_STRONG_ISOLATE = "\N{FIRST STRONG ISOLATE}"
_OPENERS = {
    "\N{LEFT-TO-RIGHT EMBEDDING}": POP_FORMAT,
    "\N{RIGHT-TO-LEFT EMBEDDING}": POP_FORMAT,
    "\N{LEFT-TO-RIGHT OVERRIDE}": POP_FORMAT,
    "\N{RIGHT-TO-LEFT OVERRIDE}": POP_FORMAT,
    "\N{LEFT-TO-RIGHT ISOLATE}": POP_ISOLATE,
    "\N{RIGHT-TO-LEFT ISOLATE}": POP_ISOLATE,
    FIRST_STRONG_ISOLATE: POP_ISOLATE,
}
_RIGHT_TO_LEFT = frozenset({"R", "AL", "RLE", "RLO", "RLI"})
_UNKNOWN = "\N{REPLACEMENT CHARACTER}"
_LONGEST_WORD = 24
_PIECE = 12


def shown(text: str) -> str:
    """Return a text on one line, of letters that every file and font program takes.

    Marks of direction are kept, but closed, so that they end with the text.

    >>> shown("heel" + chr(0) + " dig" + chr(10) + "left")
    'heel dig left'
    """
    visible = "".join(map(_visible, text))
    return _closed(" ".join(visible.split()))


def _visible(letter: str) -> str:
    category = unicodedata.category(letter)
    if category == "Cc":
        return " "
    return _UNKNOWN if category in {"Cs", "Cn"} else letter


def _closed(text: str) -> str:
    """Close every mark of direction; drop what would close one outside the text."""
    open_marks: list[str] = []
    kept = []
    for letter in text:
        if letter in _OPENERS:
            open_marks.append(_OPENERS[letter])
        elif letter in {POP_FORMAT, POP_ISOLATE}:
            if not open_marks or open_marks[-1] != letter:
                continue
            open_marks.pop()
        kept.append(letter)
    return "".join([*kept, *reversed(open_marks)])


def apart(text: str) -> str:
    """Return a text whose direction does not reach into what stands beside it.

    >>> apart("heel dig")
    'heel dig'
    """
    if any(unicodedata.bidirectional(letter) in _RIGHT_TO_LEFT for letter in text):
        return f"{FIRST_STRONG_ISOLATE}{text}{POP_ISOLATE}"
    return text


def breakable(text: str) -> str:
    """Return a text in which very long words may be broken at the end of a line."""
    return re.sub(rf"\S{{{_LONGEST_WORD + 1},}}", _in_pieces, text)


def _in_pieces(word: re.Match[str]) -> str:
    letters = word.group()
    pieces = [letters[at : at + _PIECE] for at in range(0, len(letters), _PIECE)]
    return "\N{ZERO WIDTH SPACE}".join(pieces)


def shortened(text: str, most: int) -> str:
    """Return at most ``most`` characters of a text that is shown already.

    >>> shortened("Ten gentle minutes", 11)
    'Ten gentle…'
    """
    if len(text) <= most:
        return text
    return _closed(f"{text[: most - 1].rstrip()}…")


def capital(text: str) -> str:
    """Return text with a capital first letter.

    >>> capital("heel dig")
    'Heel dig'
    """
    return text[:1].upper() + text[1:]


def short_length(length_ms: int, phrases: Phrases) -> str:
    """Return ``1 min 30 s`` in the pack's language; parts of a second are kept."""
    minutes, rest_ms = divmod(length_ms, 60_000)
    parts = []
    if minutes:
        parts.append(phrases.on_sheet("short minutes", count=str(minutes)))
    if rest_ms or not minutes:
        parts.append(phrases.on_sheet("short seconds", count=f"{rest_ms / 1000:g}"))
    return " ".join(parts)
