"""What differs from round to round: which rounds are meant, and what each one is."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Final

from cuetrack.documents.durations import any_case
from cuetrack.documents.problems import shown
from cuetrack.documents.reading import UNREAD, Spot, Unread
from cuetrack.documents.shapes import Schema, Shape
from cuetrack.plan.refusals import PlanRefusal

if TYPE_CHECKING:
    from cuetrack.documents.reading import Reader
    from cuetrack.documents.tree import Node
    from cuetrack.movements.model import Movement
    from cuetrack.plan.parts import Intervals
    from cuetrack.plan.words import Coaching

EMPTY_HANDS: Final = "none"
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


@dataclass(frozen=True, slots=True)
class RoundSpanShape(Shape[RoundSpan]):
    """A round or several in a row, as ``2``, ``2-3``, ``from 2`` or ``last``."""

    def read(self, node: Node, spot: Spot, reader: Reader) -> RoundSpan | Unread:
        raw = reader.text(node, spot, f"rounds such as {self.values()}")
        if raw is UNREAD:
            return UNREAD
        found = re.fullmatch(_ROUNDS, raw.strip().casefold())
        if found:
            one, other, onwards = found.groups()
            first = _number(onwards or one)
            until = None if onwards else _number(other) if other else first
            if not (first and until) or first <= until:
                return RoundSpan(first, until)
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


@dataclass(frozen=True, slots=True, kw_only=True)
class Round:
    """One round of an intervals section as it is held.

    ``coaching`` is None where the round is coached as the class is, ``equipment``
    where the movements keep what they say.
    """

    number: int
    work_ms: int
    rest_ms: int
    coaching: Coaching | None
    equipment: str | None

    def work_of(self, movement: Movement) -> int:
        """Return how long a movement is done in it, ms; its own time counts."""
        own_ms = movement.duration_ms
        return self.work_ms if own_ms is None else own_ms

    def rest_after(self, movement: Movement) -> int:
        """Return the rest after a movement, ms; its own rest counts."""
        return self.rest_ms if movement.rest_ms is None else movement.rest_ms

    def done_with(self, movement: Movement) -> Movement:
        """Return a movement with the equipment of the round."""
        if self.equipment is None:
            return movement
        thing = self.equipment
        empty = thing.casefold() == EMPTY_HANDS
        return replace(movement, equipment=None if empty else thing)


def rounds_of(clock: Intervals) -> tuple[Round, ...]:
    """Return the rounds of a section; of two changes of one thing the later counts."""
    rounds = []
    for number in range(1, clock.rounds + 1):
        one = Round(
            number=number,
            work_ms=clock.work_ms,
            rest_ms=clock.rest_ms,
            coaching=None,
            equipment=None,
        )
        for change in clock.in_rounds:
            if change.rounds.covers(number, clock.rounds):
                one = replace(
                    one,
                    work_ms=change.work_ms or one.work_ms,
                    rest_ms=change.rest_ms or one.rest_ms,
                    coaching=change.coaching or one.coaching,
                    equipment=change.equipment or one.equipment,
                )
        rounds.append(one)
    return tuple(rounds)
