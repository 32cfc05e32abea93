"""Which planned cue is which found sound, when the same words are said again nearby.

Planned places and found places of one sound are paired in order, as many as
can be, so that the same word said a second later is never taken for a cue that
is missing, and a cue that moved is not taken for its neighbour.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from cuetrack.times import SAMPLE_RATE_HZ

if TYPE_CHECKING:
    from collections.abc import Sequence

    from cuetrack.verification.search import Match

REACH_FRAMES = 2 * SAMPLE_RATE_HZ
"""A cue is looked for within two seconds of its place."""

SAME_FRAMES = SAMPLE_RATE_HZ // 20
"""Two finds of one sound within 50 ms are one."""

_SCORE_WORTH_FRAMES = float(SAMPLE_RATE_HZ)
"""A score lower by 0.1 counts like 100 ms further away."""

_PairingWorth = tuple[int, float]


def distinct(matches: Sequence[Match]) -> tuple[Match, ...]:
    """Return matches in order of time, of those within 50 ms only the best."""
    kept: list[Match] = []
    for match in sorted(matches, key=lambda match: match.frame):
        if kept and match.frame - kept[-1].frame < SAME_FRAMES:
            kept[-1] = max(kept[-1], match, key=lambda one: one.score)
        else:
            kept.append(match)
    return tuple(kept)


def pair(planned: Sequence[float], found: Sequence[Match]) -> tuple[Match | None, ...]:
    """Return for each planned frame the match that is it, or None.

    Parameters
    ----------
    planned
        Where one sound should start, in ascending frames.
    found
        Where it does, in ascending frames, no two of them the same.

    Returns
    -------
    tuple of Match or None
        As many pairs as possible, never crossing, none further apart than
        ``REACH_FRAMES``; among those the nearest and best matching.
    """
    # best[i][j]: the worth of the first i plans and the first j finds.
    columns = len(found) + 1
    best: list[list[_PairingWorth]] = [[(0, 0.0)] * columns]
    for place in planned:
        above, row = best[-1], [(0, 0.0)]
        for column, match in enumerate(found, 1):
            options = [above[column], row[-1]]
            if abs(match.frame - place) <= REACH_FRAMES:
                options.append(_joined(above[column - 1], place, match))
            row.append(max(options))
        best.append(row)
    return _traced(best, planned, found)


def _joined(before: _PairingWorth, place: float, match: Match) -> _PairingWorth:
    count, worth = before
    cost = abs(match.frame - place) + (1 - match.score) * _SCORE_WORTH_FRAMES
    return count + 1, worth - cost


def _traced(
    best: list[list[_PairingWorth]], planned: Sequence[float], found: Sequence[Match]
) -> tuple[Match | None, ...]:
    pairs: list[Match | None] = [None] * len(planned)
    row, column = len(planned), len(found)
    while row and column:
        here = best[row][column]
        if here == best[row - 1][column]:
            row -= 1
        elif here == best[row][column - 1]:
            column -= 1
        else:
            row, column = row - 1, column - 1
            pairs[row] = found[column]
    return tuple(pairs)
