"""How hard a script is to follow, by the rules and limits of its language.

A level says little about fewer than a hundred words: take that of a whole script, and
count the words of a single cue. The formula and where it comes from stand in
``reading.yaml`` of each language.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cache, lru_cache
from typing import TYPE_CHECKING, Any, Final

from cuetrack.languages.folders import (
    FALLBACK,
    KeyRule,
    base_language,
    key_mistakes,
    language_file,
    read_table,
    refuse_if_any,
)
from cuetrack.languages.syllables import SYLLABLE_KEYS, SyllableRules, syllable_rules

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping
    from pathlib import Path

FILE: Final = "reading.yaml"
WORD_LISTS: Final = "words.yaml"

_WORD: Final = re.compile(r"[^\W_]+(?:['\u2019][^\W_]+)*")
_SENTENCE_END: Final = re.compile(r"[.!?…]+(?=\s|$|[\"'\u201d\u2019)])|\n+")
_LONG_LETTERS: Final = 7
_MANY_SYLLABLES: Final = 3


@dataclass(frozen=True, slots=True, kw_only=True)
class Counts:
    """What the formulas are made of."""

    words: int
    sentences: int
    syllables: int
    long_words: int = 0
    words_of_many_syllables: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class LevelFormula:
    """A reading level as a weighted sum, with the hardest that is asked for.

    The weights are for words a sentence, syllables a word, and the percentages of
    long words (seven letters or more) and of words of three syllables or more.
    """

    scale: str
    start: float
    hardest: float
    higher_is_harder: bool
    from_words: int
    words_a_sentence: float = 0.0
    syllables_a_word: float = 0.0
    long_words: float = 0.0
    words_of_many_syllables: float = 0.0

    def level(self, counts: Counts) -> float | None:
        """Return the level of a text, None for no words at all."""
        if not counts.words:
            return None
        return (
            self.start
            + self.words_a_sentence * counts.words / counts.sentences
            + self.syllables_a_word * counts.syllables / counts.words
            + self.long_words * 100 * counts.long_words / counts.words
            + self.words_of_many_syllables
            * 100
            * counts.words_of_many_syllables
            / counts.words
        )

    def is_too_hard(self, level: float) -> bool:
        """Return whether a level is beyond the hardest."""
        return level > self.hardest if self.higher_is_harder else level < self.hardest


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadingRules:
    """What is easy to follow by ear in one language.

    ``longest_sentence`` and ``longest_cue`` are in words, ``slowest_voice`` and
    ``fastest_voice`` in words a minute.
    """

    level: LevelFormula | None
    longest_sentence: int
    longest_cue: int
    slowest_voice: int
    fastest_voice: int
    syllables: SyllableRules

    def count(self, text: str) -> Counts:
        """Return the words, sentences and syllables of a text."""
        words = words_of(text)
        syllables = [self.syllables.count(word) for word in words]
        return Counts(
            words=len(words),
            sentences=max(1, len(sentences_of(text))),
            syllables=sum(syllables),
            long_words=sum(len(word) >= _LONG_LETTERS for word in words),
            words_of_many_syllables=sum(n >= _MANY_SYLLABLES for n in syllables),
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Unwanted:
    """A word that an adult is not spoken to with, or that needs explaining."""

    word: str
    kind: str


def words_of(text: str) -> tuple[str, ...]:
    """Return the words of a text; a hyphen parts two of them, as in speech.

    >>> words_of("Sit tall. Shoulder-blade squeeze!")
    ('Sit', 'tall', 'Shoulder', 'blade', 'squeeze')
    """
    return tuple(_WORD.findall(text))


def sentences_of(text: str) -> tuple[str, ...]:
    """Return the sentences of a text; a new line starts a new one.

    >>> sentences_of("Feet flat. Sit tall")
    ('Feet flat', 'Sit tall')
    """
    parts = (part.strip() for part in _SENTENCE_END.split(text))
    return tuple(part for part in parts if _WORD.search(part))


def reading_rules(language: str) -> ReadingRules | None:
    """Return what is easy to follow in a language, None where its folder does not say.

    Raises
    ------
    LanguageError
        The file has mistakes; all are listed.

    >>> reading_rules("en").syllables.count("comfortable")
    4
    """
    file = language_file(language, FILE)
    return None if file is None else _read(file, base_language(language))


_KEYS: Final[Mapping[str, KeyRule]] = {
    "level": KeyRule(kind=dict, optional=True),
    "longest sentence": KeyRule(kind=int),
    "longest cue": KeyRule(kind=int),
    "slowest voice": KeyRule(kind=int),
    "fastest voice": KeyRule(kind=int),
    "syllables": KeyRule(kind=dict),
}
_LEVEL_KEYS: Final[Mapping[str, KeyRule]] = {
    "scale": KeyRule(kind=str),
    "start": KeyRule(kind=float),
    "words a sentence": KeyRule(kind=float, optional=True),
    "syllables a word": KeyRule(kind=float, optional=True),
    "long words": KeyRule(kind=float, optional=True),
    "words of many syllables": KeyRule(kind=float, optional=True),
    "hardest": KeyRule(kind=float),
    "higher is": KeyRule(kind=str),
    "from words": KeyRule(kind=int),
}


@cache
def _read(file: Path, language: str) -> ReadingRules:
    data = read_table(file, _KEYS)
    refuse_if_any(str(file), _mistakes(data))
    return ReadingRules(
        level=_level(data["level"]) if "level" in data else None,
        longest_sentence=data["longest sentence"],
        longest_cue=data["longest cue"],
        slowest_voice=data["slowest voice"],
        fastest_voice=data["fastest voice"],
        syllables=syllable_rules(data["syllables"], language),
    )


def _mistakes(data: Mapping[str, Any]) -> Iterator[str]:
    yield from key_mistakes(data["syllables"], SYLLABLE_KEYS, "syllables")
    for key, value in data["syllables"].items():
        try:
            re.compile(value if isinstance(value, str) else "")
        except re.error as error:
            yield f"syllables: '{key}' is no pattern. ({error})"
    if "level" in data:
        yield from key_mistakes(data["level"], _LEVEL_KEYS, "level")
        if data["level"].get("higher is") not in {"harder", "easier"}:
            yield "level: 'higher is' must be harder or easier."


def _level(data: Mapping[str, Any]) -> LevelFormula:
    weights = {
        key.replace(" ", "_"): data.get(key, 0.0)
        for key in (
            "words a sentence",
            "syllables a word",
            "long words",
            "words of many syllables",
        )
    }
    return LevelFormula(
        scale=data["scale"],
        start=data["start"],
        hardest=data["hardest"],
        higher_is_harder=data["higher is"] == "harder",
        from_words=data["from words"],
        **weights,
    )


def unwanted_words(text: str, language: str = FALLBACK) -> tuple[Unwanted, ...]:
    """Return the unwanted words in a text, in order; none without a list.

    >>> [found.word for found in unwanted_words("Lift our little legs.")]
    ['our little']
    """
    file = language_file(language, WORD_LISTS)
    return _unwanted_in(text, file) if file else ()


@lru_cache(4096)
def _unwanted_in(text: str, file: Path) -> tuple[Unwanted, ...]:
    plain = " ".join(words_of(text.casefold().replace("\u2019", "'")))
    found = (
        (match.start(), kind, match[0])
        for kind, pattern in _word_lists(file).items()
        for match in pattern.finditer(plain)
    )
    return tuple(Unwanted(word=word, kind=kind) for _, kind, word in sorted(found))


_LISTS: Final[Mapping[str, KeyRule]] = {
    "talking down": KeyRule(kind=list),
    "jargon": KeyRule(kind=list),
    "figures of speech": KeyRule(kind=list),
    "two pronunciations": KeyRule(kind=list, optional=True),
}


@cache
def _word_lists(file: Path) -> Mapping[str, re.Pattern[str]]:
    data = read_table(file, _LISTS)
    return {kind: _any_of(phrases) for kind, phrases in data.items() if phrases}


def _any_of(phrases: Iterable[str]) -> re.Pattern[str]:
    plain = (" ".join(words_of(phrase.casefold())) for phrase in phrases)
    longest_first = sorted(set(plain), key=lambda phrase: (-len(phrase), phrase))
    return re.compile(r"\b(?:" + "|".join(map(re.escape, longest_first)) + r")\b")
