"""What the review says, as frozen values."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum

from cuetrack.documents.places import Place


class Severity(StrEnum):
    """How much a finding weighs, the heaviest first."""

    ERROR = "error"
    """To be mended, or answered with a reason."""
    WARNING = "warning"
    """To be thought about."""
    NOTE = "note"
    """Good to know; the evidence may be thin."""


class Evidence(StrEnum):
    """What stands behind a rule, the strongest first."""

    GUIDELINE = "guideline"
    STUDY = "study"
    STANDARD = "standard"
    ARITHMETIC = "arithmetic"
    CUSTOM = "common practice"


@dataclass(frozen=True, slots=True, kw_only=True)
class ReviewRule:
    """One rule of the review, in words for the leader.

    ``safety`` marks a rule whose errors stop a track from being made until they
    are mended or acknowledged.
    """

    id: str
    severity: Severity
    title: str
    why: str
    remedy: str
    source: str
    evidence: Evidence
    safety: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Hit:
    """Something a rule found: what, in which segments, where in the plan."""

    what: str
    place: Place = field(default_factory=Place)
    segments: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """A rule and what it found; ``reason`` is the leader's answer, if there is one."""

    rule: ReviewRule
    what: str
    place: Place
    segments: tuple[str, ...]
    reason: str | None = None

    @property
    def severity(self) -> Severity:
        """How much the finding weighs."""
        return self.rule.severity

    @property
    def acknowledged(self) -> bool:
        """Whether the leader has seen the rule and given a reason."""
        return self.reason is not None
