"""What a movement in a leader's own words asks of a body, read from the words.

`read_body` is the public verb. The words stand in ``body.yaml`` of each language,
what they amount to in ``word_rules.yaml``. What they do not tell is given back, so
that it can be asked.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cache, lru_cache
from typing import TYPE_CHECKING, Any, Final

from cuetrack.languages.body_words import body_words
from cuetrack.languages.folders import own_table

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping

    from cuetrack.languages.body_words import BodyWords

_MARKS: Final = re.compile(r"[,;:.!?()\n\u2013\u2014]+|\s-+\s")
_LONGEST_READ: Final = 1000
NOTHING: Final = "nothing"
_PARTS: Final = frozenset(
    {
        *("arm", "head", "trunk", "back", "shoulder", "leg", "knee", "foot", "toe"),
        *("weight", "band", "thing", "breath in"),
    }
)
"""What goes on moving in the next clause where that names nothing that moves."""
_BODY: Final = _PARTS | {
    *("palm", "finger", "wrist", "ear", "look", "hip", "bottom", "breathing", "seated"),
    *("march", "pedal", "low place", "small hand", "nod", "chin tuck", "maybe upright"),
    *("easing", "holding on", "breathe on", "body weight", "put down", "strong side"),
}
"""Without any of these a text that asks for nothing tells of no body."""
_BY_ITSELF: Final = frozenset({"march", "pedal"})
"""What tells by itself what moves."""
_STATE: Final = frozenset({"stop below shoulder", "knees together", "one side"})
_RISING: Final = frozenset({"raise", "reach"})
_MANNER: Final = frozenset(
    {
        *("fast", "slow", "a little", "if easy", "utmost", "hard", "hold", "long"),
        *("stretch", "breathing", "upright", "stop below shoulder"),
        *("low place", "high place", "head height", "forward", "all out", "far"),
    }
)
"""What alone makes no clause, and says how the one before it is done."""
_UP_TO: Final = frozenset({"low place", "stop below shoulder"})
_PLACES: Final = frozenset({"trunk", "shoulder", "knee", "hip", "head", "back", "leg"})
"""Parts of the body that only say up to where, beside words of `_UP_TO`."""


@dataclass(frozen=True, slots=True, kw_only=True)
class BodySaid:
    """What the words of a movement tell.

    ``asked`` are the strains they ask for, ``optional`` those that only a harder
    option does, ``whole`` those asked of which nothing can be spared. ``said`` are
    the safe forms that the words tell; ``slight`` and ``unhurried`` are strains that
    are asked only a little, or slowly. ``unclear`` are strains that they may ask
    for, each with the key of the question that would tell. Words that tell of no body
    at all are not ``understood``. ``like`` is the movement of the library whose
    name its own holds.
    """

    asked: frozenset[str] = frozenset()
    optional: frozenset[str] = frozenset()
    said: frozenset[str] = frozenset()
    slight: frozenset[str] = frozenset()
    unhurried: frozenset[str] = frozenset()
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
    said: Mapping[str, tuple[_Rule, ...]]
    slight: tuple[_Rule, ...]
    unhurried: tuple[_Rule, ...]
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
            s for s, ways in strains.items() if any(_hold(ways, c) for c in clauses)
        }

    def always(manner: tuple[_Rule, ...]) -> frozenset[str]:
        other = [found for found in clauses if not _hold(manner, found)]
        return frozenset(
            s for s in asked if not any(_hold(rules.asked[s], c) for c in other)
        )

    asked = held(rules.asked)
    slight, unhurried = always(rules.slight), always(rules.unhurried)
    for strain in tuple(asked):
        asked.update(rules.brought.get(strain, ()))
    unclear = tuple(
        (strain, question)
        for question, (strains, ways) in rules.unclear.items()
        if any(_hold(ways, found) for found in clauses)
        for strain in strains
        if strain not in asked
    )
    return BodySaid(
        asked=frozenset(asked),
        said=frozenset(held(rules.said)),
        slight=slight,
        unhurried=unhurried,
        whole=frozenset(asked & held(rules.whole)),
        unclear=unclear,
        understood=bool(asked or unclear)
        or any(_BODY & found for found in clauses)
        or any(words.refusing.search(f" {' '.join(words.stems(t))}") for t in texts),
    )


def _hold(ways: Iterable[_Rule], found: frozenset[str]) -> bool:
    return any(way.holds(found) for way in ways)


def _clauses(text: str, words: BodyWords) -> Iterator[frozenset[str]]:
    """Yield what each clause of a text asks for; what moves goes on in the next."""
    clauses: list[frozenset[str]] = []
    moving: frozenset[str] = frozenset()
    for part in _MARKS.split(text[:_LONGEST_READ]):
        for clause in _parted(part, words):
            found = _softened(_found(clause, words))
            manner = found - _PLACES if found & _UP_TO else found
            if clauses and manner and manner <= _MANNER:
                clauses[-1] |= manner
            elif found:
                kept = moving & _STATE if found.isdisjoint(_RISING) else frozenset()
                moved = found & _PARTS or found & _BY_ITSELF
                clauses.append(found | kept | (frozenset() if moved else moving))
                moving = (moved or moving) | (found & _STATE) | kept
    yield from map(_softened, clauses)


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
        for match in pattern.finditer(text)
        if not any(_refuses(stretch, match) for stretch in refused)
    )


def _refuses(stretch: tuple[int, int, int], match: re.Match[str]) -> bool:
    """Return whether a stretch refuses what was found.

    A phrase that begins with the refusal means something by itself ("no holding on"),
    unless it is no more than a part of the refusal ("skip" of "skip any that hurt").
    """
    start, said, end = stretch
    if match.start() == start:
        return match.end() < said
    return start < match.end() and match.start() < end


def _softened(clause: frozenset[str]) -> frozenset[str]:
    """Return a clause without what others of its words take back."""
    for softening in _rule_table()["softening"]:
        if not clause.isdisjoint(softening["by"]):
            clause = clause.difference(softening["drops"])
    return clause


def _refused(text: str, words: BodyWords) -> Iterator[tuple[int, int, int]]:
    """Yield where a refusal starts, where its own words end, and where it ends."""
    for refusal in words.refusing.finditer(text):
        if not words.not_refusing.match(text, refusal.end()):
            until = words.until.search(text, refusal.end())
            end = until.start() if until else len(text)
            yield refusal.start(), refusal.end(), end


@cache
def _rule_table() -> Mapping[str, Any]:
    return own_table("cuetrack.movements", "word_rules.yaml")


@cache
def _rules_for(names: frozenset[str]) -> _Rules:
    table = _rule_table()
    return _Rules(
        asked={s: _ways(ways, names) for s, ways in table["asked"].items()},
        said={form: _ways(ways, names) for form, ways in table["said"].items()},
        slight=_ways(table["slight"], names),
        unhurried=_ways(table["unhurried"], names),
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
