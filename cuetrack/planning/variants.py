"""The same class a little gentler or brisker, for two groups in one hall.

The movements, the rounds and the whole length are those of the plan. Work and rest
change by five seconds of the ladder, and the break between rounds makes up what a
round gains or loses, so that rounds of both groups begin together, within seconds. A
gentler class is spoken calmly and offers the easier way of each movement before
anything else; a brisker one is lively and, but for new people, brings the harder way
sooner.
"""

from __future__ import annotations

from dataclasses import replace
from enum import StrEnum
from typing import TYPE_CHECKING, Final

from cuetrack.movements.group_facts import Fact
from cuetrack.plan.lengths import section_length_ms
from cuetrack.plan.model import Options, Pace
from cuetrack.planning.alternatives import KINDS, Bounds
from cuetrack.planning.fitting import FittedPlan, fit, length_ms, remarks
from cuetrack.planning.steps import ladder_step
from cuetrack.planning.wise_steps import STEP_MS

if TYPE_CHECKING:
    from cuetrack.plan.model import Plan, Section

SHORTEST_BREAK_MS: Final = 45_000


class Manner(StrEnum):
    """How a version of a class differs from it."""

    GENTLER = "gentler"
    BRISKER = "brisker"


_STEP: Final = {Manner.GENTLER: -STEP_MS, Manner.BRISKER: STEP_MS}
_PACES: Final = (Pace.CALM, Pace.USUAL, Pace.LIVELY)


def version(plan: Plan, manner: Manner) -> Plan:
    """Return a class in another manner: same movements, same length.

    The clock stays as it is where another would be unwise for the group or could
    not be made up for.
    """
    stepped = ladder_step(plan, _STEP[manner])
    changed = replace(
        plan,
        title=f"{plan.title[:90]}, {manner.value}",
        pace=_next_pace(plan.pace, manner),
        options=_options(plan, manner),
    )
    keep = Bounds(keep=frozenset(KINDS) - {"warm-up", "cool-down"})
    for by_breaks_alone in (False, True):
        sections = tuple(
            _made_up(was, now, by_breaks_alone=by_breaks_alone)
            for was, now in zip(plan.sections, stepped.sections, strict=True)
        )
        timed = replace(changed, sections=sections)
        found = fit(timed, length_ms(plan), keep)
        if isinstance(found, FittedPlan) and remarks(found.plan) <= remarks(plan):
            return found.plan
    return changed


def _options(plan: Plan, manner: Manner) -> Options:
    """Return which way is told first; new people are never told the harder one."""
    if manner is Manner.GENTLER:
        return Options.EASIER
    return plan.options if Fact.NEW in plan.group.facts else Options.HARDER


def _next_pace(pace: Pace, manner: Manner) -> Pace:
    step = 1 if manner is Manner.BRISKER else -1
    position = _PACES.index(pace) + step
    return _PACES[min(max(position, 0), len(_PACES) - 1)]


def _made_up(was: Section, now: Section, *, by_breaks_alone: bool) -> Section:
    """Return a section whose breaks take up what each of its rounds changed by.

    What the last round changed by is left to the parts after it, or put on the
    breaks too, so that rounds begin some seconds apart.
    """
    clock = now.intervals
    if clock is None or clock.between_rounds is None or was == now:
        return now
    gaps = clock.rounds
    if by_breaks_alone and not clock.break_after_last:
        gaps = max(clock.rounds - 1, 1)
    apart_ms = section_length_ms(was) - section_length_ms(now)
    pause_ms = clock.between_rounds.duration_ms + apart_ms // gaps
    pause = replace(clock.between_rounds, duration_ms=max(pause_ms, SHORTEST_BREAK_MS))
    return replace(now, intervals=replace(clock, between_rounds=pause))
