"""A block of weeks from one plan: one thing harder at a time, with easier weeks.

The steps stand in `cuetrack.planning.steps`. A plan that states how long it lasts
keeps that slot: a step that does not fit into it, with a fifth of warm-up and cool-down
at most to give, is not taken. New people never do more than one round more than they
began with.

After three weeks of building up comes one that is a step easier, and after that the
one before it again.
After weeks that were missed the class goes on a step lower, two after three weeks or
more. All of it is common practice; the ten-per-cent habit of runners stands behind the
note of the review on steps between ten and twenty per cent.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, Final

from cuetrack.movements.group_facts import Fact
from cuetrack.planning.alternatives import KINDS, Bounds
from cuetrack.planning.fitting import FittedPlan, fit, length_ms, remarks
from cuetrack.planning.steps import FOR_HALF, easier, harder
from cuetrack.planning.wise_steps import MORE_ROUNDS
from cuetrack.review import limits

if TYPE_CHECKING:
    from cuetrack.plan.model import Plan

USUAL_WEEKS: Final = 8
MOST_WEEKS: Final = 26
EASIER_EVERY: Final = 4
LONG_GAP_WEEKS: Final = 3
LONGEST_GROWTH: Final = 1.25
"""How much longer than the first a week may be, where its talk cannot make it up."""
_LEAST_EASY_SHARE: Final = 0.8
"""Own threshold: the weeks take a fifth of warm-up and cool-down at most."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Week:
    """One week of a block; ``plan`` is None in a week that was missed.

    ``others`` are the steps that would have been as wise as the one that was taken.
    """

    number: int
    plan: Plan | None
    others: tuple[str, ...] = ()
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
        others: tuple[str, ...] = ()
        if gap and started:
            level = peak = level - (2 if gap >= LONG_GAP_WEEKS else 1)
        elif easier:
            level = peak - 1
        elif eased:
            level = peak
        elif started:
            climbed = stairs.climb(level)
            others = stairs.others.get(climbed, ()) if climbed != level else ()
            level = peak = climbed
        week = _on_slot(stairs.at(level), plan)
        titled = replace(week, title=f"{plan.title[:85]}, week {number}")
        found.append(
            Week(
                number=number,
                plan=titled,
                others=others,
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
    others: dict[int, tuple[str, ...]] = field(default_factory=dict)
    """What else would have been a wise step to a level."""
    _levels: dict[int, Plan] = field(default_factory=dict)
    _coming: list[Plan] = field(default_factory=list)

    def at(self, level: int) -> Plan:
        """Return the class of a level, the nearest one that there is."""
        if level == 0:
            return self.start
        if level not in self._levels:
            nearer = level - 1 if level > 0 else level + 1
            before = self.at(nearer)
            up = level > 0
            self._levels[level] = self._up(before, level) if up else easier(before)
        return self._levels[level]

    def climb(self, level: int) -> int:
        """Return the next level, or the same where nothing harder is wise."""
        return level if self.at(level + 1) == self.at(level) else level + 1

    def steps(self, before: Plan) -> dict[str, tuple[Plan, ...]]:
        """Return every wise step up from a class, the first one to take first.

        Each is a plan, or two to be taken one after the other, in which the review
        finds nothing that it does not find at the start, and which keep its slot.
        """
        allowed = remarks(self.start)

        def will_do(step: Plan) -> bool:
            ended = _fitted(step, self.start)
            if ended is None and self.start.lasts_ms is not None:
                return False
            few = _few_rounds_more(step, self.start)
            return few and remarks(ended or step) <= allowed

        found = {
            what: plans
            for what, plans in harder(before, _longest_ms(self.start)).items()
            if all(map(will_do, plans))
        }
        too_little = {what + FOR_HALF for what in found}
        return {what: found[what] for what in found if what not in too_little}

    def _up(self, before: Plan, level: int) -> Plan:
        if not self._coming:
            steps = self.steps(before)
            self._coming = list(next(iter(steps.values()), ()))
            self.others[level] = tuple(steps)[1:]
        return self._coming.pop(0) if self._coming else before


def _few_rounds_more(week: Plan, start: Plan) -> bool:
    """Return whether new people are asked for a round more at most."""
    clocks = (
        (was.intervals.rounds, now.intervals.rounds)
        for was, now in zip(start.sections, week.sections, strict=True)
        if was.intervals and now.intervals
    )
    few = all(now <= was + MORE_ROUNDS for was, now in clocks)
    return few or Fact.NEW not in start.group.facts


def _longest_ms(start: Plan) -> int:
    """Return how long a week may be before its parts make up for it, ms."""
    start_ms = length_ms(start)
    longest_ms = int(LONGEST_GROWTH * start_ms)
    if start.lasts_ms is None:
        longest_ms = min(longest_ms, limits.LONGEST_CLASS_MS)
    return max(start_ms, longest_ms)


def _fitted(week: Plan, start: Plan) -> Plan | None:
    """Return a week as long as the first, None where that takes too much of it.

    Warm-up and cool-down lose a fifth at most, and keep what the group needs.
    """
    bounds = Bounds(
        keep=frozenset(KINDS) - {"warm-up", "cool-down", "breaks"},
        least_part_share=_LEAST_EASY_SHARE,
    )
    found = fit(week, length_ms(start), bounds)
    return found.plan if isinstance(found, FittedPlan) else None


def _on_slot(week: Plan, start: Plan) -> Plan:
    """Return a week as long as the first, or as it is where no slot is stated."""
    return _fitted(week, start) or week
