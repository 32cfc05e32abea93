"""What a person reads in one breath: the sentences of a text, known by their words.

A sentence that several cues share is read once. It is known by its words alone, so
that "Rest." and "Rest!" are one line.
"""

from __future__ import annotations

import hashlib
import re
import unicodedata
from typing import Final

_END: Final = re.compile(r"(?<=[.!?…])\s+|(?<=[。！？])\s*")  # noqa: RUF001
_INNER_APOSTROPHE: Final = re.compile(r"(?<=\w)['\u2019](?=\w)")


def breaths_of(spoken: str) -> tuple[str, ...]:
    """Return the sentences of a spoken text, each with its end mark.

    >>> breaths_of("Next: heel dig. Feet flat.")
    ('Next: heel dig.', 'Feet flat.')
    """
    parts = (part.strip() for part in _END.split(spoken))
    return tuple(part for part in parts if line_id(part))


def line_id(text: str) -> str:
    """Return the id of a sentence, the same wherever its words are the same.

    Eight hexadecimal digits of the SHA-256 of the words; empty where there are none.

    >>> line_id("Feet flat.") == line_id("feet  flat!")
    True
    """
    words = _words(text)
    return hashlib.sha256(words.encode()).hexdigest()[:8] if words else ""


def _words(text: str) -> str:
    plain = _INNER_APOSTROPHE.sub("", unicodedata.normalize("NFKC", text).casefold())
    letters = "".join(
        " " if unicodedata.category(letter)[0] in "CPSZ" else letter for letter in plain
    )
    return " ".join(letters.split())
