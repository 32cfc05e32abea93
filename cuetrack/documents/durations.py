"""Lengths of time as people write them, read into whole milliseconds.

``45 s``, ``45sec``, ``1 min 30 s``, ``1.5 min``, ``1:30``, ``1:02:03`` and a
bare ``90``, which counts seconds. Halves of a millisecond round up.
"""

from __future__ import annotations

import re
from fractions import Fraction
from itertools import combinations
from typing import Final

_UNIT_MS = {
    "h": 3_600_000,
    "hr": 3_600_000,
    "hrs": 3_600_000,
    "hour": 3_600_000,
    "hours": 3_600_000,
    "m": 60_000,
    "min": 60_000,
    "mins": 60_000,
    "minute": 60_000,
    "minutes": 60_000,
    "s": 1000,
    "sec": 1000,
    "secs": 1000,
    "second": 1000,
    "seconds": 1000,
    "ms": 1,
}
_LONGEST_TEXT = 60
_UNITS = "|".join(sorted(_UNIT_MS, key=len, reverse=True))
_NUMBER = r"[0-9][0-9_]*(?:[.,][0-9]+)?"
_PART = rf"({_NUMBER})\s*({_UNITS})\.?(?![a-z])"
_JOINT = r"(?:\s*,\s+|\s+and\s+|\s*)"
_CLOCK = re.compile(r"(?:([0-9]+):)?([0-9]+):([0-9]+(?:[.,][0-9]+)?)")
_BARE = re.compile(_NUMBER)
_PARTS = re.compile(rf"{_PART}(?:{_JOINT}{_PART})?(?:{_JOINT}{_PART})?")
_ENDS_IN_TIME = re.compile(rf"\S.*\s{_PART}", re.IGNORECASE)


def any_case(pattern: str) -> str:
    """Return a pattern that takes its small letters as capitals too."""
    return re.sub(r"(?<!\\)[a-z]", lambda c: f"[{c[0].upper()}{c[0]}]", pattern)


def _pattern() -> str:
    """Return the pattern of every text that means a time."""
    number, joint = r"\s*[0-9][0-9_]*(?:[.,][0-9]+)?", r"(?:\s*,\s+|\s+and\s+|\s*)"
    parts = [
        rf"{number}\s*(?:{'|'.join(u for u in _UNIT_MS if _UNIT_MS[u] == ms)})\.?"
        for ms in sorted(set(_UNIT_MS.values()), reverse=True)
    ]
    sums = [
        joint.join(some) for count in (1, 2, 3) for some in combinations(parts, count)
    ]
    clock = r"\s*(?:[0-9]+:[0-5][0-9]|[0-9]+):[0-5][0-9](?:[.,][0-9]+)?"
    return any_case(rf"(?:{number}|{clock}|{'|'.join(sums)})")


TIME_PATTERN: Final = _pattern()
"""What every time looks like, as a pattern for editors; not anchored."""


def _exact(number: str) -> Fraction:
    return Fraction(number.replace("_", "").replace(",", "."))


def _whole(ms: Fraction) -> int:
    return (2 * ms.numerator + ms.denominator) // (2 * ms.denominator)


def _from_clock(hours: str | None, minutes: str, seconds: str) -> int:
    two_digits = re.split(r"[.,]", seconds)[0]
    if len(two_digits) != 2 or (hours is not None and len(minutes) != 2):
        raise ValueError("needs two digits after each colon, as in 1:05")
    if _exact(seconds) >= 60 or (hours is not None and int(minutes) >= 60):
        raise ValueError("has more than 59 after a colon")
    total_s = 3600 * int(hours or 0) + 60 * int(minutes) + _exact(seconds)
    return _whole(1000 * total_s)


def _from_parts(parts: list[tuple[str, str]]) -> int:
    sizes = [_UNIT_MS[unit] for _, unit in parts]
    if sizes != sorted(set(sizes), reverse=True):
        raise ValueError("names its units twice or out of order")
    return _whole(sum((_exact(n) * _UNIT_MS[unit] for n, unit in parts), Fraction()))


def parse_duration(text: str) -> int:
    """Return the whole milliseconds that ``text`` means.

    Raises
    ------
    ValueError
        When it means none; the text of the error completes "this time ...".

    >>> parse_duration("1 min 30 s"), parse_duration("1:30"), parse_duration("90")
    (90000, 90000, 90000)
    """
    plain = " ".join(text.split()).casefold()
    if len(plain) > _LONGEST_TEXT:
        raise ValueError("is not a time")
    if re.match(r"[-\u2212\u2013]\s*[0-9]", plain):
        raise ValueError("is negative")
    if _BARE.fullmatch(plain):
        return _whole(1000 * _exact(plain))
    if clock := _CLOCK.fullmatch(plain):
        return _from_clock(*clock.groups())
    if found := _PARTS.fullmatch(plain):
        texts = found.groups()
        pairs = zip(texts[::2], texts[1::2], strict=True)
        return _from_parts([(n, unit) for n, unit in pairs if n is not None])
    if re.match(r"[0-9]", plain):
        raise ValueError("cannot be understood")
    raise ValueError("is not a time")


def ends_in_time(text: str) -> bool:
    """Return whether ``text`` has a time stuck to its end, as ``heel dig 40 s``.

    >>> ends_in_time("heel dig 40 s"), ends_in_time("heel dig")
    (True, False)
    """
    return _ENDS_IN_TIME.fullmatch(text.strip()) is not None
