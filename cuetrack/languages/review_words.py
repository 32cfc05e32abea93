"""The words by which the plan review knows what a sentence speaks of.

They stand in ``review.yaml`` of each language as regular expressions for whole words.
Where a language has no such file the review does not look, and says so.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field, fields
from functools import cache
from typing import TYPE_CHECKING, Any, Final

from cuetrack.languages.folders import (
    KeyRule,
    language_file,
    read_table,
    refuse_if_any,
)

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping
    from pathlib import Path

FILE: Final = "review.yaml"

_AFTER_A_NUMBER: Final = {"before": r"(?P<number>\d+(?:[.,]\d+)?)\s*"}


@dataclass(frozen=True, slots=True, kw_only=True)
class ReviewWords:
    """One pattern for each thing the review looks for; each is a key of the file.

    ``kilograms`` and ``pounds`` find a number before them too, as group ``number``.
    Nothing that stands after ``refusing`` in a sentence is asked for.
    """

    chest: re.Pattern[str]
    dizzy: re.Pattern[str]
    breath: re.Pattern[str]
    chair: re.Pattern[str]
    firm_chair: re.Pattern[str]
    stand_up: re.Pattern[str]
    slowly: re.Pattern[str]
    water: re.Pattern[str]
    feet: re.Pattern[str]
    refusing: re.Pattern[str]
    head_down: re.Pattern[str]
    held_breath: re.Pattern[str]
    high_knees: re.Pattern[str]
    jerky_knees: re.Pattern[str]
    leaning: re.Pattern[str]
    dizzying: re.Pattern[str]
    alarm_sign: re.Pattern[str]
    go_on: re.Pattern[str]
    ease_off: re.Pattern[str]
    through_pain: re.Pattern[str]
    loose_chair: re.Pattern[str]
    hurried_rising: re.Pattern[str]
    on_foot: re.Pattern[str]
    unheld: re.Pattern[str]
    eyes_shut: re.Pattern[str]
    overbreathing: re.Pattern[str]
    weights_kept: re.Pattern[str]
    fasting: re.Pattern[str]
    bare_feet: re.Pattern[str]
    strained_neck: re.Pattern[str]
    loose_band: re.Pattern[str]
    pulse: re.Pattern[str]
    minus: re.Pattern[str]
    resistance: re.Pattern[str]
    kept_in_hand: re.Pattern[str]
    left: re.Pattern[str]
    right: re.Pattern[str]
    kilograms: re.Pattern[str] = field(metadata=_AFTER_A_NUMBER)
    pounds: re.Pattern[str] = field(metadata=_AFTER_A_NUMBER)

    def asks_for(self, sentence: str, wanted: re.Pattern[str]) -> str | None:
        """Return the words found that a sentence asks for, None where it warns of them.

        >>> words = review_words("en")
        >>> words.asks_for("Kick forward.", words.jerky_knees)
        'Kick'
        >>> words.asks_for("Lift it slowly, do not kick.", words.jerky_knees) is None
        True
        """
        for found in wanted.finditer(sentence):
            if not self.refusing.search(sentence[: found.start()]):
                return found.group()
        return None


def review_words(language: str) -> ReviewWords | None:
    """Return the words of a language, None where its folder has no such file.

    Raises
    ------
    LanguageError
        The file has mistakes; all are listed.
    """
    file = language_file(language, FILE)
    return None if file is None else _read(file)


_KEYS: Final = {
    each.name.replace("_", " "): each.metadata.get("before", r"\b")
    for each in fields(ReviewWords)
}


@cache
def _read(file: Path) -> ReviewWords:
    data = read_table(file, dict.fromkeys(_KEYS, KeyRule(kind=list)))
    refuse_if_any(str(file), _mistakes(data))
    return ReviewWords(
        **{
            key.replace(" ", "_"): _any_of(data[key], before)
            for key, before in _KEYS.items()
        }
    )


def _mistakes(data: Mapping[str, Any]) -> Iterator[str]:
    for key, words in data.items():
        for word in words:
            try:
                re.compile(word if isinstance(word, str) else "(")
            except re.error as error:
                yield f"{key}: {word!r} is no text or no pattern. ({error})"


def _any_of(words: list[str], before: str) -> re.Pattern[str]:
    """Return a pattern that finds any of some words whole; nothing for none."""
    any_word = "|".join(words) if words else "(?!)"
    return re.compile(rf"{before}(?:{any_word})\b", re.IGNORECASE)
