"""What a group can take at once: steps of work and rest that the review lets pass."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Final

from cuetrack.plan.lengths import section_length_ms
from cuetrack.plan.rounds import rounds_of
from cuetrack.review import limits

if TYPE_CHECKING:
    from cuetrack.plan.model import Plan, Section

STEP_MS: Final = 5_000
SHORTEST_SIDE_MS: Final = 15_000
MORE_ROUNDS: Final = 1
"""New people never do more than one round more than they began with."""


def small_step(before: Section, after: Section) -> bool:
    """Return whether people who come every week can take a change at once.

    By P01 and P03 of the review: a fifth more work at most, and work is not made
    longer while rest is made shorter by more than a rung of the ladder.
    """
    was, now = before.intervals, after.intervals
    if was is None or now is None:
        return True
    more_ms, less_ms = now.work_ms - was.work_ms, was.rest_ms - now.rest_ms
    if min(more_ms, less_ms) > 0 and max(more_ms, less_ms) > STEP_MS:
        return False
    return section_work_ms(after) <= (1 + limits.LARGE_STEP) * section_work_ms(before)


def section_work_ms(section: Section) -> int:
    """Return how long people work in the intervals of a section."""
    rounds = rounds_of(section.intervals) if section.intervals else ()
    return sum(one.work_of(m) for one in rounds for m in section.movements)


def wise_clock(plan: Plan, before: Section, after: Section) -> bool:
    """Return whether a clock asks no more of people than the review lets pass."""
    clock, was = after.intervals, before.intervals
    if clock is None or was is None:
        return False
    facts = plan.group.facts
    steepest = limits.STEADY_GROUP_RATIO - 0.01
    if "new" in facts:
        steepest = limits.NEW_GROUP_RATIO
    elif "experienced" in facts:
        steepest = limits.HARD_RATIO - 0.01
    if _steepest(after) > max(steepest, _steepest(before)):
        return False
    for movement in after.movements:
        sides = len(movement.sides)
        if sides and movement.duration_ms is None and clock.work_ms != was.work_ms:
            least_ms = min(was.work_ms, sides * SHORTEST_SIDE_MS)
            if clock.work_ms < least_ms:
                return False
    return _round_ms(after) <= max(_round_ms(before), limits.LONGEST_WITHOUT_BREAK_MS)


def _steepest(section: Section) -> float:
    """Return the largest share of a work to the rest after it."""
    clock = section.intervals
    if clock is None:
        return 0.0
    return max(
        (clock.work_ms if m.duration_ms is None else m.duration_ms)
        / (clock.rest_ms if m.rest_ms is None else m.rest_ms)
        for m in section.movements
    )


def _round_ms(section: Section) -> int:
    """Return how long people work without a break: a round, or all of them."""
    clock = section.intervals
    if clock is None:
        return 0
    rounds = 1 if clock.between_rounds else clock.rounds
    alone = replace(section, opening_ms=0, intervals=replace(clock, rounds=rounds))
    return section_length_ms(alone)
