"""What placement works on: cues as items with every start each wording may take.

An item is one cue, or all the words of one count, which are said together or
not at all. Its options are its wordings; an option knows the starts at which
it meets no tone, leaves no window and keeps clear of everything settled.

Two spoken cues keep ``gap_ms`` apart, a count and its neighbours
``before_count_ms`` on either side; the words of a count only may not overlap.
Speech and tones only may not overlap.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import TYPE_CHECKING

from cuetrack.cues.model import MOVING, AnchorPoint, Cue

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from cuetrack.cuekinds import CueKind
    from cuetrack.cues.model import CueSheet, QuietRule, SpeechTiming

COUNT_STEP_MS = 2_000
"""Count words pinned further apart than this belong to different counts."""

MsSpan = tuple[int, int]
"""A stretch of time: its start and its end, ms."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Option:
    """One wording of an item, and the starts it may take.

    ``starts`` are closed intervals in order; a fixed item has one point.
    ``spans`` are the speech of each cue of the item, counted from its start.
    """

    index: int
    length_ms: int
    spoken_ms: int
    starts: tuple[MsSpan, ...]
    spans: tuple[MsSpan, ...]

    def earliest_start(self, ready_ms: int) -> int | None:
        """Return the first start at or after ``ready_ms``, None without one."""
        for first, last in self.starts:
            if last >= ready_ms:
                return max(first, ready_ms)
        return None

    def latest_start(self, due_ms: int) -> int | None:
        """Return the last start at or before ``due_ms``, None without one."""
        for first, last in reversed(self.starts):
            if first <= due_ms:
                return min(last, due_ms)
        return None


@dataclass(frozen=True, slots=True, kw_only=True)
class PlacementItem:
    """One cue, or the words of one count, with the options that can be said.

    ``activity`` names the work or movement whose share of speech it uses, None
    outside one. ``rank`` orders items among those of their own sort: fixed ones
    by their pin, floating ones by the time they want, then as in the sheet.
    """

    rank: tuple[int, ...]
    cues: tuple[Cue, ...]
    options: tuple[Option, ...]
    fixed: bool
    count: bool
    essential: bool
    activity: str | None
    wanted_ms: int

    @property
    def exempt(self) -> bool:
        """Whether the share of speech never silences it."""
        return self.essential or self.count

    @property
    def is_settled(self) -> bool:
        """Whether there is nothing to choose."""
        return self.fixed and self.essential and len(self.options) == 1

    @property
    def first_end_ms(self) -> int:
        """The earliest instant at which it can be over."""
        return min(each.starts[0][0] + each.length_ms for each in self.options)

    @property
    def last_end_ms(self) -> int:
        """The latest instant at which it can be over."""
        return max(each.starts[-1][1] + each.length_ms for each in self.options)

    @property
    def first_start_ms(self) -> int:
        """The earliest instant at which it can start."""
        return min(each.starts[0][0] for each in self.options)

    @property
    def last_start_ms(self) -> int:
        """The latest instant at which it can start."""
        return max(each.starts[-1][1] for each in self.options)


class Blocked:
    """Stretches in which nothing may be said, merged and searchable."""

    __slots__ = ("_ends", "_starts")

    def __init__(self, spans: Iterable[MsSpan]) -> None:
        self._starts: list[int] = []
        self._ends: list[int] = []
        for start, end in sorted(spans):
            if self._ends and start < self._ends[-1]:
                self._ends[-1] = max(self._ends[-1], end)
            else:
                self._starts.append(start)
                self._ends.append(end)

    def within(self, start_ms: int, end_ms: int) -> list[MsSpan]:
        """Return the blocked stretches that meet ``start_ms``..``end_ms``."""
        first = bisect_right(self._ends, start_ms)
        last = bisect_left(self._starts, end_ms)
        return list(zip(self._starts[first:last], self._ends[first:last], strict=True))


def distance_ms(quiet: QuietRule, *, one_is_count: bool, other_is_count: bool) -> int:
    """Return the silence two spoken items must keep between them, ms."""
    if one_is_count and other_is_count:
        return 0
    if one_is_count or other_is_count:
        return quiet.before_count_ms
    return quiet.gap_ms


def blocked_by(
    fixed: Iterable[tuple[PlacementItem, Option]], quiet: QuietRule, *, count: bool
) -> Blocked:
    """Return what fixed items keep from a count word, or from any other cue."""
    spans = []
    for item, option in fixed:
        apart_ms = distance_ms(quiet, one_is_count=item.count, other_is_count=count)
        start_ms = option.starts[0][0]
        spans.append((start_ms - apart_ms, start_ms + option.length_ms + apart_ms))
    return Blocked(spans)


def free_starts(
    window: MsSpan, length_ms: int, blocked: Iterable[Blocked]
) -> tuple[MsSpan, ...]:
    """Return every start at which ``length_ms`` of speech fits the window."""
    first, end = window
    last = end - length_ms
    if last < first:
        return ()
    taken = sorted(span for each in blocked for span in each.within(first, end))
    free = []
    for start, stop in taken:
        if start - length_ms >= first:
            free.append((first, min(start - length_ms, last)))
        first = max(first, stop)
    if first <= last:
        free.append((first, last))
    return tuple(free)


def reach_ms(cue: Cue, timing: SpeechTiming) -> MsSpan:
    """Return how far speech reaches before and after its pin, rounded outward.

    A beat is known as a whole number of ms rounded up, so the speech after it
    may be longer by less than one; it is given that one.
    """
    if cue.anchor_point is AnchorPoint.END:
        return timing.length_ms, 0
    if cue.anchor_point is AnchorPoint.BEAT and timing.beat_ms > 0:
        return timing.beat_ms, max(0, timing.length_ms - timing.beat_ms) + 1
    return 0, timing.length_ms


def items_of(
    sheet: CueSheet, timings: Mapping[str, SpeechTiming]
) -> list[PlacementItem]:
    """Return the sheet's items, each with the options it would have alone.

    An item that no wording of fits on its own keeps an empty ``options``.
    """
    tones = Blocked((tone.start_ms, tone.end_ms) for tone in sheet.tones)
    activities = {
        segment.id: segment.activity
        for segment in sheet.timeline.segments
        if segment.kind in MOVING
    }
    floating = [
        _floating(position, cue, timings, tones, activities)
        for position, cue in enumerate(sheet.cues)
        if cue.anchor_ms is None
    ]
    fixed = [
        _fixed(group, timings, tones, activities) for group in _fixed_groups(sheet)
    ]
    return sorted(fixed, key=_rank) + sorted(floating, key=_rank)


def restricted(item: PlacementItem, blocked: Sequence[Blocked]) -> PlacementItem:
    """Return the item with only the options and starts that ``blocked`` leaves.

    A floating item is ranked anew by the nearest time it can still have.
    """
    options = []
    for option in item.options:
        starts: list[MsSpan] = []
        for first, last in option.starts:
            window = (first, last + option.length_ms)
            starts += free_starts(window, option.length_ms, blocked)
        if starts:
            options.append(replace(option, starts=tuple(starts)))
    left = replace(item, options=tuple(options))
    if item.fixed or not options:
        return left
    wanted_ms = min(max(item.wanted_ms, left.first_start_ms), left.last_start_ms)
    return replace(left, rank=(wanted_ms, item.rank[-1]))


def _rank(item: PlacementItem) -> tuple[int, ...]:
    return item.rank


def _floating(
    position: int,
    cue: Cue,
    timings: Mapping[str, SpeechTiming],
    tones: Blocked,
    activities: Mapping[str, str],
) -> PlacementItem:
    window = (cue.window_start_ms, cue.window_end_ms)
    options = []
    for index, wording in enumerate(cue.wordings):
        length_ms = timings[wording.spoken].length_ms
        starts = free_starts(window, length_ms, [tones])
        if starts:
            options.append(
                Option(
                    index=index,
                    length_ms=length_ms,
                    spoken_ms=length_ms,
                    starts=starts,
                    spans=((0, length_ms),),
                )
            )
    return PlacementItem(
        rank=(cue.due_ms, position),
        cues=(cue,),
        options=tuple(options),
        fixed=False,
        count=False,
        essential=cue.essential,
        activity=activities.get(cue.segment) if cue.shared else None,
        wanted_ms=cue.due_ms,
    )


def _fixed(
    group: Sequence[tuple[int, Cue]],
    timings: Mapping[str, SpeechTiming],
    tones: Blocked,
    activities: Mapping[str, str],
) -> PlacementItem:
    cues = tuple(cue for _, cue in group)
    first = cues[0]
    anchor_ms = first.anchor_ms or 0
    options = []
    for index in range(max(len(cue.wordings) for cue in cues)):
        spans = tuple(fixed_span(cue, index, timings) for cue in cues)
        if not all(
            _stands_alone(cue, span, tones)
            for cue, span in zip(cues, spans, strict=True)
        ) or any(one[1] > other[0] for one, other in pairwise(spans)):
            continue
        start_ms = spans[0][0]
        options.append(
            Option(
                index=index,
                length_ms=spans[-1][1] - start_ms,
                spoken_ms=sum(end - start for start, end in spans),
                starts=((start_ms, start_ms),),
                spans=tuple((one - start_ms, two - start_ms) for one, two in spans),
            )
        )
    return PlacementItem(
        rank=(anchor_ms, first.anchor_point is not AnchorPoint.END, group[0][0]),
        cues=cues,
        options=tuple(options),
        fixed=True,
        count=first.kind.counts,
        essential=any(cue.essential for cue in cues),
        activity=activities.get(first.segment) if first.shared else None,
        wanted_ms=anchor_ms,
    )


def fixed_span(cue: Cue, index: int, timings: Mapping[str, SpeechTiming]) -> MsSpan:
    """Return where a fixed cue is heard in its wording ``index``, or its last."""
    wording = cue.wordings[min(index, len(cue.wordings) - 1)]
    before_ms, after_ms = reach_ms(cue, timings[wording.spoken])
    pin_ms = cue.anchor_ms or 0
    return pin_ms - before_ms, pin_ms + after_ms


def _stands_alone(cue: Cue, span: MsSpan, tones: Blocked) -> bool:
    inside = cue.window_start_ms <= span[0] and span[1] <= cue.window_end_ms
    return inside and not tones.within(*span)


def _fixed_groups(sheet: CueSheet) -> list[list[tuple[int, Cue]]]:
    """Return fixed cues one by one, but the words of a count together."""
    groups: list[list[tuple[int, Cue]]] = []
    open_counts: dict[tuple[str, CueKind], list[tuple[int, Cue]]] = {}
    fixed = [each for each in enumerate(sheet.cues) if each[1].anchor_ms is not None]
    for position, cue in sorted(fixed, key=_pin):
        key = (cue.segment, cue.kind)
        group = open_counts.get(key)
        if group and (cue.anchor_ms or 0) - (group[-1][1].anchor_ms or 0) <= (
            COUNT_STEP_MS
        ):
            group.append((position, cue))
            continue
        groups.append([(position, cue)])
        if cue.kind.counts:
            open_counts[key] = groups[-1]
    return groups


def _pin(each: tuple[int, Cue]) -> tuple[int, int]:
    return each[1].anchor_ms or 0, each[0]
