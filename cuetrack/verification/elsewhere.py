"""Where parts of a track have gone: cut out, put in, played twice, or changed places.

A few cues that are missing are looked for in the whole file; by how much they are
off, all cues are then looked for again. Which of them belong together is the path
through these shifts on which the fewest cues are missing.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from itertools import pairwise
from statistics import median
from typing import TYPE_CHECKING

from cuetrack.times import SAMPLE_RATE_HZ
from cuetrack.verification.pairing import REACH_FRAMES, SAME_FRAMES
from cuetrack.verification.search import find, make_search_window
from cuetrack.verification.steps import Elsewhere
from cuetrack.verification.stream import TrackSpan, mono, stretches

if TYPE_CHECKING:
    from collections.abc import Sequence

    from cuetrack.sound.decoding import SoundFile
    from cuetrack.verification.measuring import Detection
    from cuetrack.verification.targets import Target, Templates

_WINDOW_FRAMES = 30 * SAMPLE_RATE_HZ
_MOST_ANCHORS = 12
_MOST_SHIFTS = 3
_CHANGE_COST = 1.5
"""A change of the shift costs more than one cue that is missing, less than two."""

_MOVED_COST = 0.5
_STORY_SHARE = 0.7
"""Of another class with some of the same words fewer fit."""


def shifts_in(
    sound: SoundFile,
    frames: int,
    missing: Sequence[Target],
    targets: Sequence[Target],
    templates: Templates,
) -> tuple[float, ...]:
    """Return by how many frames missing cues are off in the whole file.

    Only the shifts that most of a few share, beyond the reach of a usual search.
    """
    planned = Counter(target.sound for target in targets)
    known = [one for one in missing if one.is_speech and planned[one.sound] == 1]
    anchors = known[:: -(-len(known) // _MOST_ANCHORS) or 1]
    longest = max((one.frames for one in anchors), default=0)
    spans = [
        TrackSpan(start=start, end=start + _WINDOW_FRAMES + longest)
        for start in range(0, frames if anchors else 0, _WINDOW_FRAMES)
    ]
    errors: set[float] = set()
    blocks = mono(sound.blocks(), sound.rate_hz) if spans else iter(())
    for index, samples in stretches(blocks, spans):
        stretch = make_search_window(samples)
        for one in anchors:
            found = find(stretch, templates.of(one), turned=None)
            errors |= {
                match.frame + spans[index].start - one.planned for match in found
            }
    groups: list[list[float]] = []
    for error in sorted(errors):
        if groups and error - groups[-1][0] < SAME_FRAMES:
            groups[-1].append(error)
        else:
            groups.append([error])
    shifts = [median(group) for group in sorted(groups, key=len, reverse=True)]
    return tuple([one for one in shifts if abs(one) > REACH_FRAMES][:_MOST_SHIFTS])


def path_through(
    found: Sequence[Sequence[Detection]], shifts: Sequence[float]
) -> tuple[tuple[Detection, ...], Elsewhere]:
    """Return each target as the cheapest path through the shifts has it.

    Parameters
    ----------
    found
        For each shift all targets, looked for there.
    shifts
        The first is 0: where each target is planned.
    """
    costs = [[_cost(one) for one in at_shift] for at_shift in found]
    states = _cheapest(costs)
    later = list(states)
    for index in range(len(states) - 2, -1, -1):
        same = states[index] == states[index + 1]
        later[index] = later[index + 1] if same else states[index + 1]
    detections = tuple(
        one if state == 0 or costs[state][index] == 0 else _gone(one)
        for index, state in enumerate(states)
        for one in (found[state][index],)
    )
    elsewhere = Elsewhere(
        shifts=tuple(shifts[state] for state in states),
        again=tuple(
            state != follows and costs[follows][index] == 0
            for index, (state, follows) in enumerate(zip(states, later, strict=True))
        ),
    )
    return detections, elsewhere


def is_story(detections: Sequence[Detection], elsewhere: Elsewhere) -> bool:
    """Whether shifts explain nearly all that does not fit into what was cut out."""
    placed = [
        (index, shift)
        for index, (one, shift) in enumerate(
            zip(detections, elsewhere.shifts, strict=True)
        )
        if one.match is not None
        and abs(one.match.frame - one.target.planned - shift) < SAME_FRAMES
    ]
    cut_out = sum(
        after - before - 1
        for (before, then), (after, now) in pairwise(placed)
        if detections[after - 1].target.planned - detections[before + 1].target.planned
        < then - now
    )
    moved = any(shift for _, shift in placed)
    return moved and len(placed) >= _STORY_SHARE * (len(detections) - cut_out)


def _gone(one: Detection) -> Detection:
    return replace(one, match=None, instead=None, close=None)


def _cost(one: Detection) -> float:
    if one.match is None:
        return 1.0
    near = abs(one.match.frame - one.target.sought) < SAME_FRAMES
    return 0.0 if near else _MOVED_COST


def _cheapest(costs: Sequence[Sequence[float]]) -> list[int]:
    """Return the state of each step, changed as seldom and as late as may be."""
    states = range(len(costs))
    total = [costs[state][0] + (_CHANGE_COST if state else 0.0) for state in states]
    came: list[list[int]] = []
    for step in range(1, len(costs[0])):
        best = [
            min(
                states,
                key=lambda before, state=state: (  # type: ignore[misc]
                    total[before] + (_CHANGE_COST if before != state else 0.0),
                    before == state,
                ),
            )
            for state in states
        ]
        total = [
            total[before]
            + (_CHANGE_COST if before != state else 0.0)
            + costs[state][step]
            for state, before in enumerate(best)
        ]
        came.append(best)
    path = [min(states, key=total.__getitem__)]
    for best in reversed(came):
        path.append(best[path[-1]])
    return path[::-1]
