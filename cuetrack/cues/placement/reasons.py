"""Why a cue was shortened or left out, in words a leader understands.

What is free is measured with everything else as it was chosen, but with the
floating cues before pushed together to their earliest and those after to their
latest times: the longest wording that would still have fitted.
"""

from __future__ import annotations

from bisect import bisect_left
from dataclasses import dataclass
from typing import TYPE_CHECKING

from cuetrack.cues.placement.choice import NEVER_MS
from cuetrack.cues.placement.items import MsSpan, distance_ms, fixed_span
from cuetrack.cues.placement.starts import earliest_starts, latest_starts
from cuetrack.times import clock

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from cuetrack.cues.model import Cue, CueSheet, Segment, SpeechTiming
    from cuetrack.cues.placement.items import PlacementItem
    from cuetrack.cues.placement.labels import Chosen


@dataclass(frozen=True, slots=True, kw_only=True)
class Obstacle:
    """A stretch in which a cue cannot be heard, and what stands there.

    ``owner`` is the id of the cue that stands there, empty for anything else.
    """

    span: MsSpan
    name: str
    owner: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class FreeStretch:
    """The longest free stretch, and what stands on either side of it."""

    free_ms: int
    before: str
    after: str


def seconds(ms: int) -> str:
    """Return a length in seconds to a tenth, rounded up.

    >>> seconds(2_010)
    '2.1 s'
    """
    return f"{-(-ms // 100) / 10:.1f} s"


def free_words(ms: int) -> str:
    """Return a length in seconds to a tenth, rounded down, or none.

    >>> free_words(1_490)
    '1.4 s'
    >>> free_words(90)
    'none'
    """
    return f"{ms // 100 / 10:.1f} s" if ms >= 100 else "none"


def cue_name(cue: Cue) -> str:
    """Return what a leader calls the cue."""
    text = cue.wordings[0].text
    short = text if len(text) <= 40 else text[:38].rsplit(" ", 1)[0] + " …"
    return cue.kind.label or f"“{short}”"


def segment_name(segment: Segment) -> str:
    """Return the kind of the segment as the leader's plan calls it."""
    return f"the {segment.kind.value}"


def longest_free_stretch(obstacles: Iterable[Obstacle]) -> FreeStretch:
    """Return the longest stretch no obstacle takes; length 0 where all is taken."""
    best_ms, best = -2 * NEVER_MS, FreeStretch(free_ms=0, before="", after="")
    reached_ms, before = -NEVER_MS, ""
    for obstacle in sorted(obstacles, key=lambda each: each.span):
        if obstacle.span[1] <= reached_ms:
            continue
        gap_ms = obstacle.span[0] - reached_ms
        if before and gap_ms > best_ms:
            best_ms = gap_ms
            best = FreeStretch(
                free_ms=max(0, gap_ms), before=before, after=obstacle.name
            )
        reached_ms, before = obstacle.span[1], obstacle.name
    return best


class Explainer:
    """Answers why, for one finished choice."""

    def __init__(
        self,
        sheet: CueSheet,
        timings: Mapping[str, SpeechTiming],
        *,
        fixed: Sequence[Chosen],
        floating: Sequence[Chosen],
        starts_ms: Sequence[int],
        left_ms: Mapping[str, int],
    ) -> None:
        self._sheet = sheet
        self._timings = timings
        self._segments = {each.id: each for each in sheet.timeline.segments}
        self._fixed = fixed
        self._floating = floating
        self._starts_ms = starts_ms
        gap_ms = sheet.quiet.gap_ms
        self._earliest_ms = earliest_starts(floating, gap_ms)
        self._latest_ms = latest_starts(floating, gap_ms)
        self._ranks = [item.rank for item, _ in floating]
        self._left_ms = left_ms
        self._tones = _Near(
            [
                Obstacle(span=(t.start_ms, t.end_ms), name=f"the {t.kind.value} tone")
                for t in sheet.tones
            ]
        )
        self._plain_obstacles = _Near(self._fixed_obstacles(count=False))
        self._count_obstacles = _Near(self._fixed_obstacles(count=True))

    def shortened(self, said: Chosen, cue: Cue, index: int) -> str:
        """Return why the wording before ``index`` could not be said."""
        item, option = said
        return self._reason(item, cue, index - 1, option.spoken_ms)

    def silenced(self, item: PlacementItem, cue: Cue) -> str:
        """Return why no wording could be said, not even the briefest."""
        lengths_ms = [self._timings[each.spoken].length_ms for each in cue.wordings]
        index = lengths_ms.index(min(lengths_ms))
        return self._reason(item, cue, index, 0)

    def _reason(self, item: PlacementItem, cue: Cue, index: int, spoken_ms: int) -> str:
        need_ms = self._timings[cue.wordings[index].spoken].length_ms
        if item.fixed:
            reason = self._fixed_reason(item, cue, index)
            if reason is not None:
                return reason
        else:
            room = longest_free_stretch(self._obstacles(item, cue))
            if room.free_ms < need_ms:
                return self._no_room(room, need_ms)
        return self._no_share(item, need_ms, spoken_ms)

    def _no_room(self, room: FreeStretch, need_ms: int) -> str:
        return (
            f"no room between {room.before} and {room.after}: "
            f"{seconds(need_ms)} needed, {free_words(room.free_ms)} free"
        )

    def _no_share(self, item: PlacementItem, need_ms: int, spoken_ms: int) -> str:
        segment = self._segments[item.cues[0].segment]
        share = self._sheet.quiet.share
        part = "half" if share == 0.5 else f"{share:.0%}"
        left_ms = self._left_ms.get(item.activity or "", 0) + spoken_ms
        return (
            f"speech already fills {part} of this {segment.kind.value}: "
            f"{seconds(need_ms)} needed, {free_words(left_ms)} left"
        )

    def _obstacles(self, item: PlacementItem, cue: Cue) -> list[Obstacle]:
        """Return all that a floating cue must keep clear of."""
        window = (cue.window_start_ms, cue.window_end_ms)
        gap_ms = self._sheet.quiet.gap_ms
        obstacles = self._window_obstacles(cue)
        obstacles += self._tones.within(*window) + self._plain_obstacles.within(*window)
        position = bisect_left(self._ranks, item.rank)
        if position:
            before, option = self._floating[position - 1]
            end_ms = self._earliest_ms[position - 1] + option.length_ms
            obstacles.append(
                Obstacle(
                    span=(-NEVER_MS, end_ms + gap_ms), name=cue_name(before.cues[0])
                )
            )
        position += self._ranks[position : position + 1] == [item.rank]
        if position < len(self._floating):
            start_ms = self._latest_ms[position] - gap_ms
            name = cue_name(self._floating[position][0].cues[0])
            obstacles.append(Obstacle(span=(start_ms, NEVER_MS), name=name))
        return obstacles

    def _window_obstacles(self, cue: Cue) -> list[Obstacle]:
        segment = self._segments[cue.segment]
        start_ms, end_ms = cue.window_start_ms, cue.window_end_ms
        start, end = clock(start_ms), clock(end_ms)
        if start_ms == segment.start_ms:
            start = f"the start of {segment_name(segment)}"
        if end_ms == segment.end_ms:
            end = f"the end of {segment_name(segment)}"
        return [
            Obstacle(span=(-NEVER_MS, start_ms), name=start),
            Obstacle(span=(end_ms, NEVER_MS), name=end),
        ]

    def _fixed_obstacles(self, *, count: bool) -> list[Obstacle]:
        obstacles = []
        for item, option in self._fixed:
            apart_ms = distance_ms(
                self._sheet.quiet, one_is_count=item.count, other_is_count=count
            )
            start_ms = option.starts[0][0]
            span = (start_ms - apart_ms, start_ms + option.length_ms + apart_ms)
            first = item.cues[0]
            obstacles.append(Obstacle(span=span, name=cue_name(first), owner=first.id))
        return obstacles

    def _fixed_reason(self, item: PlacementItem, cue: Cue, index: int) -> str | None:
        span = fixed_span(cue, index, self._timings)
        fixed = self._count_obstacles if item.count else self._plain_obstacles
        obstacles = [
            *self._window_obstacles(cue),
            *self._tones.within(*span),
            *(
                obstacle
                for obstacle in fixed.within(*span)
                if obstacle.owner != item.cues[0].id
            ),
            *self._floating_obstacles(item),
        ]
        over_ms, name = max(
            (excess_ms(cue, span, each.span), each.name) for each in obstacles
        )
        if over_ms <= 0:
            return None
        length_ms = span[1] - span[0]
        free = free_words(length_ms - over_ms)
        return f"no room beside {name}: {seconds(length_ms)} needed, {free} free"

    def _floating_obstacles(self, item: PlacementItem) -> list[Obstacle]:
        quiet = self._sheet.quiet
        apart_ms = distance_ms(quiet, one_is_count=item.count, other_is_count=False)
        middle = bisect_left(self._starts_ms, item.wanted_ms)
        near = range(max(0, middle - 2), min(len(self._starts_ms), middle + 2))
        return [
            Obstacle(
                span=(
                    self._starts_ms[at] - apart_ms,
                    self._starts_ms[at] + self._floating[at][1].length_ms + apart_ms,
                ),
                name=cue_name(self._floating[at][0].cues[0]),
            )
            for at in near
        ]


def excess_ms(cue: Cue, span: MsSpan, obstacle: MsSpan) -> int:
    """Return by how much a fixed cue would have to be shorter to meet no obstacle.

    Where its pin itself is taken: by how much one of the two would have to move.
    """
    start_ms, end_ms = span
    if obstacle[1] <= start_ms or obstacle[0] >= end_ms:
        return 0
    pin_ms = cue.anchor_ms or 0
    if obstacle[0] >= pin_ms:
        return end_ms - obstacle[0]
    if obstacle[1] <= pin_ms:
        return obstacle[1] - start_ms
    return min(obstacle[1] - start_ms, end_ms - obstacle[0])


class _Near:
    """Walls that can be asked for by time."""

    def __init__(self, obstacles: Sequence[Obstacle]) -> None:
        self._obstacles = sorted(obstacles, key=lambda obstacle: obstacle.span)
        self._starts = [obstacle.span[0] for obstacle in self._obstacles]
        self._longest_ms = max(
            (obstacle.span[1] - obstacle.span[0] for obstacle in self._obstacles),
            default=0,
        )

    def within(self, start_ms: int, end_ms: int) -> list[Obstacle]:
        first = bisect_left(self._starts, start_ms - self._longest_ms)
        last = bisect_left(self._starts, end_ms)
        return [
            obstacle
            for obstacle in self._obstacles[first:last]
            if obstacle.span[1] > start_ms
        ]
