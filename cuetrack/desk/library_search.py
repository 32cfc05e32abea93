"""Movements found by words: of a name, a region, equipment, or what they are for."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from cuetrack.movements.contraindications import Suits, safe_words, verdicts
from cuetrack.movements.library import find, library_entries
from cuetrack.movements.strains import motion_of

if TYPE_CHECKING:
    from cuetrack.movements.library import LibraryEntry
    from cuetrack.plan.model import Plan

MOST_FOUND: Final = 12


@dataclass(frozen=True, slots=True, kw_only=True)
class FoundMovement:
    """A movement of the library, and what the review says of it for a group.

    ``against`` are the facts of the group with which it is to be left out, ``minding``
    the words that make it safe for the others.
    """

    name: str
    how: str
    equipment: str
    figure: bool
    against: tuple[str, ...]
    minding: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class FoundMovements:
    """What was found; ``exact`` is the one the words name, ``more`` how many others."""

    rows: tuple[FoundMovement, ...]
    exact: str
    more: int


def found_for(plan: Plan, words: str) -> FoundMovements:
    """Return the movements that fit all of some words, what suits the group first."""
    entries = library_entries(plan.language)
    wanted = words.casefold().split()
    exact = find(words, entries)
    fitting = [one for one in entries if one is exact or _fits(one, wanted)]
    rows = [_row(plan, one) for one in fitting]
    first = _forms(wanted[0] if wanted else "")
    rows.sort(
        key=lambda row: (
            exact is None or row.name != exact.name,
            bool(row.against),
            not row.name.casefold().startswith(first),
            not any(form in row.name.casefold() for form in first),
        )
    )
    return FoundMovements(
        rows=tuple(rows[:MOST_FOUND]),
        exact=exact.name if exact else "",
        more=max(len(rows) - MOST_FOUND, 0),
    )


def _fits(entry: LibraryEntry, wanted: list[str]) -> bool:
    movement = entry.movement
    told = (entry.name, *entry.other_names, *movement.regions, movement.role or "")
    known = " ".join((*told, movement.equipment or "")).casefold()
    return all(any(form in known for form in _forms(word)) for word in wanted)


def _forms(word: str) -> tuple[str, ...]:
    """Return a word, and what it is without the ending of several."""
    return (word, word.removesuffix("s"), word.removesuffix("es"))


def _row(plan: Plan, entry: LibraryEntry) -> FoundMovement:
    movement, facts = entry.movement, plan.group.facts
    told = verdicts(movement, facts, plan.language)
    against = tuple(str(one.fact) for one in told if one.suits is Suits.LEAVE_OUT)
    asked = any(one.suits is Suits.SAFE_FORM for one in told)
    own = (movement.caution,) if asked and movement.caution else ()
    safe = (*own, *safe_words(movement, facts, plan.language))
    return FoundMovement(
        name=entry.name,
        how=movement.told,
        equipment=movement.equipment or "",
        figure=motion_of(entry.name) is not None,
        against=against,
        minding=() if against else safe,
    )
