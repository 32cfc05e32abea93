"""Rules on the step from one plan to the next, for a group that comes again."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from cuetrack.review import limits
from cuetrack.review.load import load_of
from cuetrack.review.model import Hit
from cuetrack.times import duration

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Mapping

    from cuetrack.plan.model import Intervals, Plan
    from cuetrack.review.case import Case


def _clock(plan: Plan) -> Intervals | None:
    return next((s.intervals for s in plan.sections if s.intervals), None)


def work_growth(before: Case, after: Case) -> float:
    """Return by which share the work grows; 0 where there was none."""
    earlier_ms = load_of(before.plan, before.timeline).work_ms
    later_ms = load_of(after.plan, after.timeline).work_ms
    return later_ms / earlier_ms - 1 if earlier_ms else 0.0


def _fastest(case: Case) -> int:
    return max((m.tempo_bpm or 0 for m, _ in case.work_movements()), default=0)


def large_step(before: Case, after: Case) -> Iterator[Hit]:
    """P01: much more work, or work, rounds and tempo all up."""
    growth = work_growth(before, after)
    was, now = _clock(before.plan), _clock(after.plan)
    all_up = (
        was is not None
        and now is not None
        and now.work_ms > was.work_ms
        and now.rounds > was.rounds
        and _fastest(after) > _fastest(before)
    )
    if growth > limits.LARGE_STEP + 1e-9:
        yield Hit(what=f"The work grows by {growth:.0%}.")
    elif all_up:
        yield Hit(what="Work, rounds and tempo all go up at once.")


def fair_step(before: Case, after: Case) -> Iterator[Hit]:
    """P02."""
    growth = work_growth(before, after)
    if limits.MODERATE_STEP < growth <= limits.LARGE_STEP + 1e-9:
        yield Hit(what=f"The work grows by {growth:.0%}.")


def two_at_once(before: Case, after: Case) -> Iterator[Hit]:
    """P03: by more than a step of the ladder, which moves both by five seconds."""
    was, now = _clock(before.plan), _clock(after.plan)
    if was is None or now is None:
        return
    more_ms, less_ms = now.work_ms - was.work_ms, was.rest_ms - now.rest_ms
    if min(more_ms, less_ms) > 0 and max(more_ms, less_ms) > LADDER_STEP_MS:
        what = f"Work goes from {duration(was.work_ms)} to {duration(now.work_ms)} and "
        what += f"rest from {duration(was.rest_ms)} to {duration(now.rest_ms)}."
        yield Hit(what=what)


LADDER_STEP_MS: Final = 5_000
"""Common practice: 20/40, 25/35, 30/30, 35/25, 40/20, 45/15."""

CHECKS: Final[Mapping[str, Callable[[Case, Case], Iterator[Hit]]]] = {
    "P01": large_step,
    "P02": fair_step,
    "P03": two_at_once,
}


def no_step_back(before: Case, after: Case) -> Iterator[Hit]:
    """P04: for a group that was away for two weeks or more."""
    if before.works and work_growth(before, after) >= 0:
        yield Hit(what="The class is as much work as before the gap, or more.")
