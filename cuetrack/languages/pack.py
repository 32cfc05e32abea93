"""A language: everything its folder says, as one value."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from cuetrack.errors import LanguageError
from cuetrack.languages import (
    body_words,
    normalisation,
    phrases,
    reading_level,
    review_words,
)
from cuetrack.languages.folders import language_file
from cuetrack.languages.group_words import FILE as GROUP
from cuetrack.languages.numbers import number_in_words
from cuetrack.languages.vocabulary import FILE as VOCABULARY
from cuetrack.languages.vocabulary import vocabulary

if TYPE_CHECKING:
    from collections.abc import Mapping

    from cuetrack.languages.phrases import Phrases
    from cuetrack.languages.reading_level import ReadingRules
    from cuetrack.languages.review_words import ReviewWords
    from cuetrack.languages.vocabulary import Vocabulary

MOVEMENTS: Final = "movements"

WITHOUT: Final[Mapping[str, str]] = {
    normalisation.FILE: "marks such as 30 s are left to the voice",
    reading_level.FILE: "no length of a sentence, no reading level and no speed of "
    "the voice is judged",
    reading_level.WORD_LISTS: "words that talk down, and jargon, are not looked for",
    review_words.FILE: "the review does not read what the sentences ask for, nor "
    "what the safety words, sides and weights are",
    VOCABULARY: "movements are searched by English words",
    body_words.FILE: "movements in a leader's own words are not reviewed for the group",
    GROUP: "what is told of a group is looked for in English words",
    MOVEMENTS: "a movement has only the words that the plan gives it",
}
"""The files that a language can do without, and what follows."""


@dataclass(frozen=True, slots=True, kw_only=True)
class MissingFile:
    """A file that a language does without, and what follows."""

    name: str
    effect: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Language:
    """All that is said and read in one language.

    ``reading`` and ``review`` are None where nobody wrote them; `missing_files`
    says what follows.
    """

    code: str
    phrases: Phrases
    reading: ReadingRules | None
    review: ReviewWords | None
    vocabulary: Vocabulary


def load_language(code: str) -> Language:
    """Return a language whole, so that a mistake in any of its files shows at once.

    Raises
    ------
    LanguageError
        It has no phrases, or one of its files has mistakes.
    """
    words = phrases.load_phrases(code)
    if normalisation.rewrite_table_of(code).numbers_in_words:
        number_in_words(1, code)
    if words.easy_movement.how is None and language_file(code, MOVEMENTS) is None:
        raise LanguageError(
            f"{language_file(code, phrases.FILE)}: easy movement: 'how' is missing, "
            f"and no library knows '{words.easy_movement.name}'.",
            "Say how it is done.",
        )
    return Language(
        code=code,
        phrases=words,
        reading=reading_level.reading_rules(code),
        review=review_words.review_words(code),
        vocabulary=vocabulary(code),
    )


def missing_files(code: str) -> tuple[MissingFile, ...]:
    """Return what the folder of a language does without.

    >>> missing_files("en")
    ()
    """
    return tuple(
        MissingFile(name=name, effect=effect)
        for name, effect in WITHOUT.items()
        if language_file(code, name) is None
    )
