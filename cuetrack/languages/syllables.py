"""How many syllables English words have when spoken, counted by their spelling."""

from __future__ import annotations

import re
from functools import cache
from typing import Final

_VOWELS: Final = re.compile(r"[aeiouy]+")

_KNOWN: Final = {
    "area": 3,
    "areas": 3,
    "being": 2,
    "businesses": 3,
    "business": 2,
    "chocolate": 2,
    "clothes": 1,
    "colonel": 2,
    "doing": 2,
    "evening": 2,
    "every": 2,
    "everyday": 3,
    "everyone": 3,
    "everything": 3,
    "eye": 1,
    "eyes": 1,
    "going": 2,
    "idea": 3,
    "ideas": 3,
    "language": 2,
    "minutes": 2,
    "people": 2,
    "pilates": 3,
    "poem": 2,
    "quiet": 2,
    "quietly": 3,
    "recipe": 3,
    "science": 2,
    "seeing": 2,
    "several": 2,
    "triceps": 2,
    "vegetable": 3,
    "wednesday": 2,
    "women": 2,
}
"""Words that the rules below count wrongly and that people do say in a class."""

_ENDINGS: Final = (
    "ly",
    "ty",
    "teen",
    "ful",
    "fully",
    "less",
    "lessly",
    "ment",
    "ments",
    "ness",
    "some",
    "thing",
    "things",
    "one",
    "time",
    "times",
    "ways",
    "where",
    "body",
    "how",
    "what",
    "arm",
    "arms",
    "line",
    "lines",
    "place",
    "self",
    "selves",
    "guard",
    "work",
    "back",
    "board",
    "stone",
    "way",
    "bone",
    "bones",
)
"""What a word may end in after a silent e, as in safely, sometimes, forearm."""

_SPLIT: Final = re.compile(
    r"(?<![cgstx])i[ao](?!ns?\b|lly\b|l\b)|(?<![cghlstx])i(?:an|on)|(?<![cts])ial|iu"
    r"|ie(?=t|r\b|rs\b|st\b|nc)|(?<![gq])u[ao](?!y)|(?<!g)eo(?!u)|[aeiouy]ing\b"
    r"|ism\b|thm\b|[aeiou]y[aeiou]|\bcoo(?=[prd])"
)
"""Vowels that stand together and are spoken apart, and two vowels unwritten."""

_SILENT: Final = re.compile(
    r"[aeiouy].*(?:(?:[^aeiouyl]|(?<=[aeiouylrw])l)e"
    r"|(?:[^aeiouydlt]|(?<=[aeiouylrw])l)ed"
    r"|(?:[^aeiouycghlsxz]|[pt]h|(?<=[aeiouylrw])l)es)$"
)
"""An e at the end that is written and not spoken, as in raise, raised, takes."""


def count_syllables(word: str) -> int:
    """Return the syllables of one word, at least 1.

    >>> [count_syllables(word) for word in ("march", "shoulder", "comfortable")]
    [1, 2, 4]
    """
    return _count(word.casefold().replace("\u2019", "'").strip("'"))


@cache
def _count(word: str) -> int:
    if word in _KNOWN:
        return _KNOWN[word]
    if re.fullmatch("[0-9]+", word):
        return _digits(word)
    plain = re.sub(r"'(s|d|m|ve|re|ll|t)?\b", "", word)
    plain = re.sub(r"[^a-z]", "", plain)
    if not plain:
        return 1
    return max(1, _stem(plain))


def _stem(word: str) -> int:
    for ending in _ENDINGS:
        head = word.removesuffix(ending)
        if head != word and len(head) > 2 and re.search(r"[aeiouy][^aeiouy]+e$", head):
            return _stem(head) + _stem(ending)
    groups = len(_VOWELS.findall(word)) + len(_SPLIT.findall(word))
    return groups - (_SILENT.search(word) is not None)


def _digits(number: str) -> int:
    """Return the syllables of a number below a thousand, as it is read out."""
    ones = (2, 1, 1, 1, 1, 1, 1, 2, 1, 1, 1, 3, 1, 2, 2, 2, 2, 3, 2, 2)
    value = int(number)
    if value < 20:
        return ones[value]
    if value < 100:
        tens = 3 if value // 10 == 7 else 2
        return tens + (ones[value % 10] if value % 10 else 0)
    if value < 1000:
        rest = value % 100
        return ones[value // 100] + 2 + (1 + _digits(str(rest)) if rest else 0)
    return sum(ones[int(digit)] for digit in number)
