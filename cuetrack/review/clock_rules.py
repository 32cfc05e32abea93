"""Rules on the shape of a class and its clock: warm-up, breaks, work and rest."""

from __future__ import annotations

from itertools import groupby
from typing import TYPE_CHECKING, Final

from cuetrack import cuekinds
from cuetrack.cues.model import MOVING, SegmentKind
from cuetrack.documents.places import Place
from cuetrack.plan.lengths import section_length_ms
from cuetrack.plan.model import SectionKind
from cuetrack.review import limits
from cuetrack.review.case import effort_of, feet_move, named, total_ms
from cuetrack.review.model import Hit
from cuetrack.times import clock, duration

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Mapping

    from cuetrack.cues.model import PlacedCue, Segment
    from cuetrack.review.case import Case


def before_work(case: Case) -> tuple[Segment, ...]:
    """Return what is done before the first work of the class."""
    if not case.works:
        return ()
    start_ms = case.works[0].start_ms
    return tuple(s for s in _moves(case) if s.end_ms <= start_ms)


def after_work(case: Case) -> tuple[Segment, ...]:
    """Return what is done after the last work of the class."""
    if not case.works:
        return ()
    end_ms = case.works[-1].end_ms
    return tuple(s for s in _moves(case) if s.start_ms >= end_ms)


def _moves(case: Case) -> tuple[Segment, ...]:
    return tuple(s for s in case.segments if s.kind is SegmentKind.MOVE)


def _part(case: Case, kind: SectionKind) -> Place:
    """Return where the part of that kind stands, else the first intervals."""
    for wanted in (kind, SectionKind.INTERVALS):
        for section in case.plan.sections:
            if section.kind is wanted:
                return section.place
    return Place()


def _ids(segments: tuple[Segment, ...]) -> tuple[str, ...]:
    return tuple(segment.id for segment in segments)


def _warm_up(case: Case, least_ms: int, below_ms: int, asked_ms: int) -> Iterator[Hit]:
    """Yield a hit for a warm-up of ``least_ms`` or more but less than ``below_ms``."""
    moves = before_work(case)
    if case.works and least_ms <= total_ms(moves) < below_ms:
        what = f"The warm-up moves for {_of(total_ms(moves), asked_ms)}."
        if not moves:
            what = "Nothing is done before the first interval."
        yield Hit(
            what=what, place=_part(case, SectionKind.WARM_UP), segments=_ids(moves)
        )


def _cool_down(
    case: Case, least_ms: int, below_ms: int, asked_ms: int
) -> Iterator[Hit]:
    moves = after_work(case)
    if case.works and least_ms <= total_ms(moves) < below_ms:
        what = f"The cool-down moves for {_of(total_ms(moves), asked_ms)}."
        if not moves:
            what = "Nothing is done after the last interval."
        yield Hit(
            what=what, place=_part(case, SectionKind.COOL_DOWN), segments=_ids(moves)
        )


def _of(done_ms: int, asked_ms: int) -> str:
    """Return what is done and what is asked, in whole seconds."""
    asked_s = -(-asked_ms // 1000)
    return f"{duration(done_ms)}; this class asks for {duration(asked_s * 1000)}"


def least_easy_ms(case: Case, usual_ms: int) -> int:
    """Return how long warm-up or cool-down should be, by length and effort of a class.

    A share of what is short and not vigorous, where no heart asks for more.
    """
    hearts = case.has("heart condition", "high blood pressure")
    vigorous = any((effort_of(s) or 0) >= limits.VIGOROUS_EFFORT for s in case.works)
    if hearts or vigorous:
        return usual_ms
    return min(usual_ms, round(case.timeline.end_ms * limits.EASY_PART_SHARE))


def _effort_or_hard(segment: Segment) -> int:
    effort = effort_of(segment)
    return limits.HARD_EFFORT if effort is None else effort


def short_warm_up(case: Case) -> Iterator[Hit]:
    """T01."""
    least_ms = least_easy_ms(case, limits.WARM_UP_LEAST_MS)
    return _warm_up(case, 0, _error_below_ms(least_ms), least_ms)


def shortish_warm_up(case: Case) -> Iterator[Hit]:
    """T02: short by less than T01 tells."""
    least_ms = least_easy_ms(case, limits.WARM_UP_LEAST_MS)
    return _warm_up(case, _error_below_ms(least_ms), least_ms, least_ms)


def _error_below_ms(least_ms: int) -> int:
    return round(least_ms * limits.ALMOST) + 1


def heart_warm_up(case: Case) -> Iterator[Hit]:
    """T03: from five minutes on; less is told by T01."""
    asked_ms = limits.WARM_UP_HEART_MS
    if case.has("heart condition"):
        yield from _warm_up(case, limits.WARM_UP_LEAST_MS, asked_ms, asked_ms)


def short_cool_down(case: Case) -> Iterator[Hit]:
    """T04."""
    least_ms = least_easy_ms(case, limits.COOL_DOWN_LEAST_MS)
    return _cool_down(case, 0, _error_below_ms(least_ms), least_ms)


def shortish_cool_down(case: Case) -> Iterator[Hit]:
    """T18: short by less than T04 tells."""
    least_ms = least_easy_ms(case, limits.COOL_DOWN_LEAST_MS)
    return _cool_down(case, _error_below_ms(least_ms), least_ms, least_ms)


def heart_cool_down(case: Case) -> Iterator[Hit]:
    """T05: from five minutes on; less is told by T04."""
    asked_ms = limits.COOL_DOWN_HEART_MS
    if case.has("heart condition"):
        yield from _cool_down(case, limits.COOL_DOWN_LEAST_MS, asked_ms, asked_ms)


def early_effort(case: Case) -> Iterator[Hit]:
    """T06: the first hard movement comes within minutes of the first movement."""
    done = [s for s in case.segments if s.kind in MOVING]
    heart = case.has("heart condition", "high blood pressure")
    easy_ms = limits.GRADED_START_HEART_MS if heart else limits.GRADED_START_MS
    for segment in done:
        into_ms = segment.start_ms - done[0].start_ms
        if (effort_of(segment) or 0) >= limits.HARD_EFFORT:
            if into_ms < easy_ms and segment.movement:
                what = f"{segment.movement.name} asks for effort {effort_of(segment)}"
                what += f" {duration(into_ms)} after the first movement starts."
                yield Hit(
                    what=what, place=segment.movement.place, segments=(segment.id,)
                )
            return


def _hardest(case: Case) -> Segment:
    """Return the last of the hardest works; the last of all if nobody says."""
    efforts = [effort_of(work) for work in case.works]
    if None in efforts:
        return case.works[-1]
    top = max(e for e in efforts if e is not None)
    return [w for w in case.works if effort_of(w) == top][-1]


def _hardest_end(case: Case) -> int:
    at = {s.id: n for n, s in enumerate(case.segments)}
    return at[_hardest(case).id] + 1


def easing_least_ms(case: Case) -> int:
    """Return how long something has to move before the first stillness."""
    effort = _effort_or_hard(_hardest(case))
    hearts = case.has("heart condition", "high blood pressure", "low blood pressure")
    if effort >= limits.HARD_EFFORT or hearts or case.has("dizziness"):
        return limits.EASING_LEAST_MS
    moderate = effort > limits.LIGHT_EFFORT
    return limits.EASING_AFTER_MODERATE_MS if moderate else 0


def eased_ms(case: Case) -> int:
    """Return how long feet move between the hardest work and the first stillness.

    Whose feet do not move, as in a wheelchair, eases off with the arms.
    """
    eased = 0
    for segment in case.segments[_hardest_end(case) :]:
        movement = segment.movement
        if segment.kind is SegmentKind.CLOSE or (movement and movement.hold):
            break
        easy = segment.kind is not SegmentKind.WORK or (
            (effort_of(segment) or limits.HARD_EFFORT) <= limits.LIGHT_EFFORT
        )
        moves = feet_move(movement) or case.has("wheelchair")
        if movement is not None and easy and moves:
            eased += segment.length_ms
    return eased


def into_stillness(case: Case) -> Iterator[Hit]:
    """T07."""
    if case.works and eased_ms(case) < easing_least_ms(case):
        last = case.segments[_hardest_end(case) - 1]
        what = "After the hardest work the feet move for "
        what += f"{duration(eased_ms(case))} before they are still."
        yield Hit(
            what=what, place=_part(case, SectionKind.COOL_DOWN), segments=(last.id,)
        )


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
        yield Hit(what=what, place=case.section(rests[0]).place, segments=_ids(rests))


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
        yield Hit(what=what, place=case.section(rests[0]).place, segments=_ids(rests))


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
    "T01": short_warm_up,
    "T02": shortish_warm_up,
    "T03": heart_warm_up,
    "T04": short_cool_down,
    "T05": heart_cool_down,
    "T06": early_effort,
    "T07": into_stillness,
    "T09": ratio_for_new,
    "T10": ratio_for_others,
    "T11": hard_ratio,
    "T12": long_hard_work,
    "T13": short_changes,
    "T14": no_break,
    "T15": long_class,
    "T16": mostly_vigorous,
    "T17": sums,
    "T18": shortish_cool_down,
}

SHEET_CHECKS: Final[Mapping[str, Callable[[Case], Iterator[Hit]]]] = {"T08": still_rest}
"""Rules that need to know what is said when."""
