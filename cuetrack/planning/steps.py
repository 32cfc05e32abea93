"""Steps from one class to a harder or an easier one, one thing at a time.

A step is, as far as it is wise for the group, the first of these that makes the work
of the class grow by a fifth at most:

1. the five-second ladder, 20/40, 25/35, 30/30, 35/25, 40/20: five seconds from the
   rest to the work; where that alone is more than a fifth, every other movement
   takes it first and the others the week after;
2. five seconds more of work, the rest as it is;
3. five seconds more of both;
4. the first or the third for every other movement, where all of them are too much;
5. one movement more in each round, from the library;
6. one round more;

the last two with shorter work and longer rest, by the ladder, where they alone would
be more than a fifth.
"""

from __future__ import annotations

from dataclasses import replace
from random import Random
from typing import TYPE_CHECKING, Final

from cuetrack.cues.timeline import lay_out
from cuetrack.documents.names import movement_key
from cuetrack.documents.places import Place
from cuetrack.movements.known import Library
from cuetrack.movements.library import load_library
from cuetrack.planning.choosing import pool_for, works_for
from cuetrack.planning.fitting import length_ms
from cuetrack.planning.request import ClassRequest
from cuetrack.planning.wise_steps import SHORTEST_SIDE_MS, STEP_MS, wise_clock
from cuetrack.review import limits
from cuetrack.review.case import GENERAL, main_region
from cuetrack.review.load import load_of

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from cuetrack.plan.model import Movement, Plan, Section

    PlanStep = Callable[[Plan, Section], Section]

SHORTEST_WORK_MS: Final = 20_000
SHORTEST_EASIER_MS: Final = 15_000
"""What works of twenty seconds come down to when a class has to be easier still."""
LONGEST_WORK_MS: Final = 45_000
SHORTEST_REST_MS: Final = 15_000
LONGEST_REST_MS: Final = 60_000
MOST_MOVEMENTS: Final = 9
MOST_ROUNDS: Final = 6
LADDER: Final = "five seconds from rest to work"
FOR_HALF: Final = " for every other movement"


def work_ms(plan: Plan) -> int:
    """Return how long people work in the intervals of a class."""
    return load_of(plan, lay_out(plan)).work_ms


def _grows(before: Plan, after: Plan) -> float:
    return work_ms(after) / max(work_ms(before), 1) - 1


def harder(plan: Plan, longest_ms: int) -> dict[str, tuple[Plan, ...]]:
    """Return the next steps by what they are, the wisest first.

    A step is one plan, or two to be taken one after the other. Empty when nothing
    harder is wise for the group within ``longest_ms``.
    """

    def will_do(after: Plan) -> bool:
        grows = _grows(plan, after)
        return 0 < grows <= limits.LARGE_STEP and length_ms(after) <= longest_ms

    full = _each_clock(plan, _ladder_up)
    half = _each_clock(plan, _ladder_for_half)
    ladder: dict[str, tuple[Plan, ...]] = {}
    if will_do(full):
        ladder = {LADDER: (full,)}
    elif _grows(plan, half) <= limits.LARGE_STEP >= _grows(half, full) > 0:
        ladder = {LADDER: (half, full)} if length_ms(full) <= longest_ms else {}
    others = {
        "longer work": _each_clock(plan, _work_longer),
        "longer work and rest": _each_clock(plan, _both_longer),
        LADDER + FOR_HALF: half,
        "longer work and rest" + FOR_HALF: _each_clock(plan, _both_longer_for_half),
        "a movement more": _eased(plan, _movement_more),
        "a round more": _eased(plan, _round_more),
    }
    return ladder | {what: (one,) for what, one in others.items() if will_do(one)}


def _eased(plan: Plan, step: PlanStep) -> Plan:
    """Return a plan after a step, with shorter work where that alone is too much."""
    after = _each_clock(plan, step)
    while _grows(plan, after) > limits.LARGE_STEP:
        slower = _each_clock(after, _ladder_down)
        if slower == after:
            return plan
        after = slower
    return after


def easier(plan: Plan) -> Plan:
    """Return a class with less work, the same where nothing less is a small step.

    It is no further down than the way back up may be.
    """
    fewer = (
        _each_clock(plan, step)
        for step in (
            _ladder_down,
            _ladder_down_for_half,
            _round_less,
            _shortest_for_half,
            _sides_shorter,
        )
    )
    return next((p for p in fewer if 0 < _grows(p, plan) <= limits.LARGE_STEP), plan)


def _each_clock(plan: Plan, step: PlanStep) -> Plan:
    """Return a plan with every intervals section changed where that is wise."""
    sections = []
    for section in plan.sections:
        after = step(plan, section) if section.intervals else section
        changed = after != section and wise_clock(plan, section, after)
        sections.append(after if changed else section)
    return replace(plan, sections=tuple(sections))


def _moved(
    section: Section, change_ms: int, shortest_ms: int = SHORTEST_WORK_MS
) -> Section:
    clock = section.intervals
    if clock is None:
        return section
    worked_ms, rested_ms = clock.work_ms + change_ms, clock.rest_ms - change_ms
    within = shortest_ms <= worked_ms <= LONGEST_WORK_MS
    if not within or not SHORTEST_REST_MS <= rested_ms <= LONGEST_REST_MS:
        return section
    movements = tuple(_rested(each, change_ms) for each in section.movements)
    return replace(
        section,
        intervals=replace(clock, work_ms=worked_ms, rest_ms=rested_ms),
        movements=movements,
    )


def _rested(movement: Movement, change_ms: int) -> Movement:
    """Return a movement whose own rest gives what the work of the clock takes."""
    if movement.rest_ms is None or movement.duration_ms is not None:
        return movement
    rested_ms = movement.rest_ms - change_ms
    within = SHORTEST_REST_MS <= rested_ms <= LONGEST_REST_MS
    return replace(movement, rest_ms=rested_ms) if within else movement


def _ladder_up(_: Plan, section: Section) -> Section:
    return _moved(section, STEP_MS)


def _ladder_down(_: Plan, section: Section) -> Section:
    return _moved(section, -STEP_MS)


def ladder_step(plan: Plan, change_ms: int) -> Plan:
    """Return a plan with time moved from rest to work, or back, where that is wise."""
    return _each_clock(plan, lambda _, section: _moved(section, change_ms))


def _longer(section: Section, rest_ms: int) -> Section:
    clock = section.intervals
    if clock is None or clock.work_ms + STEP_MS > LONGEST_WORK_MS:
        return section
    longer = replace(
        clock, work_ms=clock.work_ms + STEP_MS, rest_ms=clock.rest_ms + rest_ms
    )
    return replace(section, intervals=longer)


def _work_longer(_: Plan, section: Section) -> Section:
    return _longer(section, 0)


def _both_longer(_: Plan, section: Section) -> Section:
    return _longer(section, STEP_MS)


def _ladder_for_half(_: Plan, section: Section) -> Section:
    return _for_half(section, _moved(section, STEP_MS))


def _both_longer_for_half(_: Plan, section: Section) -> Section:
    return _for_half(section, _longer(section, STEP_MS))


def _ladder_down_for_half(_: Plan, section: Section) -> Section:
    return _for_half(section, _moved(section, -STEP_MS))


def _shortest_for_half(_: Plan, section: Section) -> Section:
    return _for_half(section, _moved(section, -STEP_MS, SHORTEST_EASIER_MS))


def _for_half(section: Section, moved: Section) -> Section:
    """Return a section with another clock for every other work that shares its time."""
    clock = moved.intervals
    if clock is None or moved == section:
        return section
    sharing = [m.place for m in section.movements if m.duration_ms is None][::2]
    movements = tuple(
        replace(movement, duration_ms=clock.work_ms, rest_ms=clock.rest_ms)
        if movement.duration_ms is None and movement.place in sharing
        else movement
        for movement in section.movements
    )
    return replace(section, movements=movements)


def _sides_shorter(_: Plan, section: Section) -> Section:
    """Return a section whose works of two sides give each of them five seconds less.

    The rest after them is longer by as much.
    """
    clock = section.intervals
    if clock is None:
        return section
    return replace(
        section,
        movements=tuple(_side_shorter(m, clock.rest_ms) for m in section.movements),
    )


def _side_shorter(movement: Movement, usual_rest_ms: int) -> Movement:
    sides = len(movement.sides)
    worked_ms = (movement.duration_ms or 0) - STEP_MS * sides
    if not sides or worked_ms < SHORTEST_SIDE_MS * sides:
        return movement
    rest_ms = usual_rest_ms if movement.rest_ms is None else movement.rest_ms
    return replace(movement, duration_ms=worked_ms, rest_ms=rest_ms + STEP_MS * sides)


def _round_more(_: Plan, section: Section) -> Section:
    clock = section.intervals
    if clock is None or clock.rounds >= MOST_ROUNDS:
        return section
    return replace(section, intervals=replace(clock, rounds=clock.rounds + 1))


def _round_less(_: Plan, section: Section) -> Section:
    clock = section.intervals
    if clock is None or clock.rounds == clock.fewest_rounds:
        return section
    return replace(section, intervals=replace(clock, rounds=clock.rounds - 1))


def _movement_more(plan: Plan, section: Section) -> Section:
    """Add a movement to a round, apart in its region from both neighbours."""
    if len(section.movements) >= MOST_MOVEMENTS:
        return section
    ends = (section.movements[-1], section.movements[0])
    taken = {movement_key(m.name) for s in plan.sections for m in s.movements}
    hardest = max((m.effort or 0 for m in section.movements), default=0)
    library = Library.of(load_library(plan.language))
    for name in _choices(plan):
        movement = replace(library.plain(name), place=Place())
        if movement_key(name) in taken or (movement.effort or 0) > hardest:
            continue
        if movement.equipment is None and not movement.sides and _apart(movement, ends):
            return replace(section, movements=(*section.movements, movement))
    return section


def _choices(plan: Plan) -> Iterator[str]:
    """Yield names of movements that suit the group, always in the same order."""
    wishes = ClassRequest(facts=plan.group.facts)
    for entry in works_for(wishes, pool_for(wishes), Random(plan.title)):  # noqa: S311
        yield entry.name


def _apart(movement: Movement, others: tuple[Movement, ...]) -> bool:
    regions = set(movement.regions) - GENERAL
    return all(
        main_region(movement) != main_region(other)
        and regions.isdisjoint(set(other.regions))
        for other in others
    )
