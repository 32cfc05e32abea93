"""Tells when a sentence is plainly in another language than the class is.

By common words alone (``common_words.yaml``): a sentence counts as foreign when it has
more of them that only the other language has than of its own. Short and mixed texts
get the benefit of the doubt, so that a foreign name or dance term is let pass.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cache, lru_cache
from pathlib import Path
from typing import TYPE_CHECKING, Final

from cuetrack.languages.folders import base_language, table_in

if TYPE_CHECKING:
    from collections.abc import Mapping

LEAST_WORDS: Final = 4
LEAST_FOREIGN: Final = 2
"""How many different foreign words there must be."""
LEAST_SHARE: Final = 0.3
"""What share of all words is foreign in a foreign sentence."""

_WORD: Final = re.compile(r"[^\W\d_]+")
_FILE: Final = Path(__file__).with_name("common_words.yaml")


@dataclass(frozen=True, slots=True, kw_only=True)
class CommonWords:
    """The words a language is known by, and those that only look like another's."""

    name: str
    words: frozenset[str]
    at_home: frozenset[str]


@lru_cache(4096)
def foreign_language(text: str, language: str) -> str | None:
    """Return the English name of the language a text is in, None if it is no other.

    ``language`` is the code of the one expected; None too where little is known of it.

    >>> foreign_language("Levez les bras, puis baissez les mains.", "en-GB")
    'French'
    >>> foreign_language("A grand plié, then port de bras to the left.", "en")
    """
    known = _known()
    own = known.get(base_language(language))
    said = [word.casefold() for word in _WORD.findall(text)]
    if own is None or len(said) < LEAST_WORDS:
        return None
    at_home = sum(word in own.words for word in said)
    best, name = max(
        (_foreign(said, other, own), other.name)
        for other in known.values()
        if other is not own
    )
    foreign = best > at_home and best >= LEAST_SHARE * len(said)
    return name if foreign else None


def _foreign(said: list[str], other: CommonWords, own: CommonWords) -> int:
    """Return how many words are the other language's only, 0 if too few differ."""
    only = other.words - own.words - own.at_home
    found = [word for word in said if len(word) > 1 and word in only]
    return len(found) if len(set(found)) >= LEAST_FOREIGN else 0


@cache
def _known() -> Mapping[str, CommonWords]:
    return {
        code: CommonWords(
            name=table["name"],
            words=frozenset(table["words"].split()),
            at_home=frozenset(table.get("at home", "").split()),
        )
        for code, table in table_in(_FILE.read_text("utf-8"), str(_FILE)).items()
    }
