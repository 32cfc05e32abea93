"""Names compared as people mean them, and the nearest one to a slip."""

from __future__ import annotations

import difflib
import re
import unicodedata
from functools import lru_cache
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable

_LONGEST_COMPARED = 80


def key_form(text: str) -> str:
    """Return ``text`` so that spellings of one key are equal.

    >>> key_form("Warm up") == key_form("warm-up") == key_form("warm_up")
    True
    """
    return re.sub(r"[-_\s]+", "", unicodedata.normalize("NFC", text).casefold())


def singular(word: str) -> str:
    """Return a word without its plural ending, as far as spelling shows it.

    >>> [singular(word) for word in ("knees", "dizziness", "arthritis", "injuries")]
    ['knee', 'dizziness', 'arthritis', 'injury']
    """
    if len(word) > 4 and word.endswith("ies"):
        return word[:-3] + "y"
    if re.search(r"(ss|x|ch|sh)es$", word):
        return word[:-2]
    if len(word) > 3 and re.search(r"[^siu]s$", word):
        return word[:-1]
    return word


@lru_cache(maxsize=4096)
def movement_key(name: str) -> str:
    """Return ``name`` so that spellings of one movement are equal.

    Case, hyphens, spaces, other punctuation and plurals are ignored.

    >>> movement_key("Shoulder-blade squeezes")
    'shoulderbladesqueeze'
    """
    plain = unicodedata.normalize("NFKC", name).casefold()
    return "".join(singular(word) for word in re.findall(r"[^\W_]+", plain))


def nearest(word: str, known: Iterable[str]) -> str | None:
    """Return the known name that ``word`` most likely means, or None.

    >>> nearest("movments", ["movements", "rest"])
    'movements'
    """
    if len(word) > _LONGEST_COMPARED:
        return None
    names = {key_form(name): name for name in known}
    found = difflib.get_close_matches(key_form(word), names, n=1, cutoff=0.6)
    return names[found[0]] if found else None
