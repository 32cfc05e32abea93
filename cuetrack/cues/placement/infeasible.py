"""Essential cues that cannot be said: which, by how much, and what to do."""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import pairwise
from typing import TYPE_CHECKING

from cuetrack.cues.placement.choice import Subproblem, choose
from cuetrack.cues.placement.items import (
    Blocked,
    MsSpan,
    Option,
    PlacementItem,
    blocked_by,
    distance_ms,
    fixed_span,
    free_starts,
)
from cuetrack.cues.placement.reasons import cue_name, excess_ms, seconds, segment_name
from cuetrack.errors import PlacementError, Problem
from cuetrack.times import clock

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from cuetrack.cues.model import Cue, CueSheet, SpeechTiming
    from cuetrack.cues.placement.labels import Chosen


@dataclass(frozen=True, slots=True, kw_only=True)
class InfeasibleCue:
    """An essential cue and the least time it lacks, whatever its wording."""

    cue: Cue
    missing_ms: int


class InfeasibleCues:
    """Collects essential cues that cannot be said, then reports all at once."""

    def __init__(self, sheet: CueSheet, timings: Mapping[str, SpeechTiming]) -> None:
        self._sheet = sheet
        self._timings = timings
        self._tones = Blocked((tone.start_ms, tone.end_ms) for tone in sheet.tones)
        self._found: list[InfeasibleCue] = []

    def note_alone(self, items: Iterable[PlacementItem]) -> None:
        """Note the essential items whose window or tones leave them no room."""
        for item in items:
            if item.essential and not item.options:
                self.note_beside(item, [])

    def note_beside(self, item: PlacementItem, others: Sequence[Chosen]) -> None:
        """Note an essential item that ``others`` leave no room."""
        blocked = [
            self._tones,
            blocked_by(others, self._sheet.quiet, count=item.count),
        ]
        cue = next(cue for cue in item.cues if cue.essential)
        if item.fixed:
            missing_ms = self._fixed_missing_ms(item, blocked)
        else:
            window = (cue.window_start_ms, cue.window_end_ms)
            missing_ms = min(
                self._timings[wording.spoken].length_ms for wording in cue.wordings
            ) - _longest_ms(window, blocked)
        self._found.append(InfeasibleCue(cue=cue, missing_ms=max(1, missing_ms)))

    def without_clashes(self, settled: Sequence[PlacementItem]) -> list[Chosen]:
        """Return the settled items that keep their distance; note the others."""
        kept: list[Chosen] = []
        for item in settled:
            option = item.options[0]
            start_ms = option.starts[0][0]
            clashing = [
                other for other in kept[-8:] if self._too_close(item, start_ms, other)
            ]
            if clashing:
                self.note_beside(item, clashing)
            else:
                kept.append((item, option))
        return kept

    def note_together(self, subproblem: Subproblem, settled: Sequence[Chosen]) -> None:
        """Note the essential items of a subproblem that not all can be said."""
        subproblem = replace(
            subproblem,
            fixed=tuple(item for item in subproblem.fixed if item.essential),
            floating=tuple(item for item in subproblem.floating if item.essential),
            budget_ms={},
            must=False,
        )
        said = choose(subproblem) or []
        heard = {cue.id for item, _ in said for cue in item.cues}
        blocked = [self._tones, blocked_by(settled, self._sheet.quiet, count=False)]
        for item in (*subproblem.fixed, *subproblem.floating):
            if item.cues[0].id in heard:
                continue
            if item.fixed:
                others = [each for each in said if each[0].fixed]
                self.note_beside(item, [*settled, *others])
                continue
            missing_ms = self._least_missing_ms(item, said, subproblem, blocked)
            self._found.append(InfeasibleCue(cue=item.cues[0], missing_ms=missing_ms))

    def raise_if_any(self) -> None:
        """Raise PlacementError when any essential cue cannot be said."""
        if not self._found:
            return
        order = {cue.id: at for at, cue in enumerate(self._sheet.cues)}
        found = sorted(self._found, key=lambda each: order[each.cue.id])
        raise PlacementError(
            [self._problem(infeasible) for infeasible in found],
            {infeasible.cue.id: infeasible.missing_ms for infeasible in found},
        )

    def _problem(self, infeasible: InfeasibleCue) -> Problem:
        cue = infeasible.cue
        segment = next(
            each for each in self._sheet.timeline.segments if each.id == cue.segment
        )
        movement = segment.movement or segment.next_movement
        what = f" ({movement.name})" if movement else ""
        lengthen_s = -(-infeasible.missing_ms // 1000)
        return Problem(
            what=f"{segment.section_title}, {segment_name(segment)} from "
            f"{clock(segment.start_ms)} to {clock(segment.end_ms)}{what}: "
            f"{cue_name(cue)} must be said, and there is not enough time: "
            f"{seconds(infeasible.missing_ms)} are missing.",
            remedy=f"Lengthen {segment_name(segment)} by {lengthen_s} s or shorten the "
            "text.",
        )

    def _too_close(self, item: PlacementItem, start_ms: int, other: Chosen) -> bool:
        before, option = other
        apart_ms = distance_ms(
            self._sheet.quiet, one_is_count=item.count, other_is_count=before.count
        )
        other_ms = option.starts[0][0]
        return (
            start_ms < other_ms + option.length_ms + apart_ms
            and other_ms < start_ms + item.options[0].length_ms + apart_ms
        )

    def _fixed_missing_ms(self, item: PlacementItem, blocked: Sequence[Blocked]) -> int:
        wordings = range(max(len(cue.wordings) for cue in item.cues))
        return min(self._excess_ms(item, index, blocked) for index in wordings)

    def _excess_ms(
        self, item: PlacementItem, index: int, blocked: Sequence[Blocked]
    ) -> int:
        spans = [fixed_span(cue, index, self._timings) for cue in item.cues]
        over_ms = [one[1] - other[0] for one, other in pairwise(spans)]
        for cue, span in zip(item.cues, spans, strict=True):
            over_ms += [cue.window_start_ms - span[0], span[1] - cue.window_end_ms]
            over_ms += [
                excess_ms(cue, span, obstacle)
                for each in blocked
                for obstacle in each.within(*span)
            ]
        return max(over_ms)

    def _least_missing_ms(
        self,
        item: PlacementItem,
        said: Sequence[Chosen],
        subproblem: Subproblem,
        blocked: Sequence[Blocked],
    ) -> int:
        """Return by how much a floating item must shrink to join ``said``."""
        others = [each for each, _ in said]
        longest_ms = max(option.length_ms for option in item.options)
        too_little_ms, enough_ms = 0, longest_ms + self._sheet.quiet.gap_ms
        while enough_ms - too_little_ms > 1:
            shrink_ms = (too_little_ms + enough_ms) // 2
            shrunk = _shrunk(item, shrink_ms, blocked)
            floating = [each for each in (*others, shrunk) if not each.fixed]
            fits = choose(
                replace(
                    subproblem,
                    fixed=tuple(each for each in others if each.fixed),
                    floating=tuple(sorted(floating, key=lambda each: each.rank)),
                    must=True,
                )
            )
            if fits:
                enough_ms = shrink_ms
            else:
                too_little_ms = shrink_ms
        return enough_ms


def _longest_ms(window: MsSpan, blocked: Sequence[Blocked]) -> int:
    """Return the longest free stretch of a window, ms."""
    free = free_starts(window, 0, blocked)
    return max((last - first for first, last in free), default=0)


def _shrunk(
    item: PlacementItem, by_ms: int, blocked: Sequence[Blocked]
) -> PlacementItem:
    """Return a floating item as if all its wordings were shorter."""
    cue = item.cues[0]
    window = (cue.window_start_ms, cue.window_end_ms)

    def shortened(option: Option) -> Option:
        length_ms = max(0, option.length_ms - by_ms)
        return replace(
            option,
            length_ms=length_ms,
            spoken_ms=length_ms,
            starts=free_starts(window, length_ms, blocked),
            spans=((0, length_ms),),
        )

    return replace(item, options=tuple(map(shortened, item.options)))
