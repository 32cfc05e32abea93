"""The table of rules, read once from ``rules.yaml``."""

from __future__ import annotations

from functools import cache
from types import MappingProxyType
from typing import TYPE_CHECKING

from cuetrack.languages.folders import own_table
from cuetrack.review.model import Evidence, ReviewRule, Severity

if TYPE_CHECKING:
    from collections.abc import Mapping

_EVIDENCE_WORDS = {"custom": Evidence.CUSTOM}


@cache
def rulebook() -> Mapping[str, ReviewRule]:
    """Return every rule by its id, in the order of the table.

    >>> rulebook()["T01"].title
    'Short warm-up'
    """
    table = own_table("cuetrack.review", "rules.yaml")
    return MappingProxyType({name: _rule(name, entry) for name, entry in table.items()})


def _rule(name: str, entry: Mapping[str, object]) -> ReviewRule:
    evidence = str(entry["evidence"])
    return ReviewRule(
        id=name,
        severity=Severity(str(entry["severity"])),
        title=str(entry["title"]),
        why=str(entry["why"]),
        remedy=str(entry["do"]),
        source=str(entry["source"]),
        evidence=_EVIDENCE_WORDS.get(evidence) or Evidence(evidence),
        safety=bool(entry.get("safety", False)),
    )
