"""The words by which movements in a leader's own words are read, as data."""

from __future__ import annotations

import difflib
import re
from dataclasses import dataclass
from functools import cache, lru_cache
from types import MappingProxyType
from typing import TYPE_CHECKING, Final

from cuetrack.languages.folders import (
    FALLBACK,
    KeyRule,
    base_language,
    language_file,
    read_table,
)
from cuetrack.languages.group_words import words_of

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping
    from pathlib import Path

FILE: Final = "body.yaml"
_LISTS: Final = ("endings", "passing", "joining", "refusing", "not refusing", "until")
_KEYS: Final = {
    **{key: KeyRule(kind=list) for key in (*_LISTS, "seldom")},
    **{key: KeyRule(kind=dict) for key in ("same", "questions", "words")},
}
_SHORTEST_STEM: Final = 3
_SHORTEST_MENDED: Final = 5
_ALIKE: Final = 0.8
_GAP: Final = "..."
_ANY_WORDS: Final = r"(?: \S+){0,3}"


@dataclass(frozen=True, slots=True, kw_only=True)
class BodyWords:
    """The words of one language.

    ``patterns`` find each thing in a clause of stems; ``known`` are all words that
    mean something; in stems of ``plain`` no slip of typing is looked for.
    """

    language: str
    endings: tuple[str, ...]
    same: Mapping[str, str]
    passing: frozenset[str]
    joining: frozenset[str]
    refusing: re.Pattern[str]
    not_refusing: re.Pattern[str]
    until: re.Pattern[str]
    patterns: Mapping[str, re.Pattern[str]]
    questions: Mapping[str, str]
    known: tuple[str, ...]
    plain: frozenset[str]

    def stems(self, text: str) -> tuple[str, ...]:
        """Return the stems of a text, without words that say nothing."""
        words = (
            self.same.get(word, word) for word in map(self._mended, words_of(text))
        )
        return tuple(
            stem(word, self.endings) for word in words if word not in self.passing
        )

    def _mended(self, word: str) -> str:
        """Return the known word that a word is a slip of, else the word itself."""
        short = len(word) < _SHORTEST_MENDED or word.isdigit()
        if short or stem(word, self.endings) in self.plain:
            return word
        return _near(word, self.known)


@lru_cache(maxsize=4096)
def _near(word: str, known: tuple[str, ...]) -> str:
    near = difflib.get_close_matches(word, known, n=1, cutoff=_ALIKE)
    return near[0] if near else word


def stem(word: str, endings: Iterable[str]) -> str:
    """Return a word without the first ending it has, crudely.

    >>> [stem(word, ("ing", "ed", "es", "s")) for word in ("raises", "hopping", "toes")]
    ['rais', 'hop', 'toe']
    """
    for ending in endings:
        if word.endswith(ending) and len(word) - len(ending) >= _SHORTEST_STEM:
            word = word.removesuffix(ending)
            break
    if len(word) > _SHORTEST_STEM and (word[-1] == word[-2] or word[-1] in "ey"):
        word = word[:-1]
    return word


def body_words(language: str = "en") -> BodyWords | None:
    """Return the words of a language, None where nobody wrote them."""
    file = language_file(language, FILE)
    return None if file is None else _read(file, base_language(language))


def question(key: str, language: str = FALLBACK) -> str:
    """Return what is asked where words do not tell, in English if need be."""
    words = body_words(language) or body_words(FALLBACK)
    return words.questions[key] if words else key


@cache
def _read(file: Path, language: str) -> BodyWords:
    data = read_table(file, _KEYS)
    endings = tuple(data["endings"])
    same = MappingProxyType(data["same"])
    passing = frozenset(words_of(" ".join(data["passing"])))

    def stems(text: str) -> list[str]:
        words = (same.get(word, word) for word in words_of(text))
        return [stem(word, endings) for word in words if word not in passing]

    def phrase(text: str) -> str:
        parts: list[str] = []
        for word in text.split():
            if word == _GAP:
                parts.append(_ANY_WORDS)
                continue
            options = {" ".join(stems(option)) for option in word.split("|")} - {""}
            if options:
                parts.append(rf" (?:{'|'.join(sorted(options))})")
        return "".join(parts)

    def any_of(texts: Iterable[str]) -> re.Pattern[str]:
        found = "|".join(filter(None, map(phrase, texts)))
        return re.compile(rf"(?:{found})(?= |$)")

    meant = (*data["refusing"], *data["not refusing"], *data["joining"])
    texts = (*meant, *(text for words in data["words"].values() for text in words))
    known = {word for text in texts for word in words_of(text)} | same.keys()
    return BodyWords(
        language=language,
        endings=endings,
        same=same,
        passing=passing,
        joining=frozenset(each for text in data["joining"] for each in stems(text)),
        refusing=any_of(data["refusing"]),
        not_refusing=any_of(data["not refusing"]),
        until=any_of(data["until"]),
        patterns=MappingProxyType(
            {name: any_of(words) for name, words in data["words"].items()}
        ),
        questions=MappingProxyType(data["questions"]),
        known=tuple(sorted(known)),
        plain=frozenset(
            stem(word, endings)
            for word in (*known, *passing, *words_of(" ".join(data["seldom"])))
        ),
    )
