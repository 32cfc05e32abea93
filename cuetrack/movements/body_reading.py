"""What a movement in a leader's own words asks of a body, read from the words.

`read_body` is the public verb. The words stand in ``body.yaml`` of each language,
what they amount to in ``word_rules.yaml``. What they do not tell is given back, so
that it can be asked.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cache, lru_cache
from importlib.resources import files
from typing import TYPE_CHECKING, Any, Final

import yaml

from cuetrack.languages.body_words import body_words

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping

    from cuetrack.languages.body_words import BodyWords

_LOADER: Final = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
_MARKS: Final = re.compile(r"[,;:.!?()\n\u2013\u2014]+|\s-+\s")
_LONGEST_READ: Final = 1000
NOTHING: Final = "nothing"
_PARTS: Final = frozenset(
    {
        *("arm", "head", "trunk", "back", "shoulder", "leg", "knee", "foot", "toe"),
        *("weight", "band", "thing"),
    }
)
"""What goes on moving in the next clause where that names nothing that moves."""
_BODY: Final = _PARTS | {
    *("palm", "finger", "wrist", "ear", "look", "hip", "bottom", "breathing", "seated"),
    *("march", "pedal", "low place", "small hand", "nod", "chin tuck", "maybe upright"),
}
"""Without any of these a text that asks for nothing tells of no body."""
_STATE: Final = frozenset({"stop below shoulder", "knees together", "one side"})
_RISING: Final = frozenset({"raise", "reach"})
_MANNER: Final = frozenset(
    {
        *("fast", "slow", "a little", "if easy", "utmost", "hard", "hold", "long"),
        *("stretch", "breathing", "upright", "stop below shoulder"),
    }
)
"""What alone makes no clause, and says how the one before it is done."""


@dataclass(frozen=True, slots=True, kw_only=True)
class BodySaid:
    """What the words of a movement tell.

    ``asked`` are the strains they ask for, ``whole`` those of them of which nothing
    can be spared; ``unclear`` are strains that they may ask
    for, each with the key of the question that would tell. Words that tell of no body
    at all are not ``understood``. ``like`` is the movement of the library whose
    name its own holds.
    """

    asked: frozenset[str] = frozenset()
    whole: frozenset[str] = frozenset()
    unclear: tuple[tuple[str, str], ...] = ()
    understood: bool = False
    like: str | None = None

    @property
    def open_questions(self) -> tuple[str, ...]:
        """The keys of what is to be asked, each once."""
        if not self.understood:
            return (NOTHING,)
        return tuple(dict.fromkeys(question for _, question in self.unclear))


@dataclass(frozen=True, slots=True, kw_only=True)
class _Rule:
    """Words that must be found in a clause together, and words that must not."""

    needed: tuple[frozenset[str], ...]
    absent: frozenset[str]

    def holds(self, found: frozenset[str]) -> bool:
        return self.absent.isdisjoint(found) and all(n & found for n in self.needed)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Rules:
    asked: Mapping[str, tuple[_Rule, ...]]
    whole: Mapping[str, tuple[_Rule, ...]]
    brought: Mapping[str, tuple[str, ...]]
    unclear: Mapping[str, tuple[tuple[str, ...], tuple[_Rule, ...]]]


@lru_cache(maxsize=4096)
def read_body(texts: tuple[str, ...], language: str = "en") -> BodySaid:
    """Return what texts on one movement ask of a body.

    >>> said = read_body(("Reach for the ceiling.", "Do not hold your breath."))
    >>> sorted(said.asked)
    ['above_shoulder', 'overhead']
    >>> read_body(("Lift one arm, then the other",)).open_questions
    ('hands',)
    """
    words = body_words(language)
    if words is None:
        return BodySaid()
    rules = _rules(words)
    clauses = [found for text in texts for found in _clauses(text, words)]

    def held(strains: Mapping[str, tuple[_Rule, ...]]) -> set[str]:
        return {
            strain
            for strain, ways in strains.items()
            if any(way.holds(found) for way in ways for found in clauses)
        }

    asked = held(rules.asked)
    for strain in tuple(asked):
        asked.update(rules.brought.get(strain, ()))
    unclear = tuple(
        (strain, question)
        for question, (strains, ways) in rules.unclear.items()
        if any(way.holds(found) for way in ways for found in clauses)
        for strain in strains
        if strain not in asked
    )
    return BodySaid(
        asked=frozenset(asked),
        whole=frozenset(asked & held(rules.whole)),
        unclear=unclear,
        understood=bool(asked or unclear) or any(_BODY & found for found in clauses),
    )


def _clauses(text: str, words: BodyWords) -> Iterator[frozenset[str]]:
    """Yield what each clause of a text asks for; what moves goes on in the next."""
    clauses: list[frozenset[str]] = []
    moving: frozenset[str] = frozenset()
    for part in _MARKS.split(text[:_LONGEST_READ]):
        for clause in _parted(part, words):
            found = _found(clause, words)
            if clauses and found and found <= _MANNER:
                clauses[-1] |= found
            elif found:
                kept = moving & _STATE if found.isdisjoint(_RISING) else frozenset()
                moved = found & _PARTS
                clauses.append(found | kept | (frozenset() if moved else moving))
                moving = (moved or moving) | (found & _STATE) | kept
    yield from clauses


def _parted(part: str, words: BodyWords) -> Iterator[tuple[str, ...]]:
    clause: list[str] = []
    for word in words.stems(part):
        if word in words.joining:
            yield tuple(clause)
            clause = []
        else:
            clause.append(word)
    yield tuple(clause)


def _found(clause: tuple[str, ...], words: BodyWords) -> frozenset[str]:
    """Return what a clause asks for; what it refuses is left out."""
    text = "".join(f" {word}" for word in clause)
    refused = tuple(_refused(text, words))
    return frozenset(
        name
        for name, pattern in words.patterns.items()
        for found in pattern.finditer(text)
        if not any(
            start < found.end() and start != found.start() < end
            for start, end in refused
        )
    )


def _refused(text: str, words: BodyWords) -> Iterator[tuple[int, int]]:
    """Yield from where to where a clause refuses what it names."""
    for refusal in words.refusing.finditer(text):
        if not words.not_refusing.match(text, refusal.end()):
            until = words.until.search(text, refusal.end())
            yield refusal.start(), until.start() if until else len(text)


@cache
def _rule_table() -> Mapping[str, Any]:
    text = files("cuetrack.movements").joinpath("word_rules.yaml").read_text("utf-8")
    table: Mapping[str, Any] = yaml.load(text, Loader=_LOADER)  # noqa: S506 - the safe loader in C, on our own file
    return table


@cache
def _rules_for(names: frozenset[str]) -> _Rules:
    table = _rule_table()
    return _Rules(
        asked={s: _ways(ways, names) for s, ways in table["asked"].items()},
        whole={s: _ways(ways, names) for s, ways in table["whole"].items()},
        brought={s: tuple(others) for s, others in table["with it"].items()},
        unclear={
            question: (tuple(each["strains"]), _ways(each["when"], names))
            for question, each in table["unclear"].items()
        },
    )


def _rules(words: BodyWords) -> _Rules:
    return _rules_for(frozenset(words.patterns))


def _ways(lines: Iterable[str], names: frozenset[str]) -> tuple[_Rule, ...]:
    return tuple(_rule(line, names) for line in lines)


def _rule(line: str, names: frozenset[str]) -> _Rule:
    needed: list[frozenset[str]] = []
    absent: set[str] = set()
    for term in line.split(", "):
        words = frozenset(term.removeprefix("!").split("|"))
        if words - names:
            raise LookupError(f"{min(words - names)!r} of {line!r} names no words")
        if term.startswith("!"):
            absent |= words
        else:
            needed.append(words)
    return _Rule(needed=tuple(needed), absent=frozenset(absent))
