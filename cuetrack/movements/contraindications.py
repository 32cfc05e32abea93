"""Whether a movement suits a group: the one table that everything asks.

A movement is first made safe (less range, no weight, slower, a hand on the chair),
and left out only where nothing of that helps. The table is
``contraindications.yaml``; what movements ask of a body is derived in `strains`.
Nothing here is advice: what a person's own clinician says comes first.
"""

from __future__ import annotations

from collections.abc import Hashable
from dataclasses import dataclass
from enum import StrEnum
from functools import cache, lru_cache
from types import MappingProxyType
from typing import TYPE_CHECKING, Final, Protocol

from cuetrack.languages.folders import own_table
from cuetrack.languages.group_words import group_words
from cuetrack.languages.reading_level import sentences_of
from cuetrack.movements.body_reading import NOTHING
from cuetrack.movements.group_facts import OF_THE_CLASS, Fact
from cuetrack.movements.group_reading import read_group
from cuetrack.movements.strains import Described, Extent, is_known, strains_of

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from cuetrack.movements.body_reading import BodySaid


OWN: Final = "own"
LESS: Final = frozenset(
    {
        "smaller",
        "knees_low",
        "own_side",
        "knees_forward",
        "hands_low",
        "below_crown",
        "little_turn",
        "little_lean",
        "stay_tall",
    }
)
"""Ways that make less of a movement: they help where little of it is free."""
GENTLY: Final = frozenset({"slow_head", "own_pace", "loosely", "softly"})
"""Ways that take the haste and the force out of a movement."""
NO_WEIGHT: Final = "no_weight"
NEEDS_THINGS: Final = "needs_kit"


class Suits(StrEnum):
    """How far a movement suits somebody, the best first."""

    FINE = "fine"
    SAFE_FORM = "with its safe form"
    LEAVE_OUT = "leave out"
    NOT_REVIEWED = "not reviewed"


class Spoken(Described, Hashable, Protocol):
    """A movement with the words that are said with it."""

    @property
    def caution(self) -> str | None:
        """What to mind."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """What a movement may ask that is hard on somebody, and what helps."""

    strain: str
    rule: str
    ways: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Contraindications:
    """The rows of one fact, with where they come from."""

    source: str
    rows: tuple[Row, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Verdict:
    """How a movement suits one fact of a group.

    ``ways`` are what makes it safe, as keys of the language's words (`OWN`: what its
    own caution says). ``against`` are the rows that nothing helps with,
    ``open_questions`` the keys of what its words leave open for this fact.
    """

    fact: Fact
    suits: Suits
    ways: tuple[str, ...] = ()
    against: tuple[Row, ...] = ()
    open_questions: tuple[str, ...] = ()

    def words(self, language: str = "en") -> tuple[str, ...]:
        """Return what is to be said to make it safe, beside its own caution."""
        forms = group_words(language).safe_forms
        return tuple(forms[way].say for way in self.ways if way != OWN)


@cache
def contraindications() -> Mapping[Fact, Contraindications]:
    """Return the table by the facts it has rules for."""
    table = own_table("cuetrack.movements", "contraindications.yaml")
    return MappingProxyType(
        {
            Fact(fact): Contraindications(
                source=entry["source"],
                rows=tuple(
                    Row(strain=strain, rule=row["rule"], ways=tuple(row["do"]))
                    for strain, row in entry["rows"].items()
                ),
            )
            for fact, entry in table.items()
        }
    )


def without_rule(facts: Iterable[Fact]) -> tuple[Fact, ...]:
    """Return the facts of health that no rule knows."""
    known = contraindications()
    return tuple(f for f in facts if f not in known and f not in OF_THE_CLASS)


def verdict(movement: Spoken, fact: Fact, language: str = "en") -> Verdict:
    """Return how a movement suits one fact of a group.

    >>> from cuetrack.movements.library import find
    >>> verdict(find("knee lift").movement, Fact.NEW_HIP).suits.value
    'with its safe form'
    """
    return _verdict(movement, movement.read, fact, language)


@lru_cache(maxsize=8192)
def _verdict(movement: Spoken, read: BodySaid, fact: Fact, language: str) -> Verdict:
    """Return the verdict; what was read is no part of what makes movements equal."""
    rules = contraindications().get(fact)
    if rules is None:
        return Verdict(fact=fact, suits=Suits.FINE)
    if not is_known(movement):
        return Verdict(fact=fact, suits=Suits.NOT_REVIEWED, open_questions=(NOTHING,))
    strains = strains_of(movement)
    asked = [row for row in rules.rows if row.strain in strains]
    own = _own_caution(movement, fact, language)
    helping = {row: _way(row, strains, own) for row in asked}
    against = tuple(row for row, way in helping.items() if way is None)
    if own is Suits.LEAVE_OUT:
        against = tuple(asked)
    if against:
        return Verdict(fact=fact, suits=Suits.LEAVE_OUT, against=against)
    needed = any(helping.values())
    unsaid = (w for row, w in helping.items() if w and not _is_said(w, row, read))
    ways = tuple(dict.fromkeys(unsaid))
    unclear = () if movement.tags else _unclear(read, rules)
    if unclear:
        return Verdict(
            fact=fact, suits=Suits.NOT_REVIEWED, ways=ways, open_questions=unclear
        )
    return Verdict(
        fact=fact, suits=Suits.SAFE_FORM if needed else Suits.FINE, ways=ways
    )


def _is_said(way: str, row: Row, read: BodySaid) -> bool:
    """Return whether the words of a movement tell a safe form by themselves."""
    if way in LESS:
        return row.strain in read.slight
    return way in read.said or (way in GENTLY and row.strain in read.unhurried)


def _unclear(read: BodySaid, rules: Contraindications) -> tuple[str, ...]:
    """Return what words leave open that matters here; tags of one's own tell it."""
    matters = {row.strain for row in rules.rows}
    open_here = (q for strain, q in read.unclear if strain in matters)
    return tuple(dict.fromkeys(open_here))


def verdicts(
    movement: Spoken, facts: Iterable[str], language: str = "en"
) -> tuple[Verdict, ...]:
    """Return how a movement suits each fact of a group."""
    return tuple(verdict(movement, Fact(fact), language) for fact in facts)


def left_out(movement: Spoken, facts: Iterable[str], language: str = "en") -> bool:
    """Return whether a movement is to be left out for a group."""
    told = verdicts(movement, facts, language)
    return any(each.suits is Suits.LEAVE_OUT for each in told)


def safe_words(
    movement: Spoken, facts: Iterable[str], language: str = "en"
) -> tuple[str, ...]:
    """Return what is to be said so that a movement is safe for a group."""
    told = verdicts(movement, facts, language)
    return tuple(dict.fromkeys(w for each in told for w in each.words(language)))


def _way(row: Row, strains: Mapping[str, Extent], own: Suits | None) -> str | None:
    """Return the first way that helps, None where nothing does."""
    for way in row.ways:
        if _helps(way, strains[row.strain], strains, own):
            return way
    return None


def _helps(
    way: str, free: Extent, strains: Mapping[str, Extent], own: Suits | None
) -> bool:
    if way == OWN:
        return own is Suits.SAFE_FORM
    if way == NO_WEIGHT:
        return NEEDS_THINGS not in strains
    return way not in LESS or free is not Extent.NOTHING


def _own_caution(movement: Spoken, fact: Fact, language: str) -> Suits | None:
    """Return what a movement's own caution says for a fact, None where nothing."""
    leaving = group_words(language).leaving
    for sentence in sentences_of(movement.caution or ""):
        if fact in facts_named(sentence, language):
            said = sentence.casefold()
            gone = any(word in said for word in leaving)
            return Suits.LEAVE_OUT if gone else Suits.SAFE_FORM
    return None


@cache
def facts_named(caution: str, language: str = "en") -> tuple[Fact, ...]:
    """Return the facts that a caution speaks to: those before a sentence's comma.

    >>> [*map(str, facts_named("With a sore back or thin bones, turn less"))]
    ['osteoporosis', 'back pain']
    """
    parts = (sentence.partition(",") for sentence in sentences_of(caution))
    said = {
        fact
        for to_whom, comma, _ in parts
        if comma
        for fact in read_group(to_whom, language).facts
    }
    return tuple(fact for fact in Fact if fact in said)
