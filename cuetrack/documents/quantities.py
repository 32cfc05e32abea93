"""The shapes of quantities: lengths of time and numbers, within their bounds."""

from __future__ import annotations

import re
from abc import abstractmethod
from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar, TypeVar

from cuetrack.documents.durations import TIME_PATTERN, parse_duration
from cuetrack.documents.keys import Schema, Shape
from cuetrack.documents.problems import Refusal, shown
from cuetrack.documents.reading import UNREAD, Spot, Unread, says_none
from cuetrack.documents.shapes import NONE
from cuetrack.documents.tree import Node, Scalar
from cuetrack.times import duration

if TYPE_CHECKING:
    from cuetrack.documents.reading import Reader

N = TypeVar("N", int, float)


@dataclass(frozen=True, slots=True, kw_only=True)
class Time(Shape[int]):
    """A length of time in ms within bounds; ``none`` allows the word for zero."""

    least_ms: int
    most_ms: int
    none: bool = False
    reason: str = ""
    noun: ClassVar[str] = "a time"

    def read(self, node: Node, spot: Spot, reader: Reader) -> int | Unread:
        if self.none and says_none(node):
            return 0
        raw = reader.text(node, spot, "a time such as 45 s or 1:30")
        if raw is UNREAD:
            return UNREAD
        try:
            ms = parse_duration(raw)
        except ValueError as error:
            what = f"{spot.label} has the time {shown(raw)}, which {error}."
            remedy = "Write it as 45 s, 1 min 30 s or 1:30"
            remedy += ", or none." if self.none else "."
            return reader.refuse(node.place, what, remedy)
        return self._within(ms, node, spot, reader)

    def _within(self, ms: int, node: Node, spot: Spot, reader: Reader) -> int | Unread:
        if self.least_ms <= ms <= self.most_ms:
            return ms
        least, most = duration(self.least_ms), duration(self.most_ms)
        if ms > self.most_ms:
            what = f"{spot.label} is {duration(ms)}, longer than makes sense here."
            remedy = f"Make it at most {most}; a bare number counts seconds."
        else:
            because = f": {self.reason}" if self.reason else ""
            what = f"{spot.label} is {duration(ms)}, which is too short{because}."
            remedy = f"Make it at least {least}" + (", or none." if self.none else ".")
        return reader.refuse(node.place, what, remedy, Refusal.TIME_RANGE)

    def write(self, value: int) -> str:
        return "none" if self.none and not value else duration(value)

    def schema(self) -> Schema:
        seconds = {
            "type": "number",
            "minimum": self.least_ms / 1000,
            "maximum": self.most_ms / 1000,
        }
        none = [NONE] if self.none else []
        return {"anyOf": [{"$ref": "#/$defs/time"}, seconds, *none]}

    def definitions(self) -> dict[str, Schema]:
        return {"time": {"type": "string", "pattern": rf"^{TIME_PATTERN}\s*$"}}

    def values(self) -> str:
        bounds = f"{duration(self.least_ms)} to {duration(self.most_ms)}"
        return f"a time, {bounds}" + ("; none" if self.none else "")

    def takes(self, node: Node) -> bool:
        return is_time(node) or (self.none and says_none(node))


def is_time(node: Node) -> bool:
    """Return whether a node is a single value that means a length of time."""
    try:
        return isinstance(node, Scalar) and parse_duration(node.text) >= 0
    except ValueError:
        return False


def _whole_from_to(least: int, most: int) -> str:
    """Return a pattern of the whole numbers of a range, in digits.

    >>> bool(re.fullmatch(_whole_from_to(20, 220), "220"))
    True
    """
    return "|".join(
        _same_length(
            str(max(least, 10 ** (length - 1) if length > 1 else 0)),
            str(min(most, 10**length - 1)),
        )
        for length in range(len(str(least)), len(str(most)) + 1)
    )


def _same_length(least: str, most: str) -> str:
    if least == most:
        return least
    if len(least) == 1:
        return f"[{least}-{most}]"
    first, last, tail = int(least[0]), int(most[0]), len(least) - 1
    low, high = "0" * tail, "9" * tail
    if first == last:
        return f"{first}(?:{_same_length(least[1:], most[1:])})"
    parts = []
    if least[1:] != low:
        parts.append(f"{first}(?:{_same_length(least[1:], high)})")
        first += 1
    if most[1:] != high:
        parts.append(f"{last}(?:{_same_length(low, most[1:])})")
        last -= 1
    if first <= last:
        parts.append(f"[{first}-{last}][0-9]{{{tail}}}")
    return "|".join(parts)


@dataclass(frozen=True, slots=True, kw_only=True)
class _InBounds(Shape[N]):
    """A number within bounds, perhaps with its ``unit`` behind it."""

    least: int
    most: int
    unit: str = ""
    few_values: ClassVar[bool] = True
    kind: ClassVar[str]

    @abstractmethod
    def made(self, digits: str) -> N:
        """Return the number that digits mean."""

    @abstractmethod
    def pattern(self) -> str:
        """Return the pattern of its digits."""

    def read(self, node: Node, spot: Spot, reader: Reader) -> N | Unread:
        wanted = f"a {self.kind} from {self.least} to {self.most}"
        raw = reader.text(node, spot, wanted)
        if raw is UNREAD:
            return UNREAD
        plain = raw.strip().casefold().removesuffix(self.unit.casefold()).strip()
        if re.fullmatch(self.pattern(), plain):
            return self.made(plain)
        what = f"{spot.label} is {shown(raw)}, which does not fit here."
        return reader.refuse(node.place, what, f"Write {wanted}.")

    def write(self, value: N) -> str:
        return f"{value:g}"

    def schema(self) -> Schema:
        unit = rf"(?:\s*{self.unit})?" if self.unit else ""
        return {
            "type": ["integer" if self.kind == Number.kind else "number", "string"],
            "minimum": self.least,
            "maximum": self.most,
            "pattern": rf"^\s*(?:{self.pattern()}){unit}\s*$",
        }

    def values(self) -> str:
        return f"{self.least} to {self.most} {self.unit}".rstrip()


class Number(_InBounds[int]):
    """A whole number within bounds."""

    __slots__ = ()
    kind = "whole number"

    def made(self, digits: str) -> int:
        return int(digits)

    def pattern(self) -> str:
        return f"0*(?:{_whole_from_to(self.least, self.most)})"


class Decimal(_InBounds[float]):
    """A number within bounds, with or without a fraction."""

    __slots__ = ()
    kind = "number"

    def made(self, digits: str) -> float:
        return float(digits.replace(",", "."))

    def pattern(self) -> str:
        below = _whole_from_to(self.least, self.most - 1)
        return f"0*(?:(?:{below})(?:[.,][0-9]{{1,6}})?|{self.most}(?:[.,]0{{1,6}})?)"
