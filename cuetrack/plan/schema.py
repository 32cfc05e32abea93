"""The JSON Schema of a plan, from the keys that its model declares."""

from __future__ import annotations

from typing import TYPE_CHECKING

from cuetrack.documents.schema import document_schema
from cuetrack.plan.model import PLAN

if TYPE_CHECKING:
    from cuetrack.documents.keys import Schema


def plan_schema() -> Schema:
    """Return the JSON Schema (draft 2020-12) that every legal plan fits.

    >>> plan_schema()["allOf"]
    [{'required': ['title']}]
    """
    told = "A timed plan of a seated exercise class."
    return document_schema(PLAN, "cuetrack plan", told)
