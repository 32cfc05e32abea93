"""When the chosen cues are said: as near to the time they want as can be.

With wordings and order settled, the starts that lie nearest to the wanted ones
(least sum of absolute differences) are found exactly. Counted from where
each cue would start if all were said back to back, starts only have to rise;
some best solution then uses nothing but wanted times and the edges of what is
free, because between those the sum is linear. These few candidates are searched
by dynamic programming.
"""

from __future__ import annotations

from dataclasses import replace
from itertools import accumulate
from typing import TYPE_CHECKING

from cuetrack.cues.placement.items import free_starts

if TYPE_CHECKING:
    from collections.abc import Sequence

    from cuetrack.cues.placement.items import Blocked, MsSpan
    from cuetrack.cues.placement.labels import Chosen


def start_times(floating: Sequence[Chosen], gap_ms: int) -> list[int]:
    """Return the best start of each floating item, ms, in the order given.

    Parameters
    ----------
    floating : sequence of (Item, Option)
        In the order of their ranks, which their starts keep; each with only
        the starts that everything fixed leaves.
    gap_ms : int
        The silence kept between them.
    """
    starts: list[int] = []
    for chain in _chains(floating, gap_ms):
        starts += _chain_starts(chain, gap_ms)
    return starts


def earliest_starts(floating: Sequence[Chosen], gap_ms: int) -> list[int]:
    """Return the starts when every item is said as early as it can be, ms."""
    starts = []
    ready_ms = min((option.starts[0][0] for _, option in floating), default=0)
    for _, option in floating:
        start_ms = option.earliest_start(ready_ms)
        if start_ms is None:
            raise ValueError("These items do not fit in this order.")
        starts.append(start_ms)
        ready_ms = start_ms + option.length_ms + gap_ms
    return starts


def latest_starts(floating: Sequence[Chosen], gap_ms: int) -> list[int]:
    """Return the starts when every item is said as late as it can be, ms."""
    starts: list[int] = []
    due_ms = max((option.starts[-1][1] for _, option in floating), default=0)
    for position in range(len(floating) - 1, -1, -1):
        option = floating[position][1]
        start_ms = option.latest_start(due_ms)
        if start_ms is None:
            raise ValueError("These items do not fit in this order.")
        starts.append(start_ms)
        if position:
            due_ms = start_ms - gap_ms - floating[position - 1][1].length_ms
    return starts[::-1]


def clear_of(said: Chosen, blocked: Sequence[Blocked]) -> Chosen:
    """Return a said item with only the starts that ``blocked`` leaves."""
    item, option = said
    starts: list[MsSpan] = []
    for first, last in option.starts:
        window = (first, last + option.length_ms)
        starts += free_starts(window, option.length_ms, blocked)
    return item, replace(option, starts=tuple(starts))


def _chains(said: Sequence[Chosen], gap_ms: int) -> list[list[Chosen]]:
    """Return the items cut where two neighbours can never be too close."""
    chains: list[list[Chosen]] = []
    for each in said:
        if chains:
            before = chains[-1][-1][1]
            over_ms = before.starts[-1][1] + before.length_ms + gap_ms
            if over_ms > each[1].starts[0][0]:
                chains[-1].append(each)
                continue
        chains.append([each])
    return chains


def _chain_starts(chain: Sequence[Chosen], gap_ms: int) -> list[int]:
    steps = [option.length_ms + gap_ms for _, option in chain]
    offsets = list(accumulate(steps[:-1], initial=0))
    rows = [
        _costs(item.wanted_ms, option.starts, offset)
        for (item, option), offset in zip(chain, offsets, strict=True)
    ]
    candidates = sorted(
        {
            edge - offset
            for (item, option), offset in zip(chain, offsets, strict=True)
            for edge in (item.wanted_ms, *(e for span in option.starts for e in span))
        }
    )
    rising = _best_rise(candidates, rows)
    return [start + offset for start, offset in zip(rising, offsets, strict=True)]


OptionRow = tuple[int, list["MsSpan"]]
"""The wanted start and the free stretches of one item, both less its offset."""


def _costs(wanted_ms: int, starts: Sequence[MsSpan], offset_ms: int) -> OptionRow:
    free = [(first - offset_ms, last - offset_ms) for first, last in starts]
    return wanted_ms - offset_ms, free


def _best_rise(candidates: Sequence[int], rows: Sequence[OptionRow]) -> list[int]:
    """Return the rising candidates, one a row, of least total distance."""
    never = 1 << 60
    least = [0] * len(candidates)
    choices: list[list[int]] = []
    for wanted, free in rows:
        spans = iter(free)
        span = next(spans, None)
        best, best_at = never, -1
        row, at = [], []
        for position, candidate in enumerate(candidates):
            while span is not None and candidate > span[1]:
                span = next(spans, None)
            if span is not None and candidate >= span[0]:
                cost = least[position] + abs(candidate - wanted)
                if cost < best:
                    best, best_at = cost, position
            row.append(best)
            at.append(best_at)
        least = row
        choices.append(at)
    if least[-1] >= never:
        raise ValueError("These items do not fit in this order.")
    position = len(candidates) - 1
    rising = []
    for at in reversed(choices):
        position = at[position]
        rising.append(candidates[position])
    return rising[::-1]
