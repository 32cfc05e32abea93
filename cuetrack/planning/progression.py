"""A block of weeks from one plan: one thing harder at a time, with easier weeks.

A step is, as far as it is wise for the group, the first of these that makes the work
of the class grow by a fifth at most:

1. the five-second ladder, 20/40, 25/35, 30/30, 35/25, 40/20: five seconds from the
   rest to the work; where that alone is more than a fifth, every other movement
   takes it first and the others the week after;
2. five seconds more of work, the rest as it is;
3. five seconds more of both;
4. one movement more in each round, from the library;
5. one round more;

the last two with shorter work and longer rest, by the ladder, where they alone would
be more than a fifth.

After three weeks of building up comes one that is a step easier, and after that the
one before it again.
After weeks that were missed the class goes on a step lower, two after three weeks or
more. All of it is common practice; the ten-per-cent habit of runners stands behind the
note of the review on steps between ten and twenty per cent.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from random import Random
from typing import TYPE_CHECKING, Final

from cuetrack.cues.timeline import lay_out
from cuetrack.documents.names import movement_key
from cuetrack.documents.places import Place
from cuetrack.movements.known import Library
from cuetrack.movements.library import load_library
from cuetrack.plan.lengths import section_length_ms
from cuetrack.planning.alternatives import KINDS, STEP_MS, Bounds, wise_clock
from cuetrack.planning.choosing import pool_for, works_for
from cuetrack.planning.fitting import FittedPlan, fit, length_ms
from cuetrack.planning.request import ClassRequest
from cuetrack.review import limits
from cuetrack.review.case import GENERAL, main_region
from cuetrack.review.load import load_of
from cuetrack.review.model import Severity
from cuetrack.review.reviewing import review

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from cuetrack.plan.model import Movement, Plan, Section

    PlanStep = Callable[[Plan, Section], Section]

USUAL_WEEKS: Final = 8
EASIER_EVERY: Final = 4
LONG_GAP_WEEKS: Final = 3
SHORTEST_WORK_MS: Final = 20_000
LONGEST_WORK_MS: Final = 45_000
SHORTEST_REST_MS: Final = 15_000
LONGEST_REST_MS: Final = 60_000
LONGEST_GROWTH: Final = 1.25
"""How much longer than the first a week may be, where its talk cannot make it up."""
MOST_MOVEMENTS: Final = 9
MOST_ROUNDS: Final = 6


@dataclass(frozen=True, slots=True, kw_only=True)
class Week:
    """One week of a block; ``plan`` is None in a week that was missed."""

    number: int
    plan: Plan | None
    easier: bool = False
    after_gap: bool = False


def block(
    plan: Plan,
    weeks: int = USUAL_WEEKS,
    *,
    missed: frozenset[int] = frozenset(),
    after_absence: bool = False,
) -> tuple[Week, ...]:
    """Return the weeks of a block that starts from ``plan``.

    Parameters
    ----------
    plan
        The class of the first week.
    weeks
        How many there are.
    missed
        The weeks, from 1, without a class.
    after_absence
        The group was away before the first week: it starts a step lower.
    """
    stairs = Stairs(plan)
    found: list[Week] = []
    level = peak = -1 if after_absence else 0
    gap, built, started, eased = 0, 0, False, False
    for number in range(1, weeks + 1):
        if number in missed:
            gap += 1
            found.append(Week(number=number, plan=None))
            continue
        built = 1 if gap or eased else built + 1
        easier = started and not gap and built == EASIER_EVERY
        if gap and started:
            level = peak = level - (2 if gap >= LONG_GAP_WEEKS else 1)
        elif easier:
            level = peak - 1
        elif eased:
            level = peak
        elif started:
            level = peak = stairs.climb(level)
        week = _on_slot(stairs.at(level), plan)
        titled = replace(week, title=f"{plan.title[:85]}, week {number}")
        found.append(
            Week(
                number=number,
                plan=titled,
                easier=easier,
                after_gap=started and gap > 0,
            )
        )
        gap, started, eased = 0, True, easier
    return tuple(found)


@dataclass(slots=True)
class Stairs:
    """The classes easier and harder than one, by their level; 0 is the one itself."""

    start: Plan
    _levels: dict[int, Plan] = field(default_factory=dict)
    _coming: list[Plan] = field(default_factory=list)

    def at(self, level: int) -> Plan:
        """Return the class of a level, the nearest one that there is."""
        if level == 0:
            return self.start
        if level not in self._levels:
            nearer = level - 1 if level > 0 else level + 1
            before = self.at(nearer)
            self._levels[level] = self._up(before) if level > 0 else easier(before)
        return self._levels[level]

    def climb(self, level: int) -> int:
        """Return the next level, or the same where nothing harder is wise."""
        return level if self.at(level + 1) == self.at(level) else level + 1

    def _up(self, before: Plan) -> Plan:
        if not self._coming:
            start_ms = length_ms(self.start)
            longest_ms = min(int(LONGEST_GROWTH * start_ms), limits.LONGEST_CLASS_MS)
            steps = harder(before, max(start_ms, longest_ms))
            allowed = remarks(self.start)
            self._coming = [
                one for one in steps if all(remarks(each) <= allowed for each in steps)
            ]
        return self._coming.pop(0) if self._coming else before


def remarks(plan: Plan) -> set[str]:
    """Return the rules of the review that find more than a note in a plan."""
    found = review(plan, lay_out(plan))
    return {
        one.rule.id
        for one in found
        if one.severity is not Severity.NOTE and not one.acknowledged
    }


def work_ms(plan: Plan) -> int:
    """Return how long people work in the intervals of a class."""
    return load_of(plan, lay_out(plan)).work_ms


def _grows(before: Plan, after: Plan) -> float:
    return work_ms(after) / max(work_ms(before), 1) - 1


def harder(plan: Plan, longest_ms: int) -> tuple[Plan, ...]:
    """Return the next step as one plan, or as two to be taken one after the other.

    Empty when nothing harder is wise for the group within ``longest_ms``.
    """

    def will_do(after: Plan) -> bool:
        grows = _grows(plan, after)
        return 0 < grows <= limits.LARGE_STEP and length_ms(after) <= longest_ms

    full = _each_clock(plan, _ladder_up)
    if full != plan and length_ms(full) <= longest_ms:
        if _grows(plan, full) <= limits.LARGE_STEP:
            return (full,)
        half = _each_clock(plan, _ladder_for_half)
        if _grows(plan, half) <= limits.LARGE_STEP >= _grows(half, full):
            return half, full
    longer = (_each_clock(plan, step) for step in (_work_longer, _both_longer))
    more = (_eased(plan, step) for step in (_movement_more, _round_more))
    return next(((after,) for after in (*longer, *more) if will_do(after)), ())


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
        for step in (_ladder_down, _ladder_down_for_half, _round_less)
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


def _moved(section: Section, change_ms: int) -> Section:
    clock = section.intervals
    if clock is None:
        return section
    worked_ms, rested_ms = clock.work_ms + change_ms, clock.rest_ms - change_ms
    within = SHORTEST_WORK_MS <= worked_ms <= LONGEST_WORK_MS
    if not within or not SHORTEST_REST_MS <= rested_ms <= LONGEST_REST_MS:
        return section
    return replace(
        section, intervals=replace(clock, work_ms=worked_ms, rest_ms=rested_ms)
    )


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
    return _half_moved(section, STEP_MS)


def _ladder_down_for_half(_: Plan, section: Section) -> Section:
    return _half_moved(section, -STEP_MS)


def _half_moved(section: Section, change_ms: int) -> Section:
    clock = _moved(section, change_ms).intervals
    if clock is None:
        return section
    movements = tuple(
        replace(movement, duration_ms=clock.work_ms, rest_ms=clock.rest_ms)
        if number % 2 == 0 and movement.duration_ms is None
        else movement
        for number, movement in enumerate(section.movements)
    )
    return replace(section, movements=movements)


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


def _on_slot(week: Plan, plan: Plan) -> Plan:
    """Return a week as long as the first, or else saying how long it is."""
    keep = Bounds(keep=frozenset(KINDS) - {"warm-up", "cool-down", "breaks"})
    found = fit(week, length_ms(plan), keep)
    if isinstance(found, FittedPlan):
        return found.plan
    lasts_ms = None
    if plan.lasts_ms is not None:
        lasts_ms = sum(section_length_ms(section) for section in week.sections)
    return replace(week, lasts_ms=lasts_ms)
