"""Where in a file something is: all places as times, a few of them in words."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from cuetrack.times import clock

if TYPE_CHECKING:
    from collections.abc import Sequence

    from cuetrack.arrays import Flags

FilePlace = tuple[int, int]
"""From when to when, ms in the file."""

_APART_MS = 1500
_LONG_MS = 5000
_MOST_NAMED = 8


def places_of(steps: Flags, step_ms: int) -> tuple[FilePlace, ...]:
    """Return where steps are true, as one what is not more than a second apart."""
    touched = np.flatnonzero(steps)
    if not touched.size:
        return ()
    breaks = np.flatnonzero(np.diff(touched) * step_ms > _APART_MS)
    starts = touched[np.concatenate([[0], breaks + 1])].tolist()
    ends = touched[np.concatenate([breaks, [-1]])].tolist()
    return tuple(
        (start * step_ms, (end + 1) * step_ms)
        for start, end in zip(starts, ends, strict=True)
    )


def in_words(places: Sequence[FilePlace]) -> str:
    """Return the first of some places in words, long ones with their end."""
    if len(places) == 1 and _is_long(places[0]):
        return f"from {_named(places[0])}"
    named = ", ".join(_named(place) for place in places[:_MOST_NAMED])
    more = len(places) - _MOST_NAMED
    also = f" and {more} more place{'s' if more > 1 else ''}" if more > 0 else ""
    return f"at {named}{also}"


def _named(place: FilePlace) -> str:
    start_ms, end_ms = place
    until = f" to {clock(end_ms)}" if _is_long(place) else ""
    return f"{clock(start_ms)}{until}"


def _is_long(place: FilePlace) -> bool:
    return place[1] - place[0] > _LONG_MS
