"""Movements chosen for the circuits of a class: what suits the group and is wished.

Every circuit has lively legs, strength for thighs or hips and upright work of the
upper back; then come arms, trunk, and what is to be worked most. What suits somebody
only in a safe form is taken in it, and what needs little care comes first.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, Final

from cuetrack.movements.contraindications import (
    NO_WEIGHT,
    left_out,
    safe_words,
    verdicts,
)
from cuetrack.movements.group_facts import Fact
from cuetrack.movements.known import empty_handed
from cuetrack.movements.library import library_entries
from cuetrack.plan.model import Role
from cuetrack.planning.ordering import Candidate, changes_seat, ordered
from cuetrack.review import limits
from cuetrack.review.case import ARMS, main_region, tags_of

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence
    from random import Random

    from cuetrack.movements.library import LibraryEntry
    from cuetrack.planning.request import ClassRequest

ALWAYS_AVOIDED: Final = frozenset({"standing", "head_below_heart", "chair_arms"})
UNSTEADY: Final = frozenset(
    {
        Fact.DIZZINESS,
        Fact.FALLS,
        Fact.STROKE,
        Fact.WEAK_LEFT,
        Fact.WEAK_RIGHT,
        Fact.WEAK_SIDE,
        Fact.PARKINSON,
        Fact.SCLEROSIS,
        Fact.AMPUTATION,
    }
)
"""Common practice: whose trunk may not hold stays at the back of the chair."""
_CIRCUITS: Final = (
    ("lively", "back", "thighs", "arms", "trunk", "hips", "lively arms"),
    ("lively", "arms", "hips", "back", "thighs", "trunk", "calves"),
    ("lively", "back", "hips", "trunk", "arms", "thighs", "calves"),
)
"""What each movement of a circuit is for, in the order of need; all of a class
together work every major group (Physical Activity Guidelines 2018)."""
_CORE: Final = 3
"""So many places of a circuit are the same whatever is to be worked most."""
_DRAWS: Final = 6


@dataclass(frozen=True, slots=True, kw_only=True)
class Pool:
    """The movements that suit a group, in the order of the library.

    Each has the equipment it will be done with, of what is at hand.
    """

    entries: tuple[LibraryEntry, ...]

    def of(self, *roles: Role) -> tuple[LibraryEntry, ...]:
        """Return the movements of some roles."""
        return tuple(e for e in self.entries if e.movement.role in roles)

    def named(self, name: str) -> LibraryEntry | None:
        """Return the movement of that name, None where it does not suit."""
        return next((e for e in self.entries if e.name == name), None)


def pool_for(wishes: ClassRequest) -> Pool:
    """Return every movement that suits the group and what is at hand."""
    entries = (
        done_with(entry, wishes)
        for entry in library_entries()
        if ALWAYS_AVOIDED.isdisjoint(tags_of(entry.movement))
        and (entry.empty_hands or set(wishes.equipment) & set(entry.equipment))
    )
    stay_back = not UNSTEADY.isdisjoint(wishes.facts)
    return Pool(
        entries=tuple(
            e
            for e in entries
            if not left_out(e.movement, wishes.facts)
            and not (stay_back and changes_seat(e))
            and not (wishes.short and e.movement.is_set_up)
        )
    )


def done_with(entry: LibraryEntry, wishes: ClassRequest) -> LibraryEntry:
    """Return a movement with what it will be done with, of what is at hand.

    Its hands stay empty where a safe form for the group asks for that, and where a
    short slot holds no time to put a band in its place.
    """
    usual = entry.movement.equipment
    at_hand = [thing for thing in entry.equipment if thing in wishes.equipment]
    thing = usual if usual in at_hand else next(iter(at_hand), None)
    if entry.empty_hands:
        told = verdicts(entry.movement, wishes.facts)
        lightened = any(NO_WEIGHT in each.ways for each in told)
        lightened = lightened or (wishes.short and bool(entry.movement.set_up))
        thing = usual if usual in at_hand and not lightened else None
    if thing is None:
        return replace(entry, movement=empty_handed(entry.movement))
    return replace(entry, movement=replace(entry.movement, equipment=thing))


def candidates(
    wishes: ClassRequest, pool: Pool, random: Random, rounds: int
) -> tuple[Candidate, ...]:
    """Return every movement that may be a work in so many rounds."""
    return tuple(
        Candidate.of(entry, len(safe_words(entry.movement, wishes.facts)))
        for entry in works_for(wishes, pool, random, rounds)
    )


def circuits(
    wishes: ClassRequest,
    fitting: Sequence[Candidate],
    counts: tuple[int, ...],
    random: Random,
    *,
    repeats: bool,
) -> tuple[tuple[LibraryEntry, ...], ...]:
    """Return the movements of each circuit in their order, none of them twice.

    ``repeats`` says that there is more than one round. Empty when there are no such
    circuits.
    """
    usable = {each.thing for each in fitting} & set(wishes.equipment)
    best: tuple[tuple[Candidate, ...], ...] = ()
    fewest_unused = len(usable) + 1
    for _ in range(_DRAWS):
        drawn = _drawn(wishes, fitting, counts, random)
        unused = len(usable - {each.thing for one in drawn for each in one})
        if drawn and unused < fewest_unused:
            tight = wishes.once and wishes.tight
            found = _in_order(drawn, repeats=repeats, sides_last=tight)
            if found:
                best, fewest_unused = found, unused
        if not fewest_unused:
            break
    return tuple(tuple(each.entry for each in circuit) for circuit in best)


def _in_order(
    drawn: Sequence[tuple[Candidate, ...]], *, repeats: bool, sides_last: bool
) -> tuple[tuple[Candidate, ...], ...]:
    """Return circuits in order, the harder ones later; empty where that fails."""
    found: list[tuple[Candidate, ...]] = []
    before = None
    for circuit in sorted(drawn, key=_effort):
        order = ordered(circuit, before, repeats=repeats, sides_last=sides_last)
        if not order:
            return ()
        found.append(order)
        before = order[-1]
    return tuple(found)


def _effort(circuit: tuple[Candidate, ...]) -> tuple[int, int]:
    """Return the hardest effort of a circuit, and the sum of all."""
    efforts = [each.effort for each in circuit]
    return max(efforts), sum(efforts)


def works_for(
    wishes: ClassRequest, pool: Pool, random: Random, rounds: int = 2
) -> tuple[LibraryEntry, ...]:
    """Return every movement that may be a work, what needs least care first."""
    fitting = [e for e in pool.entries if _may_be_work(wishes, e, rounds)]
    random.shuffle(fitting)
    fitting.sort(key=lambda entry: len(safe_words(entry.movement, wishes.facts)))
    return tuple(fitting)


def _may_be_work(wishes: ClassRequest, entry: LibraryEntry, rounds: int) -> bool:
    movement, clock = entry.movement, wishes.clock
    effort = movement.effort or 0
    if movement.role not in (Role.ENERGISER, Role.STRENGTH, Role.TRUNK):
        return False
    if movement.hold or "overhead" in tags_of(movement) or not movement.easier:
        return False
    if wishes.tight and (changes_seat(entry) or (movement.sides and not wishes.once)):
        return False
    if main_region(movement) is None or effort > wishes.hardest:
        return False
    if movement.role is not Role.STRENGTH or not movement.repetitions:
        return True
    each_ms = clock.work_ms
    if movement.sides:
        each_ms = clock.both_sides_ms // len(movement.sides)
    count = each_ms * movement.repetitions // 60_000
    enough = rounds * count >= limits.FEWEST_REPETITIONS
    return count <= limits.MOST_REPETITIONS and (enough or effort <= limits.EASY_EFFORT)


# --- what the places of a circuit are for ---------------------------------------------


def _strong(each: Candidate, *regions: str) -> bool:
    return each.role is Role.STRENGTH and each.main in regions


_PURPOSES: Final[dict[str, Callable[[Candidate], bool]]] = {
    "lively": lambda e: e.lively,
    "back": lambda e: _strong(e, "upper back"),
    "thighs": lambda e: _strong(e, "thighs"),
    "hips": lambda e: _strong(e, "hips"),
    "arms": lambda e: _strong(e, "arms", "chest", "shoulders", "hands"),
    "trunk": lambda e: e.role is Role.TRUNK and "trunk" in e.groups,
    "lively arms": lambda e: e.role is Role.ENERGISER and e.main in ARMS,
    "calves": lambda e: _strong(e, "calves", "ankles"),
}
_INSTEAD: Final = {
    "thighs": ("hips", "calves"),
    "hips": ("thighs", "calves"),
    "back": ("arms", "lively arms"),
    "arms": ("lively arms", "back"),
    "lively arms": ("arms", "back"),
    "trunk": ("hips", "calves", "arms"),
    "calves": ("hips", "thighs", "lively"),
    "lively": ("calves", "lively arms", "trunk"),
}


def _places(
    wishes: ClassRequest,
    fitting: Sequence[Candidate],
    circuit: int,
    count: int,
    random: Random,
) -> tuple[str, ...]:
    """Return what the places of a circuit are for, with what is wished among them."""
    usual = _CIRCUITS[circuit % len(_CIRCUITS)]
    core, more = usual[:_CORE], list(usual[_CORE:])
    if wishes.tight:
        core = (*core[:-1], _tight_legs(wishes, random))
    more[:2] = random.sample(more[:2], 2)
    for_regions = _serving(fitting, lambda e: bool(wishes.regions & e.groups))
    if for_regions:
        more = [for_regions[i % len(for_regions)] for i in range(circuit, count + 1)]
    wished = things = [
        random.choice(serving)
        for thing in wishes.equipment
        if (serving := _serving(fitting, lambda e, t=thing: e.thing == t))  # type: ignore[misc]
        and not set(serving) & {*core, *more[: count - _CORE]}
    ]
    wished = wished or [p for p in for_regions[:1] if not set(core) & {*for_regions}]
    if count == _CORE and wished:
        if "lively arms" in for_regions and not things:
            return ("lively arms", *core[1:])
        return (*core[1:], wished[0])
    return (*core, *wished, *more)[:count]


def _tight_legs(wishes: ClassRequest, random: Random) -> str:
    """Return which strength of the legs a short class has.

    Thighs work one after the other, for which there is not always time; they come
    more often where they matter most.
    """
    if not wishes.once:
        return "hips"
    wanted = Fact.SORE_KNEE in wishes.facts or "thighs" in wishes.regions
    return random.choice(("thighs", "hips", *["thighs"] * 2 * wanted))


def _serving(
    fitting: Sequence[Candidate], wanted: Callable[[Candidate], bool]
) -> list[str]:
    """Return the purposes of a circuit for which something wanted can be chosen."""
    here = [each for each in fitting if wanted(each)]
    return [purpose for purpose, suits in _PURPOSES.items() if any(map(suits, here))]


@dataclass(slots=True)
class _Draw:
    """What was drawn so far, for all circuits and for the one that is drawn.

    ``coming`` is what the places that are left in the circuit are for.
    """

    wishes: ClassRequest
    random: Random
    taken: list[Candidate] = field(default_factory=list)
    circuit: list[Candidate] = field(default_factory=list)
    coming: tuple[str, ...] = ()

    def may(self, one: Candidate, count: int) -> bool:
        """Return whether a movement may stand in a circuit of so many."""
        if one in self.taken or one in self.circuit:
            return False
        if one.moves_on_chair and any(e.moves_on_chair for e in self.circuit):
            return False
        most_sided = 1 if count < _USUAL_MANY else 2
        return not one.sided or sum(e.sided for e in self.circuit) < most_sided

    def worth(self, one: Candidate) -> float:
        """Return how welcome a movement is here, with some chance in it."""
        worth = self.random.gauss(0.0, 1.2)
        worth -= 0.5 * one.care + 0.6 * one.moves_on_chair
        worth += 2.0 * bool(self.wishes.regions & one.groups)
        if is_for_knees(one) and not any(map(is_for_knees, self.taken)):
            worth += 6.0 if Fact.SORE_KNEE in self.wishes.facts else 1.0
        worth -= [e.main for e in self.circuit].count(one.main)
        worth -= (4.0 if self.wishes.tight else 1.5) * (one.main in self.coming)
        return worth + self._thing_worth(one.thing)

    def _thing_worth(self, thing: str | None) -> float:
        """Return what it is worth that something at hand is used here."""
        if thing is None:
            return 0.0
        here = [e.thing for e in self.circuit if e.thing]
        if len({*here, thing}) > _MOST_THINGS or len(here) >= _MOST_WITH_THINGS:
            return -3.0
        return 1.5 if thing in {e.thing for e in (*self.taken, *self.circuit)} else 4.0


_USUAL_MANY: Final = 6
_MOST_THINGS: Final = 2
_MOST_WITH_THINGS: Final = 3
"""Common practice: who changes weights for bands all the time does little else."""


def is_for_knees(one: Candidate) -> bool:
    """Return whether a movement strengthens the front of the thighs."""
    return "knee_load" in one.tags and _strong(one, "thighs")


def _drawn(
    wishes: ClassRequest,
    fitting: Sequence[Candidate],
    counts: tuple[int, ...],
    random: Random,
) -> tuple[tuple[Candidate, ...], ...]:
    draw = _Draw(wishes=wishes, random=random)
    drawn = []
    for number, count in enumerate(counts):
        draw.circuit = []
        places = _places(wishes, fitting, number, count, random)
        for place, purpose in enumerate(places, 1):
            draw.coming = places[place:]
            purposes = (purpose, *_INSTEAD[purpose])
            found = (_best(draw, fitting, each, count) for each in purposes)
            chosen = next(filter(None, found), None)
            if chosen is None:
                return ()
            draw.circuit.append(chosen)
        drawn.append(tuple(draw.circuit))
        draw.taken += draw.circuit
    return tuple(drawn)


def _best(
    draw: _Draw, fitting: Sequence[Candidate], purpose: str, count: int
) -> Candidate | None:
    suits = _PURPOSES[purpose]
    here = [e for e in fitting if suits(e) and draw.may(e, count)]
    return max(here, key=draw.worth, default=None)
