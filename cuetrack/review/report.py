"""Findings as plain text."""

from __future__ import annotations

import textwrap
from itertools import groupby
from typing import TYPE_CHECKING, Final

from cuetrack.review.model import Evidence, Finding, Severity
from cuetrack.review.reviewing import DEFERRAL

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

_HEADS: Final = {
    Severity.ERROR: "Errors: mend them, or acknowledge them with a reason",
    Severity.WARNING: "Warnings: worth a thought",
    Severity.NOTE: "Notes",
}
_INDENT: Final = " " * 5


def review_lines(
    findings: Sequence[Finding], width: int = 88, closing: Iterable[str] = ()
) -> list[str]:
    """Return findings as lines, by severity, the acknowledged ones at the end.

    What one rule found stands together; its advice is told once, and at the very
    end ``closing`` and the one sentence on who comes first.
    """
    open_ones = [finding for finding in findings if not finding.acknowledged]
    answered = [finding for finding in findings if finding.acknowledged]
    lines = [summary(findings)]
    for severity, head in _HEADS.items():
        group = [finding for finding in open_ones if finding.severity is severity]
        if group:
            lines += ["", head, *_by_rule(group, width)]
    if answered:
        lines += ["", "Acknowledged in the plan", *_by_rule(answered, width)]
    for paragraph in (*closing, DEFERRAL):
        lines += ["", *textwrap.wrap(paragraph, width)]
    return lines


def brief_lines(findings: Sequence[Finding]) -> list[str]:
    """Return one line for each finding that is not acknowledged, after the summary."""
    lines = [
        f"{finding.rule.id}  {finding.severity}: {_where(finding)}{finding.what}"
        for finding in findings
        if not finding.acknowledged
    ]
    return [summary(findings), *lines, DEFERRAL]


def summary(findings: Iterable[Finding]) -> str:
    """Return how many findings of each weight there are, in one sentence."""
    kept = list(findings)
    open_ones = [finding for finding in kept if not finding.acknowledged]
    if not kept:
        return "Plan review: nothing found."
    parts = [
        _counted(sum(f.severity is severity for f in open_ones), severity.value)
        for severity in Severity
    ]
    told = [part for part in parts if part]
    answered = len(kept) - len(open_ones)
    if answered:
        told.append(f"{answered} acknowledged")
    return f"Plan review: {', '.join(told)}."


def _counted(count: int, word: str) -> str:
    if not count:
        return ""
    return f"{count} {word}" if count == 1 else f"{count} {word}s"


def _by_rule(findings: Sequence[Finding], width: int) -> list[str]:
    lines: list[str] = []
    for _, run in groupby(findings, key=lambda finding: finding.rule.id):
        same = list(run)
        rule = same[0].rule
        lines.append(f"{rule.id}  {rule.title}")
        for finding in same:
            lines += _wrapped(f"{_where(finding)}{finding.what}", width)
        if same[0].reason is not None:
            lines += _wrapped(f"Your reason: {same[0].reason}", width)
        lines += _wrapped(f"{rule.why} {rule.remedy}", width)
        lines += _wrapped(f"({_source(same[0])})", width)
    return lines


def _where(finding: Finding) -> str:
    return f"Line {finding.place.line}: " if finding.place.line else ""


def _source(finding: Finding) -> str:
    rule = finding.rule
    weak = rule.evidence is Evidence.CUSTOM and "common practice" not in rule.source
    return f"{rule.source}; common practice" if weak else rule.source


def _wrapped(text: str, width: int) -> list[str]:
    return textwrap.wrap(text, width, initial_indent=_INDENT, subsequent_indent=_INDENT)
