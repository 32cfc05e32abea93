"""Rounds as people name them: ``2``, ``2-3``, ``from 2``, ``last``."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from cuetrack.documents.durations import any_case
from cuetrack.documents.keys import Schema, Shape
from cuetrack.documents.problems import shown
from cuetrack.documents.reading import UNREAD, Spot, Unread
from cuetrack.plan.refusals import PlanRefusal

if TYPE_CHECKING:
    from cuetrack.documents.reading import Reader
    from cuetrack.documents.tree import Node

_ONE: Final = r"(?:[1-9][0-9]?|first|last)"
_ROUNDS: Final = rf"({_ONE})(?:\s*(?:-|to|and)\s*({_ONE}))?|from\s+({_ONE})"


@dataclass(frozen=True, slots=True)
class RoundSpan:
    """Rounds that follow each other, counted from 1; None is the last one."""

    first: int | None
    until: int | None

    def covers(self, number: int, count: int) -> bool:
        """Return whether a round of so many is one of these."""
        return (self.first or count) <= number <= (self.until or count)

    @property
    def highest(self) -> int:
        """The highest round that is named by its number, 0 for none."""
        return max(self.first or 0, self.until or 0)


def parse_rounds(text: str) -> RoundSpan:
    """Return the rounds that a text names.

    Raises ValueError when it names none; the text of the error completes "it ...".

    >>> parse_rounds("2 and 3")
    RoundSpan(first=2, until=3)
    """
    found = re.fullmatch(_ROUNDS, " ".join(text.split()).casefold())
    if found is None:
        raise ValueError("names no rounds")
    one, other, onwards = found.groups()
    first = _number(onwards or one)
    until = None if onwards else _number(other) if other else first
    if first and until and first > until:
        raise ValueError("names the later round first")
    return RoundSpan(first, until)


@dataclass(frozen=True, slots=True)
class RoundSpanShape(Shape[RoundSpan]):
    """A round or several in a row, as ``2``, ``2-3``, ``from 2`` or ``last``."""

    def read(self, node: Node, spot: Spot, reader: Reader) -> RoundSpan | Unread:
        raw = reader.text(node, spot, f"rounds such as {self.values()}")
        if raw is UNREAD:
            return UNREAD
        try:
            return parse_rounds(raw)
        except ValueError:
            found = re.fullmatch(_ROUNDS, raw.strip().casefold())
        what = f"{shown(raw)} names no rounds."
        named = PlanRefusal.ROUNDS if found else ""
        return reader.refuse(node.place, what, f"Write {self.values()}.", named)

    def write(self, value: RoundSpan) -> str:
        first, until = value.first or "last", value.until or "last"
        return str(first) if first == until else f"{first}-{until}"

    def schema(self) -> Schema:
        return {"pattern": any_case(rf"^\s*(?:{_ROUNDS})\s*$")}

    def values(self) -> str:
        return "2, 2-3, from 2 or last"


def _number(word: str) -> int | None:
    return None if word == "last" else 1 if word == "first" else int(word)
