"""The everyday words for facts of a group, as data, one table a language."""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass
from functools import cache, reduce
from types import MappingProxyType
from typing import TYPE_CHECKING, Any, Final

from cuetrack.documents.names import singular
from cuetrack.languages.folders import (
    FALLBACK,
    KeyRule,
    base_language,
    language_file,
    read_table,
)

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping
    from pathlib import Path

APOSTROPHES: Final = "'\u2019"
FILE: Final = "group.yaml"
_LISTS: Final = ("joining", "denying", "lacking", "unanswered", "nobody", "leaving")
_KEYS: Final = {
    **{key: KeyRule(kind=list) for key in (*_LISTS, "passing", "complaints")},
    **{key: KeyRule(kind=dict) for key in ("same", "facts", "safe forms")},
    **{key: KeyRule(kind=str) for key in ("for whom", "or")},
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Phrase:
    """Words in a row that mean a fact.

    ``beside`` must stand anywhere in the same clause; ``whole`` is all of one.
    """

    fact: str
    words: tuple[str, ...]
    beside: tuple[str, ...] = ()
    whole: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class SafeForm:
    """What is said to make a movement safe; ``said`` shows that it is said already."""

    say: str
    said: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class GroupWords:
    """The words of one language.

    ``phrases`` are ordered, the longest first. ``says`` names each fact in a
    sentence, ``asks`` tells whom to ask where the review has no rule.
    """

    language: str
    joining: frozenset[str]
    same: Mapping[str, str]
    denying: tuple[tuple[str, ...], ...]
    lacking: frozenset[str]
    unanswered: frozenset[tuple[str, ...]]
    nobody: frozenset[tuple[str, ...]]
    passing: frozenset[str]
    complaints: frozenset[str]
    phrases: tuple[Phrase, ...]
    safe_forms: Mapping[str, SafeForm]
    leaving: tuple[str, ...]
    says: Mapping[str, str]
    asks: Mapping[str, str]
    whom: Mapping[str, str]
    for_whom: str
    either: str

    def safe_form_for(self, facts: Iterable[str], form: str) -> str:
        """Return a safe form with whom it is for, as a sentence without its full stop.

        >>> group_words().safe_form_for(["shoulder pain", "stroke"], "Stay low")
        'With sore shoulders or a stroke, stay low'
        """
        named = [self.whom.get(fact, self.says[fact]) for fact in facts]
        told = reduce(
            lambda first, second: self.either.format(first=first, second=second), named
        )
        return self.for_whom.format(facts=told, form=form[:1].lower() + form[1:])


def has_group_words(language: str) -> bool:
    """Return whether a language has words for groups of its own."""
    return language_file(language, FILE) is not None


def group_words(language: str = FALLBACK) -> GroupWords:
    """Return the words of a language, those of English if it has none."""
    file = language_file(language, FILE)
    if file is not None:
        return _group_words(file, base_language(language))
    return group_words(FALLBACK)


@cache
def _group_words(file: Path, language: str) -> GroupWords:
    data = read_table(file, _KEYS)
    facts: dict[str, dict[str, Any]] = data["facts"]
    phrases = [
        _phrase(fact, text) for fact, entry in facts.items() for text in entry["words"]
    ]
    return GroupWords(
        language=language,
        joining=frozenset(data["joining"]),
        same=MappingProxyType(data["same"]),
        lacking=frozenset(data["lacking"]),
        denying=tuple(sorted(map(words_of, data["denying"]), key=len, reverse=True)),
        unanswered=frozenset(map(words_of, data["unanswered"])),
        nobody=frozenset(map(words_of, data["nobody"])),
        passing=_single(data["passing"]),
        complaints=_single(data["complaints"]),
        phrases=tuple(sorted(phrases, key=_weight, reverse=True)),
        safe_forms=MappingProxyType(
            {
                way: SafeForm(say=form["say"], said=tuple(form["said"]))
                for way, form in data["safe forms"].items()
            }
        ),
        leaving=tuple(data["leaving"]),
        says=MappingProxyType({fact: entry["say"] for fact, entry in facts.items()}),
        asks=MappingProxyType({f: e["ask"] for f, e in facts.items() if "ask" in e}),
        whom=MappingProxyType({f: e["whom"] for f, e in facts.items() if "whom" in e}),
        for_whom=data["for whom"],
        either=data["or"],
    )


def _single(texts: Iterable[str]) -> frozenset[str]:
    return frozenset(word for text in texts for word in words_of(text))


def _phrase(fact: str, text: str) -> Phrase:
    first, *others = text.split("+")
    return Phrase(
        fact=fact,
        words=words_of(first),
        beside=tuple(word for other in others for word in words_of(other)),
        whole=text.startswith("="),
    )


def _weight(phrase: Phrase) -> tuple[int, int]:
    return len(phrase.words) + len(phrase.beside), len(phrase.words)


def words_of(text: str) -> tuple[str, ...]:
    """Return the words of a text in small letters, singular, without apostrophes.

    >>> words_of("Parkinson's; 2 sore knees")
    ('parkinson', '2', 'sore', 'knee')
    """
    bare = unicodedata.normalize("NFKD", text).casefold()
    plain = "".join(c for c in bare if not unicodedata.combining(c))
    plain = re.sub(rf"[{APOSTROPHES}](?:s\b)?", "", plain)
    return tuple(singular(word) for word in re.findall(r"[^\W_]+", plain))
