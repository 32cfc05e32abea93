"""Fitting a class into a slot: the smallest change that ends exactly on it.

Every section has ways of being shorter or longer, each with a length and a cost;
the class is the sum of both. The cheapest sum that the welcome and the close can
pad to the slot is found exactly, by merging the sections one after the other and
keeping the cheapest way of every length.

What changes cost stands in `cuetrack.planning.alternatives`.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from itertools import combinations, islice
from typing import TYPE_CHECKING, Final

from cuetrack.cues.timeline import lay_out
from cuetrack.plan.words import TALKS, SectionKind
from cuetrack.planning.alternatives import TALK_STEP_COST, Bounds, section_ways
from cuetrack.planning.wise_steps import STEP_MS
from cuetrack.review.model import Severity
from cuetrack.review.reviewing import review

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from cuetrack.plan.model import Plan, Section
    from cuetrack.planning.alternatives import Way

_TALK_NEEDS_MS: Final = {SectionKind.WELCOME: 60_000, SectionKind.CLOSE: 45_000}
"""What the usual words of a welcome and a close take with the safety words."""


_ASKED: Final = 12
"""So many of the cheapest changes are tried on the review."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FittedPlan:
    """A class that ends on the slot, and what the change costs."""

    plan: Plan
    cost: int


@dataclass(frozen=True, slots=True, kw_only=True)
class NoFit:
    """No change within the bounds ends on the slot.

    ``below_ms`` and ``above_ms`` are the nearest lengths that can be had, None
    where there is none on that side.
    """

    slot_ms: int
    below_ms: int | None
    above_ms: int | None


@dataclass(frozen=True, slots=True)
class _Sum:
    cost: int
    ways: tuple[Way, ...] = field(default=())


def fit(
    plan: Plan,
    slot_ms: int,
    bounds: Bounds | None = None,
) -> FittedPlan | NoFit:
    """Return the class with the cheapest change that makes it last ``slot_ms``.

    Without ``bounds`` the usual ones hold.
    """
    allowed = bounds or Bounds()
    ways = [
        section_ways(plan, section, allowed)
        for section in plan.sections
        if section.kind not in TALKS
    ]
    talks = [section for section in plan.sections if section.kind in TALKS]
    sums = _cheapest_sums(ways)
    costs = [
        (found.cost + talk_cost(talks, slot_ms - length_ms), length_ms)
        for length_ms, found in sums.items()
        if _padding(talks, slot_ms - length_ms, allowed) is not None
    ]
    known = remarks(plan)
    for cost, length_ms in islice(sorted(costs), _ASKED):
        parts = iter(way.section for way in sums[length_ms].ways)
        padded = iter(_padding(talks, slot_ms - length_ms, allowed) or ())
        sections = tuple(
            replace(section, duration_ms=next(padded))
            if section.kind in TALKS
            else next(parts)
            for section in plan.sections
        )
        lasts_ms = None if plan.lasts_ms is None else slot_ms
        fitted = replace(plan, sections=sections, lasts_ms=lasts_ms)
        if remarks(fitted) <= known:
            return FittedPlan(plan=fitted, cost=cost)
    return _no_fit(slot_ms, sums, talks, allowed)


def remarks(plan: Plan) -> set[str]:
    """Return the rules of the review that find more than a note in a plan."""
    found = review(plan, lay_out(plan))
    return {
        one.rule.id
        for one in found
        if one.severity is not Severity.NOTE and not one.acknowledged
    }


def ways_out(plan: Plan, slot_ms: int, bounds: Bounds) -> tuple[Bounds, ...]:
    """Return bounds with as little freed of what was held as would fit.

    One thing, else two, else everything; empty where nothing held stands in the way.
    """
    usual = Bounds()
    held = [("keep", kind) for kind in sorted(bounds.keep)]
    held += [
        (what, "")
        for what in ("work_ms", "rest_ms")
        if getattr(bounds, what) != getattr(usual, what)
    ]
    for many in sorted({1, 2, len(held)}):
        found = []
        for freed in combinations(held, many):
            kept = bounds.keep - {kind for what, kind in freed if what == "keep"}
            wider = {what: getattr(usual, what) for what, kind in freed if not kind}
            other = replace(bounds, keep=kept, **wider)
            if isinstance(fit(plan, slot_ms, other), FittedPlan):
                found.append(other)
        if found:
            return tuple(found)
    return ()


def _cheapest_sums(all_ways: Iterable[tuple[Way, ...]]) -> Mapping[int, _Sum]:
    """Return the cheapest choice of a way for each section, by the sum of lengths."""
    sums = {0: _Sum(0)}
    for ways in all_ways:
        cheapest = _cheapest_by_length(ways)
        grown: dict[int, _Sum] = {}
        for length_ms, found in sums.items():
            for way in cheapest:
                total_ms, cost = length_ms + way.length_ms, found.cost + way.cost
                if total_ms not in grown or cost < grown[total_ms].cost:
                    grown[total_ms] = _Sum(cost, (*found.ways, way))
        sums = grown
    return sums


def _cheapest_by_length(ways: Iterable[Way]) -> tuple[Way, ...]:
    cheapest: dict[int, Way] = {}
    for way in ways:
        if way.length_ms not in cheapest or way.cost < cheapest[way.length_ms].cost:
            cheapest[way.length_ms] = way
    return tuple(sorted(cheapest.values(), key=lambda way: (way.cost, way.length_ms)))


# --- welcome and close ------------------------------------------------------------


def talk_range(section: Section, bounds: Bounds) -> tuple[int, int]:
    """Return how short and how long a welcome or a close may become, ms."""
    planned_ms = section.duration_ms or 0
    least_ms = min(planned_ms, _TALK_NEEDS_MS[section.kind])
    if section.says:
        least_ms = planned_ms
    return least_ms, planned_ms + bounds.talk_longer_ms


def _padding(
    talks: list[Section], wanted_ms: int, bounds: Bounds
) -> tuple[int, ...] | None:
    """Return lengths of the talks that make up ``wanted_ms``, None if none do.

    Each takes about an equal part of the change; the last takes what is left.
    """
    ranges = [talk_range(talk, bounds) for talk in talks]
    if not sum(low for low, _ in ranges) <= wanted_ms <= sum(up for _, up in ranges):
        return None
    lengths = [talk.duration_ms or 0 for talk in talks]
    for position, (low, up) in enumerate(ranges):
        later = ranges[position + 1 :]
        over_ms = wanted_ms - sum(lengths)
        share_ms = over_ms
        if later:
            share_ms = int(over_ms / (len(later) + 1) / STEP_MS) * STEP_MS
        rest_ms = wanted_ms - sum(lengths[:position])
        least_ms = max(low, rest_ms - sum(u for _, u in later))
        most_ms = min(up, rest_ms - sum(w for w, _ in later))
        wanted = lengths[position] + share_ms
        lengths[position] = min(max(wanted, least_ms), most_ms)
    return tuple(lengths)


def talk_cost(talks: Iterable[Section], wanted_ms: int) -> int:
    """Return what it costs to make the welcome and the close last ``wanted_ms``."""
    change_ms = abs(wanted_ms - sum(talk.duration_ms or 0 for talk in talks))
    return TALK_STEP_COST * -(-change_ms // STEP_MS)


def _no_fit(
    slot_ms: int, sums: Mapping[int, _Sum], talks: list[Section], bounds: Bounds
) -> NoFit:
    ranges = [talk_range(talk, bounds) for talk in talks]
    low_ms, up_ms = (sum(r[end] for r in ranges) for end in (0, 1))
    below = [length + up_ms for length in sums if length + up_ms < slot_ms]
    above = [length + low_ms for length in sums if length + low_ms > slot_ms]
    return NoFit(
        slot_ms=slot_ms,
        below_ms=max(below, default=None),
        above_ms=min(above, default=None),
    )


def length_ms(plan: Plan) -> int:
    """Return how long a class lasts."""
    return lay_out(plan).end_ms
