"""How many syllables words have when spoken, by the rules of their language."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING, Any, Final

from cuetrack.errors import LanguageError
from cuetrack.languages.folders import KeyRule
from cuetrack.languages.numbers import number_in_words

if TYPE_CHECKING:
    from collections.abc import Mapping

SYLLABLE_KEYS: Final[Mapping[str, KeyRule]] = {
    "vowels": KeyRule(kind=str),
    "spoken apart": KeyRule(kind=str, optional=True),
    "silent": KeyRule(kind=str, optional=True),
    "endings": KeyRule(kind=list, optional=True),
    "before an ending": KeyRule(kind=str, optional=True),
    "dropped": KeyRule(kind=str, optional=True),
    "known": KeyRule(kind=dict, optional=True),
    "silent when timed": KeyRule(kind=str, optional=True),
}

_NEVER: Final = "(?!)"


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SyllableRules:
    """How the syllables of one language are counted by their spelling.

    ``vowels`` finds a syllable, ``apart`` one more for vowels that are spoken apart,
    ``silent`` one less. A word that ends in one of ``endings`` is counted in two
    parts where the part before looks like ``before_ending``. ``dropped`` is no part
    of a word. ``known`` are words that the rules count wrongly. ``timed_silent`` is
    the rougher rule by which cues are timed before they are spoken.
    """

    language: str
    vowels: re.Pattern[str]
    apart: re.Pattern[str]
    silent: re.Pattern[str]
    endings: tuple[str, ...]
    before_ending: re.Pattern[str]
    dropped: re.Pattern[str]
    known: Mapping[str, int]
    timed_silent: re.Pattern[str]

    def count(self, word: str) -> int:
        """Return the syllables of one word or number, at least 1."""
        return _count(self, word.casefold().replace("\u2019", "'").strip("'"))


def syllable_rules(data: Mapping[str, Any], language: str) -> SyllableRules:
    """Return the rules that a checked table holds."""

    def pattern(key: str) -> re.Pattern[str]:
        return re.compile(data.get(key, _NEVER))

    return SyllableRules(
        language=language,
        vowels=pattern("vowels"),
        apart=pattern("spoken apart"),
        silent=pattern("silent"),
        endings=tuple(data.get("endings", ())),
        before_ending=pattern("before an ending"),
        dropped=pattern("dropped"),
        known=data.get("known", {}),
        timed_silent=pattern("silent when timed"),
    )


@cache
def _count(rules: SyllableRules, word: str) -> int:
    if word in rules.known:
        return rules.known[word]
    if word.isascii() and word.isdigit() and len(word) <= 12:
        try:
            spoken = number_in_words(int(word), rules.language)
        except LanguageError:
            return len(word)
        return sum(_count(rules, part) for part in re.split(r"[\s-]+", spoken))
    letters = re.sub(r"[\W\d_]", "", rules.dropped.sub("", word))
    return max(1, _stem(rules, letters)) if letters else 1


def _stem(rules: SyllableRules, word: str) -> int:
    for ending in rules.endings:
        head = word.removesuffix(ending)
        if head != word and len(head) > 2 and rules.before_ending.search(head):
            return _stem(rules, head) + _stem(rules, ending)
    groups = len(rules.vowels.findall(word)) + len(rules.apart.findall(word))
    return groups - (rules.silent.search(word) is not None)
