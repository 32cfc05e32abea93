"""Phrases as a speech recogniser knows them: words it can pronounce, and decoys."""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass
from typing import TYPE_CHECKING, Protocol

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

DECOYS = (
    "four",
    "seven",
    "nine",
    "six five four",
    "one two three",
    "five four three",
    "ten nine eight",
    "left right left",
    "stop",
    "no",
    "yes please",
    "quarter of the way",
    "thirty seconds left",
    "twenty five seconds to go",
    "the next bus leaves at noon",
    "open the window a little",
    "second of nine",
    "last but one before the break",
    "put the kettle on",
    "bring your coat and your umbrella",
    "left knee then right knee",
    "lean back and close your eyes",
    "turn the page",
    "both hands on the table",
    "very nice everyone",
    "clap your hands",
    "look out of the window",
    "walk to the door and back",
    "shoulders up to your ears",
    "hold your breath",
    "rest your elbows",
    "we start again after lunch",
)
"""Sentences no class says at these places, near to what it does say."""

_WORD = re.compile(r"[a-z]+(?:'[a-z]+)*")
_SHORTEST_PART = 3


class Dictionary(Protocol):
    """Knows how words are pronounced."""

    def lookup_word(self, word: str) -> str | None:
        """Return the phones of a word, None when it is unknown."""
        ...


@dataclass(frozen=True, slots=True, kw_only=True)
class ListeningGrammar:
    """The phrases a recogniser may hear.

    ``phrases`` maps each text to the words to listen for, joined by spaces;
    ``unknown`` maps the other texts to the first word that nobody can pronounce;
    ``added`` are the words whose pronunciation was put together from two known ones.
    """

    phrases: dict[str, str]
    unknown: dict[str, str]
    added: dict[str, str]


def words_of(spoken: str) -> list[str]:
    """Return the words of a spoken text in lower case, without punctuation.

    >>> words_of("Sit tall - feet flat. Don't lock your knees!")
    ['sit', 'tall', 'feet', 'flat', "don't", 'lock', 'your', 'knees']
    """
    plain = unicodedata.normalize("NFKD", spoken.replace("\u2019", "'")).lower()
    plain = "".join(letter for letter in plain if not unicodedata.combining(letter))
    return _WORD.findall(plain)


def vocabulary_of(
    texts: Iterable[str],
    dictionary: Dictionary,
    written: Mapping[str, str] | None = None,
) -> ListeningGrammar:
    """Return what a recogniser with this dictionary can listen for among the texts.

    A text with a digit counts as unknown: how it was spoken is not known.

    Parameters
    ----------
    written
        How texts are spelled for readers. A text respelled for the voice, which
        no dictionary has, is listened for as it is written.
    """
    phrases: dict[str, str] = {}
    unknown: dict[str, str] = {}
    added: dict[str, str] = {}
    for text in dict.fromkeys(texts):
        spelled = text
        strange = _strange(text, dictionary)
        if strange is not None and written is not None and text in written:
            spelled = written[text]
            strange = strange if _strange(spelled, dictionary) else None
        if strange is not None:
            unknown[text] = strange
            continue
        words = words_of(spelled)
        phrases[text] = " ".join(words)
        for word in words:
            phones = _phones(word, dictionary)
            if phones is not None and dictionary.lookup_word(word) is None:
                added[word] = phones
    return ListeningGrammar(phrases=phrases, unknown=unknown, added=added)


def grammar(phrases: Iterable[str]) -> str:
    """Return a grammar in which exactly one of the phrases is said (JSGF 1.0)."""
    choices = " | ".join(sorted(set(phrases)))
    return f"#JSGF V1.0;\ngrammar cues;\npublic <cue> = {choices};\n"


def _strange(text: str, dictionary: Dictionary) -> str | None:
    """Return the first word nobody can pronounce, or the text if it has none."""
    words = words_of(text)
    for word in words:
        if _phones(word, dictionary) is None:
            return word
    return text if not words or re.search(r"\d", text) else None


def _phones(word: str, dictionary: Dictionary) -> str | None:
    """Return the phones of a word, of a compound those of its two parts."""
    known = dictionary.lookup_word(word)
    if known is not None:
        return known
    middle = len(word) / 2
    cuts = range(_SHORTEST_PART, len(word) - _SHORTEST_PART + 1)
    for cut in sorted(cuts, key=lambda at: abs(at - middle)):
        parts = [dictionary.lookup_word(part) for part in (word[:cut], word[cut:])]
        if None not in parts:
            return " ".join(part for part in parts if part is not None)
    return None
