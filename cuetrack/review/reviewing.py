"""The review: every rule asked, every answer kept, in one order.

A rule is an entry of ``rules.yaml`` and a function of the same id in one of the
modules ``*_rules``; adding one is both of these, its id in `cuetrack.plan.rule_ids`
and a plan that trips it in the tests.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from cuetrack.errors import PlanError, Problem
from cuetrack.review import (
    body_rules,
    care_rules,
    change_rules,
    clock_rules,
    cue_rules,
    easing_rules,
    effort_rules,
    explanation_rules,
    group_rules,
    movement_rules,
    safety_rules,
    spoken_rules,
    wording_rules,
)
from cuetrack.review.case import Case
from cuetrack.review.model import Finding, Hit, Severity
from cuetrack.review.rulebook import rulebook

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator, Mapping

    from cuetrack.cues.model import PlacedSheet, Timeline
    from cuetrack.plan.model import Plan

    Checks = Mapping[str, Callable[[Case], Iterator[Hit]]]

DEFERRAL: Final = (
    "This review is a planning aid, no medical advice: what your training, your "
    "venue and each person's own clinician say comes first."
)
"""Shown once wherever findings are shown."""

PLAN_CHECKS: Final[Checks] = {
    **easing_rules.CHECKS,
    **clock_rules.CHECKS,
    **effort_rules.CHECKS,
    **safety_rules.CHECKS,
    **spoken_rules.CHECKS,
    **body_rules.CHECKS,
    **group_rules.CHECKS,
    **movement_rules.CHECKS,
    **cue_rules.CHECKS,
    **wording_rules.CHECKS,
    **care_rules.CHECKS,
}
"""Rules that plan and timeline answer."""

SHEET_CHECKS: Final[Checks] = {
    **clock_rules.SHEET_CHECKS,
    **effort_rules.SHEET_CHECKS,
    **safety_rules.SHEET_CHECKS,
    **movement_rules.SHEET_CHECKS,
    **cue_rules.SHEET_CHECKS,
    **explanation_rules.SHEET_CHECKS,
}
"""Rules that need the placed cue sheet too."""

MIX_CHECKS: Final[Checks] = cue_rules.MIX_CHECKS
"""Rules that need a measured mix."""

STALE: Final = "X01"
"""The rule on acknowledgements that answer nothing."""

_WEIGHT: Final = {severity: rank for rank, severity in enumerate(Severity)}


def review(
    plan: Plan,
    timeline: Timeline,
    sheet: PlacedSheet | None = None,
    *,
    separations_lu: Iterable[float] = (),
) -> tuple[Finding, ...]:
    """Return what a leader may have overlooked, the heaviest first.

    Parameters
    ----------
    plan, timeline
        The class, and how it is laid out.
    sheet
        What is said when; without it, rules on that are not asked.
    separations_lu
        Speech over ducked music of each cue, LU, once measured on the mix.
    """
    separations = tuple(separations_lu)
    case = Case(plan=plan, timeline=timeline, placed=sheet, separations_lu=separations)
    checks = dict(PLAN_CHECKS)
    if sheet is not None:
        checks |= SHEET_CHECKS
    if separations:
        checks |= MIX_CHECKS
    hits = [(name, hit) for name, check in checks.items() for hit in check(case)]
    hits += [(STALE, hit) for hit in _stale(plan, set(checks), {n for n, _ in hits})]
    return _findings(plan, hits)


def review_step(
    before: tuple[Plan, Timeline],
    after: tuple[Plan, Timeline],
    *,
    after_absence: bool = False,
) -> tuple[Finding, ...]:
    """Return what is unwise about the step from one plan to the next.

    ``after_absence`` says that the group was away for two weeks or more between
    them. Acknowledgements are those of the later plan.
    """
    first, then = (Case(plan=p, timeline=t) for p, t in (before, after))
    checks = dict(change_rules.CHECKS)
    if after_absence:
        checks["P04"] = change_rules.no_step_back
    hits = [(name, hit) for name, check in checks.items() for hit in check(first, then)]
    return _findings(after[0], hits)


def _stale(plan: Plan, asked: set[str], answered: set[str]) -> Iterator[Hit]:
    """Yield acknowledgements of rules that were asked and found nothing."""
    for acknowledgement in plan.acknowledged:
        name = acknowledgement.rule.upper()
        if name in asked and name not in answered:
            title = rulebook()[name].title.lower()
            what = f"{name} ({title}) is acknowledged, and nothing trips it."
            yield Hit(what=what, place=acknowledgement.place)


def _findings(plan: Plan, hits: Iterable[tuple[str, Hit]]) -> tuple[Finding, ...]:
    reasons = {a.rule.upper(): a.reason for a in plan.acknowledged}
    found = (
        Finding(
            rule=rulebook()[name],
            what=hit.what,
            place=hit.place,
            segments=hit.segments,
            reason=reasons.get(name),
        )
        for name, hit in hits
    )
    return tuple(sorted(dict.fromkeys(found), key=_order))


def _order(finding: Finding) -> tuple[int, str, int, int, str]:
    place = finding.place
    return (
        _WEIGHT[finding.severity],
        finding.rule.id,
        place.line,
        place.column,
        finding.what,
    )


def failing(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """Return the errors that nobody acknowledged: a plan with one falls short."""
    return tuple(
        f for f in findings if f.severity is Severity.ERROR and not f.acknowledged
    )


def stopping(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """Return the safety errors that nobody acknowledged: no track is made with one."""
    return tuple(finding for finding in failing(findings) if finding.rule.safety)


def problems_of(plan: Plan, findings: Iterable[Finding]) -> list[Problem]:
    """Return findings as what is wrong with a plan, each with what to do about it."""
    return [
        Problem(
            file=plan.file,
            line=finding.place.line,
            column=finding.place.column,
            rule=finding.rule.id,
            what=f"{finding.what} {finding.rule.why}",
            remedy=f"{finding.rule.remedy} Or give your reason under acknowledge.",
        )
        for finding in findings
    ]


def refuse_unsafe(plan: Plan, findings: Iterable[Finding]) -> None:
    """Let a plan pass unless something in it stops a track from being made.

    Raises
    ------
    PlanError
        With every safety error that is neither mended nor acknowledged.
    """
    problems = problems_of(plan, stopping(findings))
    if problems:
        raise PlanError(problems)
