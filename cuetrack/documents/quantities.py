"""The shapes of quantities: lengths of time and numbers, within their bounds."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar

from cuetrack.documents.durations import TIME_PATTERN, parse_duration
from cuetrack.documents.problems import Refusal, shown
from cuetrack.documents.reading import UNREAD, Spot, Unread, says_none
from cuetrack.documents.shapes import NONE, Schema, Shape
from cuetrack.documents.tree import Node, Scalar
from cuetrack.times import duration

if TYPE_CHECKING:
    from cuetrack.documents.reading import Reader


@dataclass(frozen=True, slots=True, kw_only=True)
class Time(Shape[int]):
    """A length of time in ms within bounds; ``none`` allows the word for zero."""

    least_ms: int
    most_ms: int
    none: bool = False
    reason: str = ""
    noun: ClassVar[str] = "a time"

    def read(self, node: Node, spot: Spot, reader: Reader) -> int | Unread:
        """Return a length of time in ms; 0 where it says none and may."""
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
        """Return it in minutes and seconds, or the word for none."""
        return "none" if self.none and not value else duration(value)

    def schema(self) -> Schema:
        """Return the schema of its texts, and of seconds within its bounds."""
        seconds = {
            "type": "number",
            "minimum": self.least_ms / 1000,
            "maximum": self.most_ms / 1000,
        }
        none = [NONE] if self.none else []
        return {"anyOf": [{"$ref": "#/$defs/time"}, seconds, *none]}

    def definitions(self) -> dict[str, Schema]:
        """Return the schema of the texts that mean a time."""
        return {"time": {"type": "string", "pattern": rf"^{TIME_PATTERN}\s*$"}}

    def values(self) -> str:
        """Return its bounds."""
        bounds = f"{duration(self.least_ms)} to {duration(self.most_ms)}"
        return f"a time, {bounds}" + ("; none" if self.none else "")

    def takes(self, node: Node) -> bool:
        """Return whether a single value is a time, whatever its bounds."""
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
class Number(Shape[int]):
    """A whole number within bounds, perhaps with its ``unit`` behind it."""

    least: int
    most: int
    unit: str = ""
    few_values: ClassVar[bool] = True

    def read(self, node: Node, spot: Spot, reader: Reader) -> int | Unread:
        """Return the number."""
        raw = _number(
            node, f"a whole number from {self.least} to {self.most}", self, spot, reader
        )
        return UNREAD if raw is UNREAD else int(raw)

    def write(self, value: int) -> str:
        """Return its digits; a unit is understood."""
        return str(value)

    def schema(self) -> Schema:
        """Return the schema of the number and of its texts."""
        return _number_schema("integer", self)

    def values(self) -> str:
        """Return its bounds."""
        return f"{self.least} to {self.most} {self.unit}".rstrip()

    def pattern(self) -> str:
        """Return the pattern of its digits."""
        return f"0*(?:{_whole_from_to(self.least, self.most)})"


@dataclass(frozen=True, slots=True, kw_only=True)
class Decimal(Shape[float]):
    """A number within bounds, perhaps with its ``unit`` behind it."""

    least: int
    most: int
    unit: str = ""
    few_values: ClassVar[bool] = True

    def read(self, node: Node, spot: Spot, reader: Reader) -> float | Unread:
        """Return the number."""
        wanted = f"a number from {self.least} to {self.most}"
        raw = _number(node, wanted, self, spot, reader)
        return UNREAD if raw is UNREAD else float(raw.replace(",", "."))

    def write(self, value: float) -> str:
        """Return its digits; a unit is understood."""
        return f"{value:g}"

    def schema(self) -> Schema:
        """Return the schema of the number and of its texts."""
        return _number_schema("number", self)

    def values(self) -> str:
        """Return its bounds."""
        return f"{self.least} to {self.most} {self.unit}".rstrip()

    def pattern(self) -> str:
        """Return the pattern of its digits."""
        below = _whole_from_to(self.least, self.most - 1)
        return f"0*(?:(?:{below})(?:[.,][0-9]{{1,6}})?|{self.most}(?:[.,]0{{1,6}})?)"


def _number(
    node: Node, wanted: str, shape: Number | Decimal, spot: Spot, reader: Reader
) -> str | Unread:
    raw = reader.text(node, spot, wanted)
    if raw is UNREAD:
        return UNREAD
    plain = raw.strip().casefold().removesuffix(shape.unit.casefold()).strip()
    if re.fullmatch(shape.pattern(), plain):
        return plain
    what = f"{spot.label} is {shown(raw)}, which does not fit here."
    return reader.refuse(node.place, what, f"Write {wanted}.")


def _number_schema(kind: str, shape: Number | Decimal) -> Schema:
    unit = rf"(?:\s*{shape.unit})?" if shape.unit else ""
    return {
        "type": [kind, "string"],
        "minimum": shape.least,
        "maximum": shape.most,
        "pattern": rf"^\s*(?:{shape.pattern()}){unit}\s*$",
    }
