"""The order of a circuit: effort builds, peaks before its end, and falls.

Neighbours never have the same main region, also from the end of a round to its next
start, and share as few groups of muscles as can be; lively legs are followed by
something else, so that heart and lungs go on while other muscles take over.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from cuetrack.plan.model import Role
from cuetrack.review.case import GENERAL, LEGS, main_region, tags_of

if TYPE_CHECKING:
    from collections.abc import Sequence

    from cuetrack.movements.library import LibraryEntry

STARTING_EFFORT: Final = 5
"""The first work of a class is not one of the hardest."""
SEATS: Final = frozenset({"seat_forward", "seat_edge", "chair_arms"})
_SHARED_COST: Final = 0.6
_LIVELY_COST: Final = 1.5
_ARMS_COST: Final = 2.0
_SIDES_COST: Final = 1.0
_SIDES_LAST_COST: Final = 6.0
_SEAT_COST: Final = 0.5
_FIRST_SEAT_COST: Final = 4.0
_PICK_UP_COST: Final = 0.4
_HARD_END_COST: Final = 2.0
"""Own weights, beside 1 for a point of effort in a wrong place."""
_NEVER: Final = float("inf")


@dataclass(frozen=True, slots=True, eq=False)
class Candidate:
    """A movement that may be a work, with what its choice asks again and again.

    ``care`` counts what has to be said to make it safe for the group.
    """

    entry: LibraryEntry
    care: int
    tags: frozenset[str]
    main: str | None
    groups: frozenset[str]
    effort: int

    @classmethod
    def of(cls, entry: LibraryEntry, care: int) -> Candidate:
        """Return a movement as a candidate."""
        movement = entry.movement
        return cls(
            entry=entry,
            care=care,
            tags=tags_of(movement),
            main=main_region(movement),
            groups=frozenset(movement.regions) - GENERAL,
            effort=movement.effort or 0,
        )

    @property
    def role(self) -> Role | None:
        """What it is for."""
        return self.entry.movement.role

    @property
    def thing(self) -> str | None:
        """What it is done with."""
        return self.entry.movement.equipment

    @property
    def sided(self) -> bool:
        """Whether each side has a time of its own."""
        return bool(self.entry.movement.sides)

    @property
    def moves_on_chair(self) -> bool:
        """Whether one sits elsewhere on the chair for it."""
        return not SEATS.isdisjoint(self.tags)

    @property
    def lively(self) -> bool:
        """Whether it drives heart and lungs with the legs."""
        return self.role is Role.ENERGISER and not LEGS.isdisjoint(self.groups)


def changes_seat(entry: LibraryEntry) -> bool:
    """Return whether one sits elsewhere on the chair for a movement."""
    return not SEATS.isdisjoint(tags_of(entry.movement))


def ordered(
    candidates: Sequence[Candidate],
    before: Candidate | None = None,
    *,
    repeats: bool,
    sides_last: bool = False,
) -> tuple[Candidate, ...]:
    """Return movements in the best order of a circuit, empty where there is none.

    ``before`` is what was done last; ``repeats`` says that the end is followed by
    the start again, ``sides_last`` that there is no time for the longer rest after
    one side and the other.
    """
    search = _OrderSearch(candidates, before, repeats=repeats)
    if sides_last:
        search.put_sides_last()
    search.grow((), 0.0)
    return tuple(candidates[index] for index in search.best)


def _targets(candidates: Sequence[Candidate]) -> tuple[int, ...]:
    """Return the effort of each place: rising to the last but one, then less."""
    efforts = sorted(each.effort for each in candidates)
    lower = [place for place, effort in enumerate(efforts) if effort < efforts[-1]]
    last = efforts.pop(lower[-1] // 2 if lower else 0)
    return (*efforts, last)


class _OrderSearch:
    """The cheapest order, found by growing it and giving up what costs more."""

    def __init__(
        self,
        candidates: Sequence[Candidate],
        before: Candidate | None,
        *,
        repeats: bool,
    ) -> None:
        self.best: tuple[int, ...] = ()
        self._cost = _NEVER
        self._candidates = candidates
        self._efforts = [each.effort for each in candidates]
        self._targets = _targets(candidates)
        self._repeats = repeats and len(candidates) > 1
        self._pairs = [[_pair_cost(a, b) for b in candidates] for a in candidates]
        self._first = [
            _first_cost(each) + (_pair_cost(before, each) if before else 0.0)
            for each in candidates
        ]

    def put_sides_last(self) -> None:
        """Make it dear to follow what has two sides with anything."""
        for row, each in zip(self._pairs, self._candidates, strict=True):
            row[:] = [cost + _SIDES_LAST_COST * each.sided for cost in row]

    def grow(self, path: tuple[int, ...], cost: float) -> None:
        """Grow an order in every way that may still be the cheapest."""
        if cost >= self._cost:
            return
        place = len(path)
        if place == len(self._efforts):
            if self._repeats:
                cost += self._pairs[path[-1]][path[0]]
            cost += _HARD_END_COST * (self._efforts[path[-1]] > self._targets[-1])
            if cost < self._cost:
                self.best, self._cost = path, cost
            return
        for index, effort in enumerate(self._efforts):
            if index not in path:
                step = self._pairs[path[-1]][index] if path else self._first[index]
                step += abs(effort - self._targets[place])
                self.grow((*path, index), cost + step)


def _first_cost(candidate: Candidate) -> float:
    if candidate.effort > STARTING_EFFORT:
        return _NEVER
    seated = candidate.moves_on_chair or candidate.entry.movement.is_set_up
    return _FIRST_SEAT_COST * seated


def _pair_cost(was: Candidate, now: Candidate) -> float:
    if was.main == now.main:
        return _NEVER
    cost = _SHARED_COST * len(was.groups & now.groups)
    cost += _LIVELY_COST * (was.lively and now.lively)
    cost += _SIDES_COST * (was.sided and now.sided)
    cost += _SEAT_COST * (was.moves_on_chair and not now.moves_on_chair)
    cost += _PICK_UP_COST * (now.thing not in (None, was.thing))
    arms = "arms_only" in was.tags and "arms_only" in now.tags
    return cost + _ARMS_COST * (arms and {was.role, now.role} == {Role.ENERGISER})
