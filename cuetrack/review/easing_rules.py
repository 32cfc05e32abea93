"""Rules on easing into work and off it: warm-up, cool-down, the way to stillness."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from cuetrack.cues.model import MOVING, SegmentKind
from cuetrack.documents.places import Place
from cuetrack.plan.model import SectionKind
from cuetrack.review import limits
from cuetrack.review.case import effort_of, feet_move, ids, total_ms
from cuetrack.review.model import Hit
from cuetrack.times import duration

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Mapping

    from cuetrack.cues.model import Segment
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


def _warm_up(case: Case, least_ms: int, below_ms: int, asked_ms: int) -> Iterator[Hit]:
    """Yield a hit for a warm-up of ``least_ms`` or more but less than ``below_ms``."""
    moves = before_work(case)
    if case.works and least_ms <= total_ms(moves) < below_ms:
        what = f"The warm-up moves for {_of(total_ms(moves), asked_ms)}."
        if not moves:
            what = "Nothing is done before the first interval."
        yield Hit(
            what=what, place=_part(case, SectionKind.WARM_UP), segments=ids(moves)
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
            what=what, place=_part(case, SectionKind.COOL_DOWN), segments=ids(moves)
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


CHECKS: Final[Mapping[str, Callable[[Case], Iterator[Hit]]]] = {
    "T01": short_warm_up,
    "T02": shortish_warm_up,
    "T03": heart_warm_up,
    "T04": short_cool_down,
    "T05": heart_cool_down,
    "T06": early_effort,
    "T07": into_stillness,
    "T18": shortish_cool_down,
}
