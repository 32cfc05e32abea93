"""What was found of a plan, as values that other programs read as JSON.

The published schema is ``check.schema.json`` beside this module. Every key is always
there; what is not known, as the length of a plan with mistakes in it, is null.
"""

from __future__ import annotations

from importlib.metadata import version
from typing import TYPE_CHECKING, Any, TypeVar

from msgspec import Struct

from cuetrack.movements.unknown import unknown_movements
from cuetrack.output.track.cue_rows import LeftOutRow, left_out_rows
from cuetrack.pipeline.own_sentences import moved_sentences
from cuetrack.review.model import Severity
from cuetrack.review.reviewing import DEFERRAL

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from cuetrack.cues.model import PlacedSheet
    from cuetrack.errors import CuetrackError
    from cuetrack.pipeline.checking import Checked
    from cuetrack.plan.model import Plan
    from cuetrack.review.model import Finding


class FindingRow(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """One thing to know of a plan.

    ``id`` is the rule of the review, or what kind of trouble it is. ``acknowledged``
    is the leader's reason, where the plan gives one; then it stops nothing.
    """

    id: str
    severity: Severity
    file: str
    line: int | None
    column: int | None
    text: str
    why: str | None = None
    remedy: str
    source: str | None = None
    segments: tuple[str, ...] = ()
    acknowledged: str | None = None


class ShortenedRow(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """One cue that is said in fewer words than were wanted, and why."""

    id: str
    kind: str
    segment: str
    start_ms: int
    text: str
    reason: str


class MovedRow(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A sentence of the plan that is said later, or sooner if ``moved_ms`` < 0."""

    id: str
    line: int
    text: str
    start_ms: int
    moved_ms: int


class CheckReport(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """What ``cuetrack check --json`` prints; ``ready`` when it can be made as it is."""

    format: int = 1
    cuetrack: str
    plan: str
    title: str | None = None
    ready: bool
    duration_ms: int | None = None
    findings: tuple[FindingRow, ...]
    cues_said: int | None = None
    left_out: tuple[LeftOutRow, ...] = ()
    shortened: tuple[ShortenedRow, ...] = ()
    moved: tuple[MovedRow, ...] = ()
    lengths_estimated: int | None = None
    deferral: str = DEFERRAL


AnyReport = TypeVar("AnyReport", bound=CheckReport)


def check_report(checked: Checked) -> CheckReport:
    """Return what was found of a plan that nothing was spoken of."""
    return CheckReport(
        ready=checked.ready,
        lengths_estimated=checked.estimated,
        **of_class(checked.plan, checked.placed, checked.findings),
    )


def refused(report: type[AnyReport], plan: Path, error: CuetrackError) -> AnyReport:
    """Return the report of a plan that an error stopped."""
    findings = tuple(
        FindingRow(
            id=problem.rule or error.id,
            severity=Severity.ERROR,
            file=problem.file,
            line=problem.line or None,
            column=problem.column or None,
            text=problem.what,
            remedy=problem.remedy,
        )
        for problem in error.problems
    )
    return report(
        cuetrack=version("cuetrack"), plan=str(plan), ready=False, findings=findings
    )


def of_class(
    plan: Plan, placed: PlacedSheet, findings: tuple[Finding, ...]
) -> dict[str, Any]:
    """Return the values that every report on a whole class has, by key."""
    return {
        "cuetrack": version("cuetrack"),
        "plan": plan.file,
        "title": plan.title,
        "duration_ms": placed.sheet.timeline.end_ms,
        "findings": (*(_row(plan, one) for one in findings), *_without_words(plan)),
        "cues_said": len(placed.placed),
        "left_out": left_out_rows(placed),
        "shortened": tuple(
            ShortenedRow(
                id=said.cue.id,
                kind=said.cue.kind.name,
                segment=said.cue.segment,
                start_ms=said.start_ms,
                text=said.wording.text,
                reason=said.reason,
            )
            for said in placed.placed
            if said.reason
        ),
        "moved": tuple(
            MovedRow(
                id=each.said.cue.id,
                line=each.line,
                text=each.said.wording.text,
                start_ms=each.said.start_ms,
                moved_ms=each.moved_ms,
            )
            for each in moved_sentences(plan, placed)
        ),
    }


def _row(plan: Plan, finding: Finding) -> FindingRow:
    rule = finding.rule
    return FindingRow(
        id=rule.id,
        severity=finding.severity,
        file=plan.file,
        line=finding.place.line or None,
        column=finding.place.column or None,
        text=finding.what,
        why=rule.why,
        remedy=rule.remedy,
        source=rule.source,
        segments=finding.segments,
        acknowledged=finding.reason,
    )


def _without_words(plan: Plan) -> Iterator[FindingRow]:
    for unknown in unknown_movements(plan.movements(), plan.language):
        yield FindingRow(
            id="movement",
            severity=Severity.NOTE,
            file=plan.file,
            line=unknown.place.line or None,
            column=unknown.place.column or None,
            text=unknown.what,
            remedy=unknown.remedy,
        )
