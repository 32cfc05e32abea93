"""Rules on the clock of a class: work and rest, breaks, changes, sums."""

from __future__ import annotations

from itertools import groupby
from typing import TYPE_CHECKING, Final

from cuetrack import cuekinds
from cuetrack.cues.model import SegmentKind
from cuetrack.plan.lengths import section_length_ms
from cuetrack.review import limits
from cuetrack.review.case import effort_of, feet_move, ids, named, total_ms
from cuetrack.review.model import Hit
from cuetrack.times import clock, duration

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Mapping

    from cuetrack.cues.model import PlacedCue, Segment
    from cuetrack.review.case import Case


def still_rest(case: Case) -> Iterator[Hit]:
    """T08: a long rest with no word on feet for minutes, or a still recovery."""
    told_ms = [p.start_ms for p in case.said(cuekinds.REST) if _on_feet(case, p)]
    still = tuple(
        s
        for s in case.segments
        if s.length_ms > limits.STILL_REST_MS and _is_still(s, told_ms)
    )
    for _, run in groupby(still, key=lambda s: (s.section, s.kind)):
        rests = tuple(run)
        what = f"{len(rests)} rests" if len(rests) > 1 else "A rest"
        what += f" of up to {duration(max(r.length_ms for r in rests))}"
        what += ", and nothing keeps the feet moving."
        yield Hit(what=what, place=case.section(rests[0]).place, segments=ids(rests))


def _on_feet(case: Case, placed: PlacedCue) -> bool:
    return case.words is None or bool(case.words.feet.search(placed.wording.text))


def _is_still(segment: Segment, told_ms: list[int]) -> bool:
    if segment.kind is SegmentKind.RECOVERY:
        return not feet_move(segment.movement)
    since_ms = segment.end_ms - limits.FEET_TOLD_WITHIN_MS
    told = any(since_ms <= at_ms < segment.end_ms for at_ms in told_ms)
    return segment.kind is SegmentKind.REST and not told


def _ratios(case: Case) -> Iterator[tuple[float, Segment, Segment]]:
    """Yield work over rest for each rest after a work, with both segments."""
    worked_ms = 0
    for before, after in zip(case.segments, case.segments[1:], strict=False):
        worked_ms = (
            worked_ms + before.length_ms if before.kind is SegmentKind.WORK else 0
        )
        if worked_ms and after.kind is SegmentKind.REST:
            yield worked_ms / after.length_ms, before, after


def _worst_ratio(case: Case, over: Callable[[float], bool]) -> Iterator[Hit]:
    """Yield the worst ratio of each section among those that are ``over``."""
    worst: dict[int, tuple[float, Segment, Segment]] = {}
    for found in _ratios(case):
        section = found[1].section
        if section not in worst or found[0] > worst[section][0]:
            worst[section] = found
    for ratio, work, rest in worst.values():
        if over(ratio):
            worked_ms = round(ratio * rest.length_ms)
            what = f"Work of {duration(worked_ms)} is followed by a rest of "
            what += f"{duration(rest.length_ms)}, {ratio:.2g} to 1."
            place = case.section(work).place
            yield Hit(what=what, place=place, segments=(work.id, rest.id))


def ratio_for_new(case: Case) -> Iterator[Hit]:
    """T09."""
    if case.has("new"):
        yield from _worst_ratio(
            case, lambda ratio: limits.NEW_GROUP_RATIO < ratio < limits.HARD_RATIO
        )


def ratio_for_others(case: Case) -> Iterator[Hit]:
    """T10."""
    if not case.has("new", "experienced"):
        yield from _worst_ratio(
            case, lambda ratio: limits.STEADY_GROUP_RATIO <= ratio < limits.HARD_RATIO
        )


def hard_ratio(case: Case) -> Iterator[Hit]:
    """T11."""
    return _worst_ratio(case, lambda ratio: ratio >= limits.HARD_RATIO)


def long_hard_work(case: Case) -> Iterator[Hit]:
    """T12."""
    for movement, segment in case.work_movements():
        effort = movement.effort or 0
        longest_ms = max(s.length_ms for s in case.works if s.movement is movement)
        if (
            longest_ms > limits.LONGEST_HARD_WORK_MS
            and limits.HARD_EFFORT <= effort <= limits.HIGHEST_EFFORT
        ):
            what = f"{movement.name} goes on for {duration(longest_ms)} at effort "
            yield Hit(
                what=f"{what}{effort}.", place=movement.place, segments=(segment.id,)
            )


def short_changes(case: Case) -> Iterator[Hit]:
    """T13."""
    short = [
        rest
        for work, rest in zip(case.segments, case.segments[1:], strict=False)
        if rest.kind is SegmentKind.REST
        and rest.length_ms < limits.CHANGE_REST_LEAST_MS
        and work.movement
        and rest.next_movement
        and work.movement.name != rest.next_movement.name
    ]
    for _, run in groupby(short, key=lambda rest: rest.section):
        rests = tuple(run)
        what = f"{duration(min(r.length_ms for r in rests))} to change from one "
        what += "movement to another."
        yield Hit(what=what, place=case.section(rests[0]).place, segments=ids(rests))


def no_break(case: Case) -> Iterator[Hit]:
    """T14: works and short rests that follow each other for too long."""
    start: Segment | None = None
    last: Segment | None = None
    told = False
    for segment in case.segments:
        if segment.kind is SegmentKind.WORK:
            start, last = start or segment, segment
        elif _is_break(segment):
            start, told = None, False
        if start and last and not told:
            worked_ms = last.end_ms - start.start_ms
            if worked_ms > limits.LONGEST_WITHOUT_BREAK_MS:
                what = f"From {clock(start.start_ms)} on there is no break of a "
                what += "minute for more than ten minutes."
                place = case.section(last).place
                yield Hit(what=what, place=place, segments=(start.id, last.id))
                told = True


def _is_break(segment: Segment) -> bool:
    parts = (SegmentKind.RECOVERY, SegmentKind.REST, SegmentKind.MOVE)
    return segment.kind in parts and segment.length_ms >= limits.BREAK_LEAST_MS


def long_class(case: Case) -> Iterator[Hit]:
    """T15."""
    if case.timeline.end_ms > limits.LONGEST_CLASS_MS:
        yield Hit(what=f"The class lasts {duration(case.timeline.end_ms)}.")


def mostly_vigorous(case: Case) -> Iterator[Hit]:
    """T16."""
    hard = [w for w in case.works if (effort_of(w) or 0) >= limits.VIGOROUS_EFFORT]
    all_ms, hard_ms = total_ms(case.works), total_ms(tuple(hard))
    if hard_ms > limits.MOST_VIGOROUS_SHARE * all_ms:
        what = f"{duration(hard_ms)} of {duration(all_ms)} of work are at effort "
        what += f"{limits.VIGOROUS_EFFORT} or more: "
        what += f"{named([w.movement.name for w in hard if w.movement])}."
        yield Hit(what=what, place=case.section(hard[0]).place)


def sums(case: Case) -> Iterator[Hit]:
    """T17: the stated length, and the sums of the sections."""
    stated_ms = case.plan.lasts_ms
    slack_ms = limits.STATED_LENGTH_SLACK_MS
    if stated_ms is not None and abs(case.timeline.end_ms - stated_ms) > slack_ms:
        what = f"The plan says it lasts {duration(stated_ms)}, and its parts add up "
        yield Hit(what=f"{what}to {duration(case.timeline.end_ms)}.")
    for index, section in enumerate(case.plan.sections):
        laid_ms = sum(s.length_ms for s in case.segments if s.section == index)
        planned_ms = section_length_ms(section)
        if abs(laid_ms - planned_ms) > slack_ms:
            what = f"{section.title} is planned for {duration(planned_ms)} and laid "
            yield Hit(what=f"{what}out for {duration(laid_ms)}.", place=section.place)


CHECKS: Final[Mapping[str, Callable[[Case], Iterator[Hit]]]] = {
    "T09": ratio_for_new,
    "T10": ratio_for_others,
    "T11": hard_ratio,
    "T12": long_hard_work,
    "T13": short_changes,
    "T14": no_break,
    "T15": long_class,
    "T16": mostly_vigorous,
    "T17": sums,
}

SHEET_CHECKS: Final[Mapping[str, Callable[[Case], Iterator[Hit]]]] = {"T08": still_rest}
"""Rules that need to know what is said when."""
