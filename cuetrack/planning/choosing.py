"""Movements chosen for a class: what suits the group, in an order that spares them.

No two works that follow each other have the same main region, also from the end of a
round to its next start; lively leg work is followed by arm work, so that heart and
lungs go on while other muscles take over.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from cuetrack.movements.contraindications import left_out, safe_words
from cuetrack.movements.library import library_entries
from cuetrack.plan.model import Role
from cuetrack.review import limits
from cuetrack.review.case import ARMS, GENERAL, LEGS, main_region, tags_of

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Sequence
    from random import Random

    from cuetrack.movements.library import LibraryEntry
    from cuetrack.planning.request import ClassRequest

ALWAYS_AVOIDED: Final = frozenset({"standing", "head_below_heart", "chair_arms"})
HIGH: Final = frozenset({"overhead", "above_shoulder"})
PATTERN: Final = ("lively", "arms", "legs", "arms", "trunk") * 2
"""What each work of a round is for."""
STARTING_EFFORT: Final = 5
"""The first work of a class is not one of the hardest."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Pool:
    """The movements that suit a group, in the order of the library."""

    entries: tuple[LibraryEntry, ...]

    def of(self, *roles: Role) -> tuple[LibraryEntry, ...]:
        """Return the movements of some roles."""
        return tuple(e for e in self.entries if e.movement.role in roles)

    def named(self, name: str) -> LibraryEntry | None:
        """Return the movement of that name, None where it does not suit."""
        return next((e for e in self.entries if e.name == name), None)


def pool_for(wishes: ClassRequest) -> Pool:
    """Return every movement that suits the group and what is at hand."""
    return Pool(
        entries=tuple(
            entry
            for entry in library_entries()
            if ALWAYS_AVOIDED.isdisjoint(tags_of(entry.movement))
            and not left_out(entry.movement, wishes.facts)
            and (entry.empty_hands or set(wishes.equipment) & set(entry.equipment))
        )
    )


def works(
    wishes: ClassRequest, pool: Pool, count: int, random: Random
) -> tuple[LibraryEntry, ...]:
    """Return the movements of one round, none of them twice.

    Empty when the pool has no such round.
    """
    kinds = [_candidates(wishes, pool, kind, random) for kind in PATTERN[:count]]
    found = _chain(kinds, (), strict=True) or _chain(kinds, (), strict=False)
    return found or ()


def _candidates(
    wishes: ClassRequest, pool: Pool, kind: str, random: Random
) -> tuple[LibraryEntry, ...]:
    """Return the movements for one place of the pattern, the best first."""
    fitting = works_for(wishes, pool, random)
    wanted = _KINDS[kind]

    def rank(entry: LibraryEntry) -> tuple[bool, bool]:
        regions = set(entry.movement.regions)
        asked = not wishes.regions or bool(wishes.regions & regions)
        lively = kind == "lively" and wanted(entry)
        return not (asked or lively), not wanted(entry)

    return tuple(sorted(fitting, key=rank))


def works_for(
    wishes: ClassRequest, pool: Pool, random: Random
) -> tuple[LibraryEntry, ...]:
    """Return every movement that may be a work, what needs least care first."""
    fitting = [entry for entry in pool.entries if _may_be_work(wishes, entry)]
    random.shuffle(fitting)
    fitting.sort(key=lambda entry: len(safe_words(entry.movement, wishes.facts)))
    return tuple(fitting)


def _is_lively(entry: LibraryEntry) -> bool:
    regions = LEGS & set(entry.movement.regions)
    return entry.movement.role is Role.ENERGISER and bool(regions)


def _works(entry: LibraryEntry, regions: frozenset[str]) -> bool:
    strong = entry.movement.role in (Role.STRENGTH, Role.ENERGISER)
    return strong and main_region(entry.movement) in regions


def _is_trunk(entry: LibraryEntry) -> bool:
    return "trunk" in entry.movement.regions and not entry.movement.hold


_KINDS: Final[dict[str, Callable[[LibraryEntry], bool]]] = {
    "lively": _is_lively,
    "arms": lambda entry: _works(entry, ARMS),
    "legs": lambda entry: _works(entry, LEGS),
    "trunk": _is_trunk,
}


def _may_be_work(wishes: ClassRequest, entry: LibraryEntry) -> bool:
    movement = entry.movement
    clock = wishes.clock
    if movement.role not in (Role.ENERGISER, Role.STRENGTH, Role.TRUNK):
        return False
    if movement.hold or "overhead" in tags_of(movement) or not movement.easier:
        return False
    if movement.sides and clock.both_sides_ms is None:
        return False
    if main_region(movement) is None or (movement.effort or 0) > clock.hardest:
        return False
    if movement.role is not Role.STRENGTH or not movement.repetitions:
        return True
    each_ms = clock.work_ms
    if movement.sides:
        each_ms = (clock.both_sides_ms or 0) // len(movement.sides)
    count = each_ms * movement.repetitions // 60_000
    return limits.FEWEST_REPETITIONS <= count <= limits.MOST_REPETITIONS


def _chain(
    kinds: Sequence[tuple[LibraryEntry, ...]],
    chosen: tuple[LibraryEntry, ...],
    *,
    strict: bool,
) -> tuple[LibraryEntry, ...] | None:
    """Return a choice for every place; ``strict`` lets neighbours share no region."""
    place = len(chosen)
    if place == len(kinds):
        return chosen
    for entry in kinds[place]:
        if entry in chosen or (place == 0 and not _may_start(entry)):
            continue
        if entry.movement.sides and any(e.movement.sides for e in chosen):
            continue
        neighbours = chosen[-1:] + (chosen[:1] if place == len(kinds) - 1 else ())
        if all(apart(entry, other, strict=strict) for other in neighbours):
            found = _chain(kinds, (*chosen, entry), strict=strict)
            if found:
                return found
    return None


def _may_start(entry: LibraryEntry) -> bool:
    return (entry.movement.effort or 0) <= STARTING_EFFORT


def apart(entry: LibraryEntry, other: LibraryEntry, *, strict: bool = False) -> bool:
    """Return whether two movements may follow each other: other main regions.

    ``strict`` asks that they share no group of muscles at all.
    """
    one, two = entry.movement, other.movement
    if main_region(one) == main_region(two):
        return False
    return not strict or not (set(one.regions) & set(two.regions)) - GENERAL


def warming(
    pool: Pool, loaded: tuple[LibraryEntry, ...], count: int, random: Random
) -> tuple[LibraryEntry, ...]:
    """Return what warms up the regions that will be loaded, easy ones first.

    Then come movements for the rest of the body, until there are ``count``.
    """
    easy = [
        e
        for e in (*pool.of(Role.WARM_UP, Role.TRUNK), *pool.of(Role.ENERGISER))
        if (e.movement.effort or 0) <= _EASY
        and e not in loaded
        and not (e.movement.hold or e.movement.sides)
        and e.name != "easy march"
        and HIGH.isdisjoint(tags_of(e.movement))
        and "isometric" not in tags_of(e.movement)
    ]
    random.shuffle(easy)
    regions = [main_region(entry.movement) for entry in loaded]
    chosen: list[LibraryEntry] = []
    for region in dict.fromkeys(regions):
        best = [e for e in easy if region in e.movement.regions and e not in chosen]
        best.sort(key=lambda e: e.movement.regions.index(region or ""))
        chosen += best[:1]
    others = [e for e in easy if e not in chosen]
    trunk = [e for e in others if _is_trunk(e)]
    if trunk and not any(_is_trunk(e) for e in chosen):
        others.remove(trunk[0])
        others.insert(0, trunk[0])
    chosen = [*chosen, *others][:count]
    return tuple(sorted(chosen, key=lambda e: e.movement.effort or 0))


_EASY: Final = 4


def stretches(pool: Pool, loaded: Iterable[LibraryEntry]) -> tuple[LibraryEntry, ...]:
    """Return held stretches, those for what worked most first, each once."""
    all_regions = [r for e in loaded for r in e.movement.regions if r not in GENERAL]

    def worked(entry: LibraryEntry) -> int:
        main = main_region(entry.movement)
        return -all_regions.count(main or "")

    held = [
        e
        for e in pool.of(Role.STRETCH)
        if e.movement.hold and HIGH.isdisjoint(tags_of(e.movement))
    ]
    return tuple(sorted(held, key=worked))
