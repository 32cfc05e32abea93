"""Moments of a section as people name them: ``10 s from the end``, ``halfway``."""

from __future__ import annotations

import re

from cuetrack.documents.durations import parse_duration
from cuetrack.plan.model import CountFrom

_POINTS = {
    "start": CountFrom.START,
    "beginning": CountFrom.START,
    "end": CountFrom.END,
    "halfway": CountFrom.HALFWAY,
}
_TOWARDS = {
    CountFrom.START: ("from", "after"),
    CountFrom.END: ("from", "before"),
    CountFrom.HALFWAY: ("from", "after"),
}
_COUNTED = re.compile(
    rf"(?P<time>.+?)\s+(?P<way>from|before|after)\s+(?:the\s+)?(?P<point>{'|'.join(_POINTS)})"
)
_POINT_ALONE = re.compile(r"(?:at\s+)?(?:the\s+)?(start|beginning|halfway)")


def parse_moment(text: str) -> tuple[int, CountFrom]:
    """Return the offset in ms and the point of the section it is counted from.

    A time alone counts from the start.

    Raises
    ------
    ValueError
        When it names no moment; the text of the error completes "it ...".

    >>> parse_moment("10 s from end")
    (10000, <CountFrom.END: 'end'>)
    >>> parse_moment("halfway")
    (0, <CountFrom.HALFWAY: 'halfway'>)
    """
    plain = " ".join(text.split()).casefold()
    if alone := _POINT_ALONE.fullmatch(plain):
        return 0, _POINTS[alone[1]]
    if counted := _COUNTED.fullmatch(plain):
        point = _POINTS[counted["point"]]
        if counted["way"] not in _TOWARDS[point]:
            raise ValueError(f"counts the wrong way: {counted['way']} {point}")
        return parse_duration(counted["time"]), point
    return parse_duration(plain), CountFrom.START
