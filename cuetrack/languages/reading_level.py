"""How hard a script is to follow: school grade, and words to keep away from.

The grade is that of Flesch and Kincaid, made for US Navy manuals: Kincaid,
Fishburne, Rogers and Chissom, "Derivation of new readability formulas", Research
Branch Report 8-75, 1975. It says little about fewer than a hundred words: grade a
whole script, and count the words of a single cue.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING, Final

from cuetrack.languages.syllables import count_syllables
from cuetrack.languages.vocabulary import language_folder, read_data

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

HIGHEST_GRADE: Final = 6.0
"""What health writers are asked to stay below for the public."""

LONGEST_SENTENCE_WORDS: Final = 12
LONGEST_CUE_WORDS: Final = 20

_WORD: Final = re.compile(r"[^\W_]+(?:['\u2019][^\W_]+)*")
_SENTENCE_END: Final = re.compile(r"[.!?…]+(?=\s|$|[\"'\u201d\u2019)])|\n+")


@dataclass(frozen=True, slots=True, kw_only=True)
class Counts:
    """What the formulas are made of."""

    words: int
    sentences: int
    syllables: int

    @property
    def grade(self) -> float:
        """The US school grade by Flesch and Kincaid; 0 for no words at all."""
        if not self.words:
            return 0.0
        per_sentence = self.words / self.sentences
        return 0.39 * per_sentence + 11.8 * self.syllables / self.words - 15.59

    @property
    def ease(self) -> float:
        """The reading ease by Flesch, higher is easier; 100 for no words at all."""
        if not self.words:
            return 100.0
        per_sentence = self.words / self.sentences
        return 206.835 - 1.015 * per_sentence - 84.6 * self.syllables / self.words


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


def count(text: str) -> Counts:
    """Return the words, sentences and syllables of an English text."""
    words = words_of(text)
    return Counts(
        words=len(words),
        sentences=max(1, len(sentences_of(text))),
        syllables=sum(count_syllables(word) for word in words),
    )


def grade(text: str) -> float:
    """Return the US school grade of an English text.

    >>> round(grade("The cat sat on the mat."), 2)
    -1.45
    """
    return count(text).grade


def unwanted_words(text: str, language: str = "en") -> tuple[Unwanted, ...]:
    """Return the unwanted words in a text, in order; none without a list.

    >>> [found.word for found in unwanted_words("Lift our little legs.")]
    ['our', 'little']
    """
    lists = _word_lists(language)
    if not lists:
        return ()
    plain = " ".join(words_of(text.casefold().replace("\u2019", "'")))
    found = (
        (match.start(), kind, match[0])
        for kind, pattern in lists.items()
        for match in pattern.finditer(plain)
    )
    return tuple(Unwanted(word=word, kind=kind) for _, kind, word in sorted(found))


@cache
def _word_lists(language: str) -> Mapping[str, re.Pattern[str]]:
    folder = language_folder(language)
    if folder is None or not folder.joinpath("words.yaml").is_file():
        return {}
    data = read_data(folder, "words.yaml")
    return {kind: _any_of(phrases) for kind, phrases in data.items()}


def _any_of(phrases: Iterable[str]) -> re.Pattern[str]:
    plain = (" ".join(words_of(phrase.casefold())) for phrase in phrases)
    longest_first = sorted(set(plain), key=lambda phrase: (-len(phrase), phrase))
    return re.compile(r"\b(?:" + "|".join(map(re.escape, longest_first)) + r")\b")
