"""What comes next inside an activity: the recovery's movement, and the other side."""

from __future__ import annotations

from typing import TYPE_CHECKING

from cuetrack import cuekinds
from cuetrack.cues.model import MOVING, Cue, Segment, SegmentKind
from cuetrack.cues.writing.context import TransitionKind
from cuetrack.cues.writing.equipment import taken_in_recovery_ms
from cuetrack.cues.writing.introductions import (
    REST_PREVIEW_MS,
    introduction_of,
    movement_fields,
)

if TYPE_CHECKING:
    from collections.abc import Iterator

    from cuetrack.cues.writing.context import Transition, WritingContext
    from cuetrack.languages.phrases import Wordings

SIDE_SOON_MS = (10_000, 6_500, 3_000)
"""The change of side is announced from, wanted, and finished before the change."""

SHORT_SIDE_MS = 8_000

PUT_AWAY_MS = 6_000
"""To be told to put equipment away, and how to let go of it, before a recovery."""


def preview_cues(context: WritingContext) -> tuple[Cue, ...]:
    """Return what is to be done in each recovery, and each change of side."""
    cues: list[Cue] = []
    for transition in context.transitions:
        if transition.kind is TransitionKind.SIDE:
            cues += _side_soon(context, transition)
    for segment in context.segments:
        if segment.kind is SegmentKind.RECOVERY:
            cues.append(_recovery_preview(context, segment))
            cues += _recovery_sides(context, segment)
    return tuple(cues)


def _recovery_preview(context: WritingContext, segment: Segment) -> Cue:
    """Return what to do in the recovery break, said as it starts."""
    from_ms = context.words_from_ms(segment)
    return context.cue(
        cuekinds.PREVIEW,
        segment,
        _recovery_words(context, segment),
        window=(from_ms, segment.start_ms + max(6_000, segment.length_ms // 2)),
        wanted_ms=segment.start_ms + REST_PREVIEW_MS,
    )


def _recovery_words(context: WritingContext, segment: Segment) -> tuple[Wordings, ...]:
    fields = movement_fields(context, segment.movement) if segment.movement else {}
    length = context.phrases.rounded_length(_easy_ms(context, segment))
    return context.phrases.variants("preview recovery", **fields, length=length)


def recovery_told_ms(context: WritingContext, segment: Segment) -> int:
    """Return when people know what to do in a recovery break."""
    told_ms = context.longest_ms(_recovery_words(context, segment))
    return _told_from_ms(context, segment) + told_ms


def _told_from_ms(context: WritingContext, segment: Segment) -> int:
    before = context.before(segment)
    laid_down = before is not None and before.movement and before.movement.equipment
    return segment.start_ms + REST_PREVIEW_MS + (PUT_AWAY_MS if laid_down else 0)


def _easy_ms(context: WritingContext, segment: Segment) -> int:
    """Return how long a recovery is moved: from its words to those of what comes."""
    return next_told_ms(context, segment) - _told_from_ms(context, segment)


def next_told_ms(context: WritingContext, segment: Segment) -> int:
    """Return when people are told what comes after a segment, or what it needs."""
    after, told = context.after(segment), None
    if after is not None and after.kind in MOVING:
        told = introduction_of(context, context.transition_to(after))
    told_ms = told.wanted_ms if told else segment.end_ms
    if segment.kind is SegmentKind.RECOVERY:
        told_ms = min(told_ms, taken_in_recovery_ms(context, segment))
    return told_ms


def _recovery_sides(context: WritingContext, segment: Segment) -> Iterator[Cue]:
    """Yield each change of side in a recovery break, at equal times."""
    sides = segment.movement.sides if segment.movement else ()
    for number, side in enumerate(sides[1:], start=1):
        due_ms = segment.start_ms + segment.length_ms * number // len(sides)
        name = context.phrases.side(side)
        yield context.cue(
            cuekinds.SIDE_CHANGE,
            segment,
            context.phrases.variants("side change", side=name, let_go="", hold=""),
            window=(
                due_ms - 1_000,
                min(due_ms + 6_000, context.words_until_ms(segment)),
            ),
            wanted_ms=due_ms,
        )


def _side_soon(context: WritingContext, transition: Transition) -> Iterator[Cue]:
    """Yield the announcement of the other side, done 3 s before the change."""
    before, after = transition.before, transition.after
    if before is None or after is None or after.side is None:
        return
    earliest_ms, wanted_ms, done_ms = SIDE_SOON_MS
    until_ms = context.words_until_ms(before)
    if before.length_ms >= SHORT_SIDE_MS:
        until_ms = min(until_ms, transition.at_ms - done_ms)
    from_ms = max(context.words_from_ms(before), transition.at_ms - earliest_ms)
    yield context.cue(
        cuekinds.SIDE_CHANGE,
        before,
        context.phrases.variants(
            "side change soon", side=context.phrases.side(after.side)
        ),
        window=(min(from_ms, until_ms), until_ms),
        essential=True,
        wanted_ms=max(from_ms, transition.at_ms - wanted_ms),
    )
