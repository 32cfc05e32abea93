"""Where we are: which movement of the round comes next, and how many rounds are left.

It is told while people rest, after what comes next; the work is left to the work. In a
round in which the movements are new there is too much else to listen to, but the last
one of a round is always told.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from cuetrack import cuekinds
from cuetrack.cues.model import Cue, Segment, SegmentKind
from cuetrack.cues.writing.announcements import FEET_FROM_MS
from cuetrack.cues.writing.equipment import changes_hands
from cuetrack.cues.writing.introductions import (
    FEET_WORDS_MS,
    HANDS_MS,
    REST_PREVIEW_MS,
    introduction_ms,
)
from cuetrack.cues.writing.previews import recovery_told_ms

if TYPE_CHECKING:
    from collections.abc import Iterator

    from cuetrack.cues.writing.context import WritingContext
    from cuetrack.languages.phrases import Wordings

ROOMY_REST_MS = 15_000
"""A shorter rest is full of what comes next."""


def whereabouts_cues(context: WritingContext) -> tuple[Cue, ...]:
    """Return where the class stands, in each rest and recovery with room for it."""
    cues: list[Cue] = []
    for segment in context.segments:
        if segment.kind is SegmentKind.REST:
            cues += _in_rest(context, segment)
        elif segment.kind is SegmentKind.RECOVERY:
            cues += _rounds_left(context, segment)
    return tuple(cues)


def _in_rest(context: WritingContext, rest: Segment) -> Iterator[Cue]:
    work = context.after(rest)
    if work is None or not context.coaches_in(work) or rest.length_ms < ROOMY_REST_MS:
        return
    last = work.position == work.position_count
    if context.is_new(work) and not last:
        return
    words = _place_in_round(context, work)
    until_ms = context.words_until_ms(rest)
    if words and _has_room(context, rest, work, words):
        yield context.cue(
            cuekinds.WHERE_WE_ARE,
            rest,
            words,
            window=(min(rest.start_ms + rest.length_ms // 2, until_ms), until_ms),
            wanted_ms=until_ms - min(2_500, rest.length_ms // 4),
        )


def _has_room(
    context: WritingContext,
    rest: Segment,
    work: Segment,
    words: tuple[Wordings, ...],
) -> bool:
    """Return whether it fits after all that tells of the next movement."""
    hands_ms = HANDS_MS if changes_hands(rest, context.before(rest), work) else 0
    told_ms = introduction_ms(context, work, rest)
    needs_ms = hands_ms + told_ms + context.longest_ms(words)
    from_ms = rest.start_ms + REST_PREVIEW_MS
    if rest.length_ms >= FEET_FROM_MS:
        from_ms += FEET_WORDS_MS
    return from_ms + needs_ms <= context.words_until_ms(rest)


def _place_in_round(context: WritingContext, segment: Segment) -> tuple[Wordings, ...]:
    phrases = context.phrases
    name = segment.movement.name if segment.movement else ""
    position, count = segment.position or 0, segment.position_count or 0
    if count < 2 or position < 2:
        return ()
    if position == count:
        if segment.round == segment.round_count and not _more_rounds(context, segment):
            return phrases.variants("where last of all", movement=name)
        following = next(
            (
                later
                for later in context.segments[context.index[segment.id] :]
                if later.activity != segment.activity
            ),
            None,
        )
        if following is not None and following.kind is SegmentKind.RECOVERY:
            return phrases.variants("where last before recovery", movement=name)
        return phrases.variants("where last", movement=name)
    ordinal = phrases.ordinal(position)
    if ordinal is None:
        return ()
    return phrases.variants(
        "where", movement=name, ordinal=ordinal, count=phrases.number(count)
    )


def _more_rounds(context: WritingContext, segment: Segment) -> bool:
    """Return whether another intervals section follows that of a segment."""
    later = context.plan.sections[segment.section + 1 :]
    return any(section.intervals is not None for section in later)


def _rounds_left(context: WritingContext, segment: Segment) -> Iterator[Cue]:
    """Yield how many rounds are still to come, said in the recovery."""
    left = (segment.round_count or 0) - (segment.round or 0)
    if left < 1 or not context.coaches_in(segment):
        return
    words = context.phrases.variants("where one round left")
    if left > 1:
        rounds = context.phrases.counted("round", left)
        words = context.phrases.variants("where rounds left", rounds=rounds)
    until_ms = context.words_until_ms(segment)
    from_ms = min(segment.start_ms + 5_000, until_ms)
    yield context.cue(
        cuekinds.WHERE_WE_ARE,
        segment,
        words,
        window=(from_ms, until_ms),
        wanted_ms=min(recovery_told_ms(context, segment), until_ms),
    )
