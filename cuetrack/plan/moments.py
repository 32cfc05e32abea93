"""Moments of a section as people name them: ``10 s from the end``, ``halfway``."""

from __future__ import annotations

import re
from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING, Final

from cuetrack.documents.durations import TIME_PATTERN, any_case, parse_duration
from cuetrack.documents.keys import Schema, Shape
from cuetrack.documents.problems import shown
from cuetrack.documents.reading import UNREAD, Spot, Unread
from cuetrack.times import duration

if TYPE_CHECKING:
    from cuetrack.documents.reading import Reader
    from cuetrack.documents.tree import Node


class CountFrom(StrEnum):
    """The point of a section a free cue's time is counted from."""

    START = "start"
    END = "end"
    HALFWAY = "halfway"


@dataclass(frozen=True, slots=True)
class Moment:
    """A moment of a section: so long after its start or halfway, or before its end."""

    offset_ms: int
    count_from: CountFrom


_POINTS: Final = {
    "start": CountFrom.START,
    "beginning": CountFrom.START,
    "end": CountFrom.END,
    "halfway": CountFrom.HALFWAY,
}
_TOWARDS: Final = {
    CountFrom.START: ("from", "after"),
    CountFrom.END: ("from", "before"),
    CountFrom.HALFWAY: ("from", "after"),
}
_COUNTED: Final = re.compile(
    rf"(?P<time>.+?)\s+(?P<way>from|before|after)\s+(?:the\s+)?(?P<point>{'|'.join(_POINTS)})"
)
_ALONE: Final = r"(?:at\s+)?(?:the\s+)?(start|beginning|halfway)"


def parse_moment(text: str) -> Moment:
    """Return the moment that a text means; a time alone counts from the start.

    Raises
    ------
    ValueError
        When it names no moment; the text of the error completes "it ...".

    >>> parse_moment("10 s from end")
    Moment(offset_ms=10000, count_from=<CountFrom.END: 'end'>)
    """
    plain = " ".join(text.split()).casefold()
    if alone := re.fullmatch(_ALONE, plain):
        return Moment(0, _POINTS[alone[1]])
    if counted := _COUNTED.fullmatch(plain):
        point = _POINTS[counted["point"]]
        if counted["way"] not in _TOWARDS[point]:
            raise ValueError(f"counts the wrong way: {counted['way']} {point}")
        return Moment(parse_duration(counted["time"]), point)
    return Moment(parse_duration(plain), CountFrom.START)


@dataclass(frozen=True, slots=True)
class MomentShape(Shape[Moment]):
    """A moment of a section."""

    def read(self, node: Node, spot: Spot, reader: Reader) -> Moment | Unread:
        raw = reader.text(node, spot, "a moment such as 10 s from end")
        if raw is UNREAD:
            return UNREAD
        try:
            return parse_moment(raw)
        except ValueError as error:
            what = f"{spot.label} is {shown(raw)}, which {error}."
            remedy = f"Write it as {self.values()}."
            return reader.refuse(node.place, what, remedy)

    def write(self, value: Moment) -> str:
        time = duration(value.offset_ms)
        if value.count_from is CountFrom.END:
            return f"{time} from end"
        if value.count_from is CountFrom.HALFWAY:
            return f"{time} after halfway" if value.offset_ms else "halfway"
        return time

    def schema(self) -> Schema:
        counted = "|".join(
            rf"\s+(?:{'|'.join(ways)})\s+(?:the\s+)?(?:{'|'.join(words)})"
            for point, ways in _TOWARDS.items()
            if (words := [word for word, p in _POINTS.items() if p is point])
        )
        rest = any_case(rf"(?:{counted})?\s*$|^\s*{_ALONE}\s*$")
        text = {"type": "string", "pattern": f"^{TIME_PATTERN}{rest}"}
        return {"anyOf": [text, {"type": "number", "minimum": 0}]}

    def values(self) -> str:
        return "20 s, 10 s from end, halfway or 20 s after halfway"
