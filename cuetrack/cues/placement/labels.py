"""Labels: choices made so far, and which of them may still become the best."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from itertools import pairwise
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from cuetrack.cues.placement.items import Option, PlacementItem

Chosen = tuple["PlacementItem", "Option"]
"""An item that is said, and the option it is said in."""

Cost = tuple[int, ...]
"""When the next cue, the next count may start; speech used in each activity."""


class PathLabel(NamedTuple):
    """A choice so far; the last decision and the label before it lead back."""

    value: int
    plain_ms: int
    count_ms: int
    used_ms: tuple[int, ...]
    before: PathLabel | None
    said: Chosen | None


def undominated(labels: Mapping[Cost, PathLabel]) -> list[PathLabel]:
    """Return labels of which none is at least as good as another in everything."""
    entries = sorted(labels.items(), key=_by_worth)
    uses = {cost[2:] for cost in labels}
    readiness = sorted({cost[:2] for cost in labels})
    rising = all(one[1] <= other[1] for one, other in pairwise(readiness))
    if rising and len(next(iter(uses))) <= 1:
        return _staircase(entries)
    kept: list[tuple[Cost, PathLabel]] = []
    for cost, label in entries:
        if not any(_no_worse(other, cost) for other, _ in kept):
            kept.append((cost, label))
    return [label for _, label in kept]


def _staircase(entries: Iterable[tuple[Cost, PathLabel]]) -> list[PathLabel]:
    """Return the undominated labels when both readinesses rise together.

    They then count as one, ``xs``, beside the speech used, ``ys``: as the first
    rise the second fall, the corners of all that is dominated so far.
    """
    xs: list[Cost] = []
    ys: list[Cost] = []
    kept = []
    for cost, label in entries:
        x, y = cost[:2], cost[2:]
        at = bisect_right(xs, x)
        if at and ys[at - 1] <= y:
            continue
        kept.append(label)
        first = last = bisect_left(xs, x)
        while last < len(xs) and ys[last] >= y:
            last += 1
        xs[first:last] = [x]
        ys[first:last] = [y]
    return kept


def _by_worth(entry: tuple[Cost, PathLabel]) -> tuple[int, Cost]:
    return -entry[1].value, entry[0]


def _no_worse(one: Cost, other: Cost) -> bool:
    return all(mine <= theirs for mine, theirs in zip(one, other, strict=True))
