"""What comes next: previews, the change of side, and where we are in the round.

A preview is said while people can listen: in the rest from ``REST_PREVIEW_MS``
on, or once the hands have put down and picked up what they must; in an opening
or recovery shortly before the count; and between movements that follow each other
within the last seconds of the one before. Where a rest is too short to hold it,
it comes before that rest. It tells the name, then how, then the easier way; once
the movement is known, the name and a reminder.
"""

from __future__ import annotations

from dataclasses import replace
from functools import partial
from typing import TYPE_CHECKING

from cuetrack import cuekinds
from cuetrack.cues.model import MOVING, Cue, Segment, SegmentKind
from cuetrack.cues.writing.context import TransitionKind
from cuetrack.cues.writing.equipment import changes_hands
from cuetrack.languages.phrases import inline, sentence

if TYPE_CHECKING:
    from collections.abc import Iterator

    from cuetrack.cues.writing.context import Transition, WritingContext
    from cuetrack.languages.phrases import Wordings
    from cuetrack.plan.model import Movement

REST_PREVIEW_MS = 2_800
"""A preview starts this long into a rest, after the stop and its word."""

AFTER_HANDS_MS = 4_000
"""Where equipment is changed in a rest, the hands come first: then people listen."""

SLOW_WORD_MS = 460
"""A word of a slow voice (130 a minute): what must fit is reckoned with it."""

PASSING_MS = 12_000
"""A movement is announced within this time before it takes over."""

SIDE_SOON_MS = (10_000, 6_500, 3_000)
"""The change of side is announced from, wanted, and finished before the change."""

SHORT_SIDE_MS = 8_000

BETWEEN_SIDES_MS = 2_500
"""How one gets to the second side is told after its name."""


def preview_cues(context: WritingContext) -> tuple[Cue, ...]:
    """Return what tells people what to do next, for every movement of the class."""
    cues: list[Cue] = []
    for transition in context.transitions:
        if transition.kind is TransitionKind.SIDE:
            cues += _side_soon(context, transition)
        elif (
            transition.kind is not TransitionKind.STOP and transition.after is not None
        ):
            preview = _preview(context, transition, transition.after)
            cues.append(replace(preview, about=transition.after.id))
    for segment in context.segments:
        if segment.kind is SegmentKind.RECOVERY:
            cues.append(_recovery_preview(context, segment))
            cues += _recovery_sides(context, segment)
            cues += _rounds_left(context, segment)
        elif segment.kind is SegmentKind.WORK:
            cues += _where_we_are(context, segment)
    return tuple(cues)


def _fields(context: WritingContext, movement: Movement) -> dict[str, str]:
    phrases = context.phrases
    how = sentence(movement.how or "")
    fields = {
        "movement": movement.name,
        "side_first": "",
        "watch": sentence(phrases.piece("watch")) if how else "",
        "how": how,
        "how_short": sentence(movement.how_short or "") or how,
        "easier": "",
    }
    if movement.sides:
        side = phrases.side(movement.sides[0])
        fields["side_first"] = sentence(phrases.piece("side first", side=side))
    if movement.easier:
        easier = phrases.piece(
            "easier",
            option=sentence(movement.easier),
            option_inline=inline(movement.easier),
        )
        fields["easier"] = sentence(easier)
    return fields


def preview_words(
    context: WritingContext, after: Segment, *, passing: bool
) -> tuple[Wordings, ...]:
    """Return what tells of a movement, while another is done if ``passing``."""
    if after.movement is None:
        return ()
    again = context.visits[after.activity] > 0
    key = f"preview {'in passing ' if passing else ''}{'again' if again else 'first'}"
    if not context.coaches_in(after):
        key = "preview brief"
    return context.phrases.variants(key, **_fields(context, after.movement))


def _preview(context: WritingContext, transition: Transition, after: Segment) -> Cue:
    before = transition.before
    if before is None:
        return _preview_now(context, after)
    if transition.kind is TransitionKind.CHANGE:
        return _in_passing(context, before, after)
    from_ms, until_ms = context.words_from_ms(before), context.words_until_ms(before)
    words = preview_words(context, after, passing=False)
    resting = before.kind is SegmentKind.REST
    first_ms = before.start_ms + REST_PREVIEW_MS if resting else from_ms
    earlier = context.before(before)
    if until_ms - first_ms < _least_ms(words) and earlier and earlier.kind in MOVING:
        return _in_passing(context, earlier, after)
    preview = partial(
        context.cue, cuekinds.PREVIEW, before, words, window=(from_ms, until_ms)
    )
    if resting and changes_hands(before, earlier, after):
        return preview(wanted_ms=min(first_ms + AFTER_HANDS_MS, until_ms))
    if resting:
        return preview(anchor_ms=first_ms)
    if before.kind is SegmentKind.RECOVERY:
        from_ms = before.start_ms + min(before.length_ms * 2 // 5, 40_000)
    wanted_ms = max(from_ms + (until_ms - from_ms) * 2 // 5, before.end_ms - 16_000)
    if earlier is None and before.kind is SegmentKind.OPENING:
        # Safety comes first, all of it.
        wanted_ms = max(wanted_ms, from_ms + (until_ms - from_ms) * 9 // 10)
    return preview(window=(from_ms, until_ms), wanted_ms=wanted_ms)


def _least_ms(variants: tuple[Wordings, ...]) -> int:
    """Return the time the longest of the shortest wordings may need."""
    words = max((len(variant[-1].split()) for variant in variants), default=0)
    return 300 + SLOW_WORD_MS * words


def _preview_now(context: WritingContext, after: Segment) -> Cue:
    """Return the preview of a class that starts with a movement, said in it."""
    movement = after.movement
    fields = _fields(context, movement) if movement else {}
    from_ms = context.words_from_ms(after)
    return context.cue(
        cuekinds.PREVIEW,
        after,
        context.phrases.variants("preview now", **fields),
        window=(from_ms, context.words_until_ms(after)),
        wanted_ms=from_ms,
    )


def _in_passing(context: WritingContext, before: Segment, after: Segment) -> Cue:
    """Return the preview of a movement said while another is being done."""
    until_ms = context.words_until_ms(before)
    first_ms = context.words_from_ms(before)
    from_ms = min(max(first_ms, before.end_ms - PASSING_MS), until_ms)
    if until_ms - from_ms < PASSING_MS - 1_000:
        from_ms = max(first_ms, from_ms - 3_000)
    return context.cue(
        cuekinds.PREVIEW,
        before,
        preview_words(context, after, passing=True),
        window=(from_ms, until_ms),
        wanted_ms=max(from_ms, until_ms - 8_000),
    )


def _recovery_preview(context: WritingContext, segment: Segment) -> Cue:
    """Return what to do in the recovery break, said as it starts."""
    fields = _fields(context, segment.movement) if segment.movement else {}
    length = context.phrases.length(segment.length_ms)
    from_ms = context.words_from_ms(segment)
    return context.cue(
        cuekinds.PREVIEW,
        segment,
        context.phrases.variants("preview recovery", **fields, length=length),
        window=(from_ms, segment.start_ms + max(6_000, segment.length_ms // 2)),
        anchor_ms=segment.start_ms + REST_PREVIEW_MS,
    )


def _recovery_sides(context: WritingContext, segment: Segment) -> Iterator[Cue]:
    """Yield each change of side in a recovery break, at equal times."""
    sides = segment.movement.sides if segment.movement else ()
    for number, side in enumerate(sides[1:], start=1):
        due_ms = segment.start_ms + segment.length_ms * number // len(sides)
        name = context.phrases.side(side)
        yield context.cue(
            cuekinds.SIDE_CHANGE,
            segment,
            context.phrases.variants("side change", side=name),
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
    if after.movement and after.movement.between_sides:
        yield _between_sides(context, after, after.movement.between_sides)


def _between_sides(context: WritingContext, after: Segment, way: str) -> Cue:
    """Return how one gets to the second side, said once it was named."""
    from_ms = context.words_from_ms(after)
    until_ms = max(from_ms, context.words_until_ms(after))
    return context.cue(
        cuekinds.SIDE_CHANGE,
        after,
        context.phrases.variants("form", point=sentence(way)),
        window=(from_ms, until_ms),
        essential=after.length_ms >= SHORT_SIDE_MS,
        wanted_ms=min(from_ms + BETWEEN_SIDES_MS, until_ms),
    )


def _where_we_are(context: WritingContext, segment: Segment) -> Iterator[Cue]:
    """Yield where a work stands in its round, said as it gets going."""
    first_side = segment.movement is None or segment.side in (
        None,
        *segment.movement.sides[:1],
    )
    if not context.coaches_in(segment) or not first_side:
        return
    words = _place_in_round(context, segment)
    from_ms = context.words_from_ms(segment)
    if words:
        yield context.cue(
            cuekinds.WHERE_WE_ARE,
            segment,
            words,
            window=(
                from_ms,
                max(
                    from_ms,
                    min(segment.start_ms + 12_000, context.words_until_ms(segment)),
                ),
            ),
            wanted_ms=from_ms + 1_500,
        )


def _place_in_round(context: WritingContext, segment: Segment) -> tuple[Wordings, ...]:
    phrases = context.phrases
    position, count = segment.position or 0, segment.position_count or 0
    if count < 2 or position < 2:
        return ()
    if position == count:
        if segment.round == segment.round_count and not _more_rounds(context, segment):
            return phrases.variants("where last of all")
        following = next(
            (
                later
                for later in context.segments[context.index[segment.id] :]
                if later.activity != segment.activity
            ),
            None,
        )
        if following is not None and following.kind is SegmentKind.RECOVERY:
            return phrases.variants("where last before recovery")
        return phrases.variants("where last")
    ordinal = phrases.ordinal(position)
    if ordinal is None:
        return ()
    return phrases.variants("where", ordinal=ordinal, count=phrases.number(count))


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
        wanted_ms=segment.start_ms + segment.length_ms // 3,
    )
