"""What might have been said in the place of a line: what a slip would make of it."""

from __future__ import annotations

from difflib import SequenceMatcher
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence

SpokenWords = tuple[str, ...]

_SWAPPED: Final = (
    ("left", "right"),
    ("up", "down"),
    ("in", "out"),
    ("forward", "back"),
    ("first", "last"),
    ("before", "after"),
    ("open", "close"),
    ("start", "stop"),
    ("heel", "toe"),
    ("heels", "toes"),
    ("hand", "foot"),
    ("hands", "feet"),
    ("arm", "leg"),
    ("arms", "legs"),
    ("knee", "elbow"),
    ("knees", "elbows"),
    ("easier", "harder"),
    ("slow", "fast"),
    ("inhale", "exhale"),
    ("more", "less"),
    ("lift", "lower"),
)
_NUMBERS: Final = (
    *("one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten"),
    *("fifteen", "twenty", "thirty", "forty", "fifty", "sixty"),
)
BESIDE: Final = (
    "sorry again oh dear where was i wait once more no page line sorry i'll do that "
    "let me start over okay right well hang on one moment excuse me is this thing on "
    "still running need water drink coffee cough phone turn read said say it wrong "
    "drop swing hop jump squat bridge plank lunge crunch step kick slide rock spin "
    "flap wave pat rub throw catch bounce sway nod grip grab quickly fast hard far "
    "near high low sideways across under over behind table floor wall hip back front "
    "finger fingers ear nose belly bottom a the an this that these those they she he"
)
"""SpokenWords of no script, in which talk between lines and strange slips are heard."""

_ALIKE: Final = 0.5
_MOST_LINES: Final = 40


def rivals(
    words: SpokenWords, lines: Iterable[SpokenWords], names: Sequence[SpokenWords]
) -> dict[SpokenWords, str]:
    """Return what might be said for a line, each with what is wrong about it.

    Another movement's name; the other side, direction or number; a word left out; and
    other lines that are like it.
    """
    found: dict[SpokenWords, str] = {}
    for other in _near(words, lines):
        found[other] = "another line is read"
    for other in _with_a_word_less(words):
        found[other] = "a word is missing"
    for other in _swapped(words):
        found[other] = "a word is another"
    for other in with_other_names(words, names):
        found[other] = "another movement is named"
    found.pop(words, None)
    return found


def names_in(
    words: SpokenWords, names: Iterable[SpokenWords]
) -> list[tuple[int, SpokenWords]]:
    """Return the names that a line has, each with its place; of two the longer."""
    found: list[tuple[int, SpokenWords]] = []
    for name in sorted(names, key=len, reverse=True):
        for at in range(len(words) - len(name) + 1):
            taken = any(at < p + len(n) and p < at + len(name) for p, n in found)
            if words[at : at + len(name)] == name and not taken:
                found.append((at, name))
    return found


def with_other_names(
    words: SpokenWords, names: Sequence[SpokenWords]
) -> Iterator[SpokenWords]:
    """Yield a line with each of its names replaced by every other name."""
    for at, name in names_in(words, names):
        for other in names:
            if other != name:
                yield (*words[:at], *other, *words[at + len(name) :])


def _swapped(words: SpokenWords) -> Iterator[SpokenWords]:
    for at, word in enumerate(words):
        others = [b if word == a else a for a, b in _SWAPPED if word in {a, b}]
        if word in _NUMBERS:
            others += [other for other in _NUMBERS if other != word]
        for other in others:
            yield (*words[:at], other, *words[at + 1 :])


def _with_a_word_less(words: SpokenWords) -> Iterator[SpokenWords]:
    if len(words) > 1:
        for at in range(len(words)):
            yield (*words[:at], *words[at + 1 :])


def _near(words: SpokenWords, lines: Iterable[SpokenWords]) -> list[SpokenWords]:
    """Return the lines that are most like this one."""
    if len(words) == 1:
        return [other for other in lines if len(other) == 1]
    graded = []
    for other in lines:
        matcher = SequenceMatcher(None, words, other, autojunk=False)
        if matcher.real_quick_ratio() >= _ALIKE and matcher.quick_ratio() >= _ALIKE:
            graded.append((matcher.ratio(), other))
    near = sorted((g for g in graded if g[0] >= _ALIKE), reverse=True)
    return [other for _, other in near[:_MOST_LINES]]
