"""Placement by trying everything: slow, plain, and sharing no code with the real one.

Every item (a cue, or the words of a count) is left out or said in every wording
at every whole millisecond, and every combination that keeps the rules is looked
at. Only for a handful of cues on a short stretch.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise, product

from cuetrack import cuekinds
from cuetrack.cues.model import AnchorPoint, Cue, SegmentKind

COUNTS = {cuekinds.COUNT_IN, cuekinds.COUNTDOWN}


@dataclass(frozen=True)
class Try:
    """One way to say an item: wording indices and spans, one a cue."""

    cues: tuple[Cue, ...]
    indices: tuple[int, ...]
    spans: tuple[tuple[int, int], ...]

    @property
    def start(self):
        return self.spans[0][0]

    @property
    def end(self):
        return self.spans[-1][1]

    @property
    def fixed(self):
        return self.cues[0].anchor_ms is not None

    @property
    def counts(self):
        return self.fixed and self.cues[0].kind in COUNTS

    @property
    def spoken(self):
        return sum(end - start for start, end in self.spans)


def groups_of(sheet):
    """Return the cues as they go together: counts whole, all else alone."""
    groups = []
    fixed = [cue for cue in sheet.cues if cue.anchor_ms is not None]
    for cue in sorted(fixed, key=lambda each: each.anchor_ms):
        for group in groups:
            last = group[-1]
            if (
                cue.kind in COUNTS
                and (last.kind, last.segment) == (cue.kind, cue.segment)
                and cue.anchor_ms - last.anchor_ms <= 2000
            ):
                group.append(cue)
                break
        else:
            groups.append([cue])
    floating = [[cue] for cue in sheet.cues if cue.anchor_ms is None]
    return [tuple(group) for group in (*groups, *floating)]


def pinned_span(cue, timing):
    pin = cue.anchor_ms
    if cue.anchor_point is AnchorPoint.START:
        return pin, pin + timing.length_ms
    if cue.anchor_point is AnchorPoint.END:
        return pin - timing.length_ms, pin
    if timing.beat_ms == 0:
        return pin, pin + timing.length_ms
    after = max(timing.length_ms - timing.beat_ms, 0)
    return pin - timing.beat_ms, pin + after + 1


def meets_tone(span, sheet):
    return any(
        span[0] < tone.start_ms + tone.length_ms and tone.start_ms < span[1]
        for tone in sheet.tones
    )


def tries_of(group, sheet, timings):
    """Return every way to say a group that is allowed when nothing else is said."""
    tries = []
    for index in range(max(len(cue.wordings) for cue in group)):
        indices = tuple(min(index, len(cue.wordings) - 1) for cue in group)
        times = [
            timings[cue.wordings[i].spoken]
            for cue, i in zip(group, indices, strict=True)
        ]
        if group[0].anchor_ms is not None:
            candidates = [
                tuple(
                    pinned_span(cue, time)
                    for cue, time in zip(group, times, strict=True)
                )
            ]
        else:
            window = range(group[0].window_start_ms, group[0].window_end_ms + 1)
            candidates = [((at, at + times[0].length_ms),) for at in window]
        for spans in candidates:
            inside = all(
                cue.window_start_ms <= span[0] and span[1] <= cue.window_end_ms
                for cue, span in zip(group, spans, strict=True)
            )
            apart = all(a[1] <= b[0] for a, b in pairwise(spans))
            if inside and apart and not any(meets_tone(s, sheet) for s in spans):
                tries.append(Try(group, indices, spans))
    return tries


def settled(tries):
    """Return whether a group can only be where it is."""
    first = tries[0]
    essential = any(cue.essential for cue in first.cues)
    return first.fixed and essential and len(tries) == 1


def exempt(each):
    """Return whether the share of speech never silences a group."""
    return each.counts or any(cue.essential for cue in each.cues)


def far_enough(one, other, quiet):
    if one.counts and other.counts:
        gap = 0
    elif one.counts or other.counts:
        gap = quiet.before_count_ms
    else:
        gap = quiet.gap_ms
    return one.end + gap <= other.start or other.end + gap <= one.start


def level(said, cues):
    """Return what is said by priority: (cues, minus the steps they lost), ..."""
    index = {
        cue.id: i
        for each in said
        for cue, i in zip(each.cues, each.indices, strict=True)
    }
    levels = []
    for priority in sorted({cue.priority for cue in cues}, reverse=True):
        here = [cue for cue in cues if cue.priority == priority and cue.id in index]
        levels.append((len(here), -sum(index[cue.id] for cue in here)))
    return tuple(levels)


class Reference:
    """All the ways a small sheet can be said."""

    def __init__(self, sheet, timings):
        self.sheet = sheet
        self.groups = groups_of(sheet)
        self.every = every = [tries_of(each, sheet, timings) for each in self.groups]
        still = [tries[0] for tries in every if tries and settled(tries)]
        self.tries = [
            [
                each
                for each in tries
                if all(
                    each is other or far_enough(each, other, sheet.quiet)
                    for other in still
                )
            ]
            for tries in every
        ]
        self.rank = {}
        order = {cue.id: at for at, cue in enumerate(sheet.cues)}
        for tries in self.tries:
            if tries and not tries[0].fixed:
                cue = tries[0].cues[0]
                starts = [each.start for each in tries]
                wanted = cue.window_start_ms if cue.wanted_ms is None else cue.wanted_ms
                nearest = min(max(wanted, min(starts)), max(starts))
                self.rank[cue.id] = (nearest, order[cue.id])
        self.budget = self._budgets(every)

    def _budgets(self, every):
        budget, self.activity = {}, {}
        for segment in self.sheet.timeline.segments:
            if segment.kind in (SegmentKind.WORK, SegmentKind.MOVE):
                self.activity[segment.id] = segment.activity
                length = segment.end_ms - segment.start_ms
                budget[segment.activity] = budget.get(segment.activity, 0) + length
        share = self.sheet.quiet.share
        least = dict.fromkeys(budget, 0)
        for tries in every:
            if not tries:
                continue
            first = tries[0]
            activity = self.activity_of(first)
            if activity is not None and exempt(first):
                least[activity] += min(each.spoken for each in tries)
        return {key: max(value * share, least[key]) for key, value in budget.items()}

    def activity_of(self, said):
        """Return whose share of speech it uses, None for nobody's."""
        cue = said.cues[0]
        return self.activity.get(cue.segment) if cue.shared else None

    def relax(self):
        """Let essential cues and counts have their longest wordings."""
        for key in self.budget:
            most = sum(
                max(each.spoken for each in tries)
                for tries in self.every
                if tries and self.activity_of(tries[0]) == key and exempt(tries[0])
            )
            self.budget[key] = max(self.budget[key], most)

    def allowed(self, said):
        """Return whether the last of ``said`` goes with those before it."""
        last = said[-1]
        for other in said[:-1]:
            if not far_enough(last, other, self.sheet.quiet):
                return False
            if not last.fixed and not other.fixed:
                ranks = self.rank[last.cues[0].id], self.rank[other.cues[0].id]
                if (ranks[0] < ranks[1]) != (last.start < other.start):
                    return False
        spoken = dict.fromkeys(self.budget, 0)
        for each in said:
            activity = self.activity_of(each)
            if activity is not None:
                spoken[activity] += each.spoken
        return all(spoken[key] <= limit for key, limit in self.budget.items())

    def ways(self, at=0, said=()):
        """Yield every allowed combination, essential cues always in it."""
        if at == len(self.groups):
            yield said
            return
        for each in self.tries[at]:
            if self.allowed((*said, each)):
                yield from self.ways(at + 1, (*said, each))
        if not any(cue.essential for cue in self.groups[at]):
            yield from self.ways(at + 1, said)

    def best_level(self):
        """Return the best level there is, None when essential cues cannot fit."""
        return max((level(way, self.sheet.cues) for way in self.ways()), default=None)

    def least_distance(self, chosen):
        """Return the least sum of |start - wanted| with the wordings of ``chosen``.

        ``chosen`` maps a cue's id to its wording index; others are not said.
        """
        pools = []
        for tries in self.tries:
            fits = [
                each
                for each in tries
                if all(
                    chosen.get(cue.id) == i
                    for cue, i in zip(each.cues, each.indices, strict=True)
                )
            ]
            if fits:
                pools.append(fits)
        return min(
            sum(distance(each) for each in way)
            for way in product(*pools)
            if all(self.allowed(way[: n + 1]) for n in range(len(way)))
        )


def distance(each):
    cue = each.cues[0]
    if each.fixed:
        return 0
    wanted = cue.window_start_ms if cue.wanted_ms is None else cue.wanted_ms
    return abs(each.start - wanted)
