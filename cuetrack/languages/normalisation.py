"""Texts as an engine should get them: every mark put into words or made a pause.

Engines read "30 s" as "thirty ess", "4-5" as "four dash five", "L/R" as "L slash
R". What is written is therefore spelled out first, by ``normalisation.yaml`` in the
folder of each language. A time such as 1:30 is a length here, never an hour of the
day. A table says ``numbers: words`` where they are to be put into words; else digits
stay, which engines read with the right endings, except beside a unit, where the
table knows the form for one and for more. A language without a table has its marks
made pauses by ``unknown.yaml``.

The rules are applied until nothing changes, so that speaking text that is already
in words leaves it alone.
"""

from __future__ import annotations

import re
import unicodedata
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING, Final

from cuetrack.languages.folders import FALLBACK, language_file
from cuetrack.languages.mark_rules import alike, any_of, rewrite_table

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence

    from cuetrack.languages.mark_rules import RewriteTable

FILE: Final = "normalisation.yaml"

PUNCTUATION = ".,!?;:'-¡¿"
MAX_ROUNDS = 12

_PLAIN = re.compile(
    r"(?:[A-Za-z]?[a-z]+(?:['-][a-z]+)*|[AI])(?:[,.!?;:]? (?=[A-Za-z])"
    r"(?:[A-Za-z]?[a-z]+(?:['-][a-z]+)*|[AI]))*[.!?]?"
)


def say_as(
    text: str,
    language: str = FALLBACK,
    pronunciations: Mapping[str, str] | Sequence[tuple[str, str]] = (),
) -> str:
    """Return ``text`` as the engine should get it.

    Parameters
    ----------
    text : str
        What the leader or a phrase pack wrote.
    language : str
        Its language, such as ``en`` or ``pt-br``; a language without a table of
        its own only has its marks made pauses.
    pronunciations : mapping or pairs of str
        Words to be said differently, and how. Whole words, whatever their case;
        of two that fit the longer is taken.

    >>> say_as("3-2-1! Hold for 30 s, RPE 4-5, L/R.")
    'three, two, one! Hold for thirty seconds, R P E four to five, left and right.'
    """
    table = rewrite_table_of(language)
    pronounced = _pronounced(alike(text), pronunciations)
    if _is_plain(pronounced, table):
        return pronounced
    return _by_rules(pronounced, table)


def _is_plain(text: str, table: RewriteTable) -> bool:
    """Return whether it can be seen at once that no rule changes the text."""
    return bool(_PLAIN.fullmatch(text)) and not table.shortened.search(text)


def _by_rules(text: str, table: RewriteTable) -> str:
    for _ in range(MAX_ROUNDS):
        before = text
        text = _tidy(_only_speakable(_expanded(alike(text), table), table), table)
        if text == before or _is_plain(text, table):
            break
    return text


def unspeakable(text: str, language: str = FALLBACK) -> tuple[str, ...]:
    """Return the characters of ``text`` that would be dropped, each once.

    Pictures, letters of another script, and marks that have no words in the
    language; a prime after a number counts, for it may mean feet or minutes.

    >>> unspeakable("Feet flat 👣")
    ('👣',)
    """
    table = rewrite_table_of(language)
    primes = re.findall("\\d(['\"\u2032\u2033])(?!\\w)", alike(text))
    expanded = _expanded(alike(text), table)
    dropped = [
        char
        for char in expanded
        if not _is_speakable(char, table.scripts)
        and unicodedata.category(char) not in {"Mn", "Me", "Cf", "Cc", "Zs"}
        and char not in '"()[]{}*_'
    ]
    return tuple(dict.fromkeys([*primes, *dropped]))


def _pronounced(
    text: str, pronunciations: Mapping[str, str] | Sequence[tuple[str, str]]
) -> str:
    pairs = dict(pronunciations)
    if not pairs:
        return text
    said = {written.casefold(): spoken for written, spoken in pairs.items()}
    pattern = any_of(said, before=r"(?<!\w)", after=r"(?!\w)")
    return pattern.sub(lambda found: said[found[0].casefold()], text)


def _expanded(text: str, table: RewriteTable) -> str:
    for pattern, say in table.rules:
        text = pattern.sub(say, text)
    return text


def _only_speakable(text: str, table: RewriteTable) -> str:
    return "".join(char if _is_speakable(char, table.scripts) else " " for char in text)


@lru_cache(maxsize=4096)
def _is_speakable(char: str, scripts: tuple[str, ...]) -> bool:
    if char in PUNCTUATION or char == " " or char in "0123456789":
        return True
    if unicodedata.category(char)[0] == "M":
        return not scripts and unicodedata.category(char) != "Me"
    if unicodedata.category(char)[0] != "L":
        return False
    name = unicodedata.name(char, "")
    return not scripts or name.startswith(scripts)


def _tidy(text: str, table: RewriteTable) -> str:
    """Return the text with single spaces and one mark where several met."""
    text = re.sub(r"(?<!\w)['-]+|['-]+(?!\w)", " ", text)
    text = re.sub(r"\s+", " ", text)
    text = re.sub(r" (?=[.,!?;:])", "", text)
    text = re.sub(r"[.,!?;:]{2,}", _strongest, text)
    text = re.sub(r"(?<=[^\W\d][.,!?;:])(?=\w)|(?<=\d[!?;])(?=\w)", " ", text)
    text = re.sub(
        r"\b[^\W\d_a-zß-ÿ]{2,}(?:'[^\W\d_a-zß-ÿ]+)?\b", _capitals(table), text
    )
    return text.strip(" ,;:").lstrip(" .!?")


def _strongest(found: re.Match[str]) -> str:
    return next(mark for mark in "!?.:;," if mark in found[0])


def _capitals(table: RewriteTable) -> Callable[[re.Match[str]], str]:
    def say(found: re.Match[str]) -> str:
        word = found[0]
        if word in table.capitals:
            return table.capitals[word]
        if table.capitals and not re.search("[AEIOUYÀ-ÖØ-Ý]", word):
            return " ".join(word)
        return word.lower()

    return say


def rewrite_table_of(language: str) -> RewriteTable:
    """Return how a language says its marks; one without a file makes pauses."""
    file = language_file(language, FILE)
    if file is None:
        return rewrite_table(Path(__file__).with_name("unknown.yaml"), FALLBACK)
    return rewrite_table(file, language)
