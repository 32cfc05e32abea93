"""Whatever is shown reaches the screen as plain text that the screen can show."""

from __future__ import annotations

import codecs
import io
import re
import sys
import unicodedata

_HANDLER = "cuetrack.stand_ins"
_UNSEEN = re.compile(r"[\x00-\x09\x0b-\x1f\x7f-\x9f\u2028-\u202e\u2066-\u2069]")
"""All control characters but the end of a line, and those that turn a line round."""

_STAND_INS = {
    **dict.fromkeys("\u2010\u2011\u2012\u2013\u2014\u2015\u2212─━╸╺", "-"),
    **dict.fromkeys("\u2018\u2019\u201a\u2032", "'"),
    **dict.fromkeys("\u201c\u201d\u201e\u2033«»", '"'),
    **dict.fromkeys("\u00a0\u2009\u202f", " "),
    "\u00d7": "x",
    "\u2022": "*",
    "…": "...",
    "█": "#",
    "▓": "=",
    "▒": "~",
    "░": "_",
    "·": ".",
}
"""Dashes, quotes, spaces, and what the commands draw with."""


def without_controls(text: str) -> str:
    r"""Return text that can steer no terminal: what is not for reading becomes ``?``.

    >>> without_controls("Monday \x1b[31mclass")
    'Monday ?[31mclass'
    """
    return _UNSEEN.sub("?", text)


def in_quotes(path: object) -> str:
    """Return a path as it is typed into a command, on any system.

    >>> in_quotes("my class/a.yaml"), in_quotes("a.yaml")
    ('"my class/a.yaml"', 'a.yaml')
    """
    return f'"{path}"' if re.search(r"[\s&'();<>|*?]", str(path)) else str(path)


def show_what_the_screen_can() -> None:
    """Let the streams of this process stand in for letters that they cannot show."""
    codecs.register_error(_HANDLER, _stand_in)
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors=_HANDLER)
    if isinstance(sys.stdin, io.TextIOWrapper):
        sys.stdin.reconfigure(errors="replace")


def _stand_in(error: UnicodeError) -> tuple[str, int]:
    if not isinstance(error, UnicodeEncodeError):
        raise error
    letters = error.object[error.start : error.end]
    return "".join(map(plain_letter, letters)), error.end


def plain_letter(letter: str) -> str:
    """Return what stands for a letter where only ASCII can be shown.

    >>> "".join(map(plain_letter, "“Übung…体操”"))
    '"Ubung...??"'
    """
    if unicodedata.combining(letter):
        return ""
    base = unicodedata.normalize("NFD", letter)[0]
    if base.isascii() and base.isalpha():
        return base
    return _STAND_INS.get(letter, "?")
