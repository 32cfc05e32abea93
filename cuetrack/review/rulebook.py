"""The table of rules, read once from ``rules.yaml``."""

from __future__ import annotations

from functools import cache
from importlib.resources import files
from types import MappingProxyType
from typing import TYPE_CHECKING

import yaml

from cuetrack.review.model import Evidence, ReviewRule, Severity

if TYPE_CHECKING:
    from collections.abc import Mapping

_LOADER = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
_EVIDENCE_WORDS = {"custom": Evidence.CUSTOM}


@cache
def rulebook() -> Mapping[str, ReviewRule]:
    """Return every rule by its id, in the order of the table.

    >>> rulebook()["T01"].title
    'Short warm-up'
    """
    text = files("cuetrack.review").joinpath("rules.yaml").read_text("utf-8")
    table = yaml.load(text, Loader=_LOADER)  # noqa: S506 - the safe loader in C, on our own file
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
