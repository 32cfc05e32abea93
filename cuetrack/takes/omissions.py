"""Which lines a reader passed over, and when they were due."""

from __future__ import annotations

from bisect import bisect_right
from itertools import pairwise
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Sequence


def passed_over(lines: Sequence[int]) -> dict[int, int]:
    """Return each line that was passed over, with the reading behind which it was due.

    Parameters
    ----------
    lines
        The line of each reading, in the order in which they were read.

    A line was passed over when readings before and behind its place are there and none
    of its own. What was read out of order says nothing of the lines around it, and what
    was not yet reached was not passed over.
    """
    found: dict[int, int] = {}
    for before, behind in pairwise(_in_order(lines)):
        for line in range(lines[before] + 1, lines[behind]):
            found[line] = before
    return {line: at for line, at in found.items() if line not in set(lines)}


def _in_order(lines: Sequence[int]) -> list[int]:
    """Return the places of the longest run of lines that never goes back."""
    tops: list[int] = []
    ends: list[int] = []
    earlier: list[int] = []
    for at, line in enumerate(lines):
        length = bisect_right(tops, line)
        earlier.append(ends[length - 1] if length else -1)
        tops[length:] = [line, *tops[length + 1 :]]
        ends[length:] = [at, *ends[length + 1 :]]
    run = []
    at = ends[-1] if ends else -1
    while at >= 0:
        run.append(at)
        at = earlier[at]
    return run[::-1]
