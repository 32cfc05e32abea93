"""The rule on first explanations that are cut, by the placed cue sheet.

The time that would do is reckoned from all that is told before a movement, at the
speed at which the voice says the rest of the class.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from cuetrack import cuekinds
from cuetrack.cues.model import MOVING, SegmentKind
from cuetrack.review import limits
from cuetrack.review.case import done_times
from cuetrack.review.cue_rules import preview_too_long
from cuetrack.review.model import Hit
from cuetrack.times import duration

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Mapping

    from cuetrack.cues.model import PlacedSheet, Segment
    from cuetrack.plan.model import Movement
    from cuetrack.review.case import Case

_WHAT_IS_BEFORE: Final = {
    SegmentKind.REST: "rest",
    SegmentKind.OPENING: "opening",
    SegmentKind.RECOVERY: "break",
}
_WORDS_OF_HANDS: Final = 11
_WORDS_AROUND: Final = 8
"""Such as to pick a thing up from beside you; and: next, the right leg first."""
_SENTENCES: Final = 5
"""What is told before a movement is said in so many pieces at most."""


def explanation_cut(case: Case) -> Iterator[Hit]:
    """C15: how a new movement is done is not told in full, or eats up its time.

    What C01 tells of by the plan alone is not told again.
    """
    if case.placed is None:
        return
    told = {id_ for hit in preview_too_long(case) for id_ in hit.segments}
    for done, before, first in _first_times(case):
        fate = _fate(case.placed, before, first)
        if not fate or first.movement is None or first.id in told:
            continue
        needs_ms = _needs_ms(case.placed, done, before, first.movement)
        short_ms = max(limits.REST_STEP_MS, needs_ms - before.length_ms)
        short_ms = -(-short_ms // limits.REST_STEP_MS) * limits.REST_STEP_MS
        what = f"How {first.movement.name} is done {fate}. "
        what += _cure(before, short_ms)
        place = first.movement.place
        yield Hit(what=what, place=place, segments=(before.id, first.id))


def _first_times(case: Case) -> Iterator[tuple[Movement | None, Segment, Segment]]:
    """Yield what was done last, the segment before each movement to explain, and it."""
    before = dict(zip(case.segments[1:], case.segments, strict=False))
    seen: set[tuple[str | None, ...]] = set()
    done: Movement | None = None
    for parts in done_times(case):
        first, movement = parts[0], parts[0].movement
        if movement is None:
            continue
        likeness = (movement.name, movement.how, movement.equipment)
        explained = likeness not in seen and movement.how and case.coaches_in(first)
        if explained and first in before:
            yield done, before[first], first
        seen.add(likeness)
        done = movement


def _fate(placed: PlacedSheet, before: Segment, first: Segment) -> str:
    """Return what became of an explanation, in words.

    Nothing became of it where all is told before the movement, or early in it.
    """
    for left in placed.left_out:
        if left.cue.kind is cuekinds.EXPLANATION and left.cue.segment == first.id:
            return "is not told"
    for said in placed.placed:
        if said.cue.kind is cuekinds.EXPLANATION and said.cue.segment == first.id:
            left_ms = first.end_ms - said.end_ms
            if left_ms >= first.length_ms * limits.LEAST_SHARE_TO_DO:
                return ""
            left_ms = max(0, left_ms // 1000 * 1000)
            return f"is told after its start, and leaves {duration(left_ms)} to do it"
    shortened = any(
        said.wording_index
        for said in placed.placed
        if said.cue.kind is cuekinds.PREVIEW and said.cue.segment == before.id
    )
    return "is told only in part" if shortened else ""


def _needs_ms(
    placed: PlacedSheet, done: Movement | None, before: Segment, after: Movement
) -> int:
    """Return about how long all takes that is told before a movement, ms."""
    texts = [after.caution, after.set_up, after.how, after.name]
    held = done.equipment if done else None
    hands = [thing for thing in (held, after.equipment) if thing] * (
        held != after.equipment
    )
    around_ms = limits.COUNT_REACHES_MS + _SENTENCES * placed.sheet.quiet.gap_ms
    if before.kind is SegmentKind.REST:
        around_ms += limits.SETTLE_MS
        texts.append(done.afterwards if done else None)
    elif before.kind in MOVING:
        around_ms += limits.SETTLE_MS + limits.CHANGE_LEAD_MS
    words = sum(len(text.split()) for text in texts if text)
    words += _WORDS_AROUND + _WORDS_OF_HANDS * len(hands)
    return around_ms + round(words * _ms_a_word(placed))


def _ms_a_word(placed: PlacedSheet) -> float:
    """Return how long a word of this class takes, of all that is no count, ms."""
    said = [p for p in placed.placed if not p.cue.kind.counts]
    words = sum(len(p.wording.text.split()) for p in said)
    return sum(p.end_ms - p.start_ms for p in said) / max(1, words)


def _cure(before: Segment, short_ms: int) -> str:
    """Return by how much the time before a movement is too short, in words."""
    name = before.movement.name if before.movement else ""
    what = _WHAT_IS_BEFORE.get(before.kind) or name
    side = f" ({before.side})" if before.side else ""
    return (
        f"The {what}{side} before it, {duration(before.length_ms)}, is "
        f"{duration(short_ms)} too short for that: "
        f"{duration(before.length_ms + short_ms)} would do."
    )


SHEET_CHECKS: Final[Mapping[str, Callable[[Case], Iterator[Hit]]]] = {
    "C15": explanation_cut
}
