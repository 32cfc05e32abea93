"""How a movement is introduced before it starts: what to mind, its name, and how.

Who hears a movement for the first time is told all of it before any other coaching:
its caution, then its name and how it is done. In a rest that follows the word to
rest; in an opening or recovery it comes shortly before the count; between movements
that follow each other at once, at the end of the one before. What fits is reckoned by
the estimated length of the words. Where a rest holds not even the name, the
movement is named before that rest; where the how does not fit in full it is told as
the movement starts, and so is a caution without room. A movement that is known gets
its name and a reminder.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from cuetrack import cuekinds
from cuetrack.cues.model import MOVING, Cue, Segment, SegmentKind
from cuetrack.cues.writing.cautions import (
    SLACK_MS,
    caution_again,
    caution_at_start,
    caution_first,
)
from cuetrack.cues.writing.context import TransitionKind
from cuetrack.cues.writing.equipment import changes_hands
from cuetrack.languages.phrases import sentence

if TYPE_CHECKING:
    from collections.abc import Iterator

    from cuetrack.cues.writing.context import Transition, WritingContext
    from cuetrack.languages.phrases import Wordings
    from cuetrack.plan.model import Movement

REST_PREVIEW_MS = 2_800
"""In a rest the stop and its words come first."""

FEET_WORDS_MS = 2_000
"""To be told to keep the feet moving, in the fewest words."""

HANDS_MS = 3_000
"""The shortest words for equipment that changes hands in the same rest or opening."""

STOP_MS = 1_500
STOPPED_MS = 2_000
"""The word to rest, before anything else is said in an opening, or in a rest."""

ANNOUNCED_MS = 2_000
"""The shortest announcement of a section, before its first movement."""

PASSING_MS = 8_000
"""A movement is announced at least this time before it takes over."""

SETTLE_MS = 3_500
"""Nothing of the next movement is told this soon after the start of another."""

STARTING_MS = 15_000
"""What had no room before a movement is told within this time of its start."""

PREVIEW_FIRST_PRIORITY = 95
"""All other words give way to how a movement is done that nobody knows yet."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Introduction:
    """Where and when a movement is told of before it starts, and how much of it.

    ``passing`` is whether another movement is done meanwhile; ``caution`` what to mind,
    as far as there is room for it; ``whole`` whether there is room for all of the how,
    and ``roomy`` whether for the word to keep the feet moving, too.
    """

    after: Segment
    place: Segment
    from_ms: int
    until_ms: int
    wanted_ms: int
    passing: bool
    caution: tuple[Wordings, ...]
    whole: bool
    roomy: bool


def movement_fields(context: WritingContext, movement: Movement) -> dict[str, str]:
    """Return what fills the phrases that tell of a movement."""
    fields = {
        "movement": movement.name,
        "side_first": "",
        "meanwhile": "",
        "how": sentence(movement.told),
        "how_short": sentence(movement.told_short),
        "set_up": sentence(movement.set_up or "") if movement.is_set_up else "",
    }
    if movement.sides:
        first = movement.sides[0]
        for key in ("how", "how_short", "set_up"):
            fields[key] = context.phrases.of_side(fields[key], first)
        side = context.phrases.side(first)
        fields["side_first"] = sentence(context.phrases.piece("side first", side=side))
    return fields


def introduction_of(
    context: WritingContext, transition: Transition
) -> Introduction | None:
    """Return how the movement is introduced that a transition leads to."""
    before, after = transition.before, transition.after
    if before is None or after is None or after.movement is None:
        return None
    if transition.kind is TransitionKind.CHANGE:
        return _introduction(context, before, after)
    if transition.kind is not TransitionKind.START:
        return None
    earlier = context.before(before)
    least_ms = context.longest_ms(introduction_words(context, after, before), -1)
    if context.is_new(after):
        least_ms += context.longest_ms(caution_first(context, after), -1)
    free_ms = context.words_until_ms(before) - _first_ms(context, before, after)
    if free_ms < least_ms and earlier is not None and earlier.kind in MOVING:
        return _introduction(context, earlier, after)
    return _introduction(context, before, after)


def _introduction(
    context: WritingContext, place: Segment, after: Segment
) -> Introduction:
    passing = place.kind in MOVING
    first_ms, until_ms = (
        _first_ms(context, place, after),
        context.words_until_ms(place),
    )
    words = introduction_words(context, after, place)
    free_ms = until_ms - first_ms
    needs_ms = context.longest_ms(words)
    named = _is_stopped_by_name(context, after, place)
    if context.is_new(after):
        said = caution_first(context, after, passing=passing, named=named)
        least_ms = context.longest_ms(said, -1) + context.longest_ms(words, -1)
        caution = said if free_ms >= least_ms else ()
    elif place.kind in (SegmentKind.REST, SegmentKind.RECOVERY):
        caution = caution_again(context, after, words, free_ms, named=named)
    else:
        caution = ()
    needs_ms += context.longest_ms(caution, -1)
    from_ms = min(context.words_from_ms(place), until_ms)
    wanted_ms = max(first_ms, until_ms - needs_ms - SLACK_MS)
    if passing:
        leads_ms = max(needs_ms + 2 * SLACK_MS, PASSING_MS)
        from_ms = max(from_ms, min(place.end_ms - leads_ms, until_ms))
    elif place.kind is SegmentKind.REST:
        wanted_ms = first_ms
    elif context.before(place) is None:
        # Safety comes first, all of it.
        wanted_ms = from_ms + (until_ms - from_ms) * 9 // 10
    return Introduction(
        after=after,
        place=place,
        from_ms=from_ms,
        until_ms=until_ms,
        wanted_ms=min(max(from_ms, wanted_ms), until_ms),
        passing=passing,
        caution=caution,
        whole=free_ms >= needs_ms,
        roomy=free_ms >= needs_ms + FEET_WORDS_MS,
    )


def _first_ms(context: WritingContext, place: Segment, after: Segment) -> int:
    """Return when people can listen to what comes, after all that goes before."""
    from_ms, before = context.words_from_ms(place), context.before(place)
    if place.kind in MOVING:
        return from_ms + SETTLE_MS
    hands_ms = HANDS_MS if changes_hands(place, before, after) else 0
    if before is not None and before.movement:
        hands_ms += context.saying_ms(before.movement.afterwards or "")
    if place.kind is SegmentKind.REST:
        return place.start_ms + STOPPED_MS + hands_ms
    if place.kind is SegmentKind.RECOVERY:
        return place.start_ms + min(place.length_ms * 2 // 5, 40_000)
    if before is None:
        return from_ms + place.length_ms * 2 // 5
    stop_ms = STOP_MS if before.kind in MOVING else 0
    return from_ms + stop_ms + ANNOUNCED_MS + hands_ms


def is_told_late(context: WritingContext, transition: Transition) -> bool:
    """Return whether how a movement is done is told only where it should start."""
    told, after = introduction_of(context, transition), transition.after
    if told is None or after is None or told.whole or not context.is_new(after):
        return False
    return context.coaches_in(after) and bool(after.movement and after.movement.how)


def introduction_words(
    context: WritingContext, after: Segment, place: Segment
) -> tuple[Wordings, ...]:
    """Return what tells of a movement in the segment before it, or one before that."""
    if after.movement is None:
        return ()
    key = f"preview {'in passing ' if place.kind in MOVING else ''}"
    key += "first" if context.is_new(after) else "again"
    if not context.coaches_in(after):
        key = "preview brief"
    fields = movement_fields(context, after.movement)
    fields["meanwhile"] = _meanwhile(context, after, place)
    return context.phrases.variants(key, **fields)


def _meanwhile(context: WritingContext, after: Segment, place: Segment) -> str:
    """Return what people do while they are told what comes: go on, or stop first."""
    if not context.coaches_in(after):
        return ""
    if place.kind in MOVING:
        key = "keep holding" if context.is_held(place) else "keep moving"
        until_tone = context.is_held(place) and context.has_tones
        return context.phrases.piece("hold until tone" if until_tone else key)
    if _is_stopped_by_name(context, after, place):
        return context.phrases.piece("end of recovery")
    return ""


def _is_stopped_by_name(
    context: WritingContext, after: Segment, place: Segment
) -> bool:
    """Return whether an easy movement ends where the next is named.

    What to mind in the next is told after that: before, it would be done at once. To
    pick something up is to stop already.
    """
    stops = place.kind is SegmentKind.RECOVERY and place.movement is not None
    takes = after.movement is not None and after.movement.equipment is not None
    return stops and not takes and context.coaches_in(after)


def introduction_ms(context: WritingContext, after: Segment, place: Segment) -> int:
    """Return about how long a known movement is told of in the rest before it."""
    needs_ms = context.longest_ms(introduction_words(context, after, place))
    told = introduction_of(context, context.transition_to(after))
    if told is not None:
        needs_ms += context.longest_ms(told.caution)
    return needs_ms


def introduction_cues(context: WritingContext) -> tuple[Cue, ...]:
    """Return what tells people what to do next, for every movement of the class."""
    cues: list[Cue] = []
    for transition in context.transitions:
        if transition.kind in (TransitionKind.STOP, TransitionKind.SIDE):
            continue
        if told := introduction_of(context, transition):
            cues += _before_start(context, told)
            cues += _at_start(context, told)
        elif transition.after is not None:
            cues += _without_before(context, transition.after)
    return tuple(cues)


def _before_start(context: WritingContext, told: Introduction) -> Iterator[Cue]:
    named = _is_stopped_by_name(context, told.after, told.place)
    if not named:
        yield from _told_caution(context, told)
    yield _told_name(context, told)
    if named:
        yield from _told_caution(context, told)


def _told_caution(context: WritingContext, told: Introduction) -> Iterator[Cue]:
    if told.caution:
        yield context.cue(
            cuekinds.CAUTION,
            told.place,
            told.caution,
            window=(told.from_ms, told.until_ms),
            essential=context.is_new(told.after),
            wanted_ms=told.wanted_ms,
            shared=False,
        )


def _told_name(context: WritingContext, told: Introduction) -> Cue:
    words = introduction_words(context, told.after, told.place)
    if context.is_new(told.after) and not told.whole:
        words = _cut_words(context, told, words)
    return context.cue(
        cuekinds.PREVIEW,
        told.place,
        words,
        window=(told.from_ms, told.until_ms),
        wanted_ms=told.wanted_ms,
        priority=PREVIEW_FIRST_PRIORITY if context.is_new(told.after) else None,
        shared=False,
    )


def _cut_words(
    context: WritingContext, told: Introduction, words: tuple[Wordings, ...]
) -> tuple[Wordings, ...]:
    """Return the words for a movement of which not all can be told before it.

    What is told only after the tone starts with a word, and people are told to wait.
    """
    movement = told.after.movement
    waits = context.coaches_in(told.after) and context.has_tones
    if movement and movement.how and waits and not told.passing:
        fields = movement_fields(context, movement)
        fields["meanwhile"] = _meanwhile(context, told.after, told.place)
        return context.phrases.variants("preview late", **fields)
    return tuple(each[1:] or each for each in words)


def _at_start(context: WritingContext, told: Introduction) -> Iterator[Cue]:
    """Yield what had no room before the start, in a movement that is new."""
    after = told.after
    if not context.is_new(after) or after.movement is None:
        return
    if after.movement.caution and not told.caution:
        yield caution_at_start(context, after, after.movement.caution)
    if after.movement.how and not told.whole and context.coaches_in(after):
        yield _explanation(context, told, after.movement)


def _explanation(
    context: WritingContext, told: Introduction, movement: Movement
) -> Cue:
    """Return how a movement is done, told in it, after the way out of the one before.

    Where it fits it is never left out: nobody could start without it.
    """
    after = told.after
    words = context.phrases.variants(
        "explanation", how=movement_fields(context, movement)["how"]
    )
    last_ms = context.words_until_ms(after)
    from_ms = min(context.words_from_ms(after), last_ms)
    needs_ms = context.longest_ms(words) * 5 // 4
    if told.passing and (left := told.place.movement):
        needs_ms += context.saying_ms(f"{left.afterwards or ''} {movement.name}")
    until_ms = min(last_ms, max(after.start_ms + STARTING_MS, from_ms + needs_ms))
    return context.cue(
        cuekinds.EXPLANATION,
        after,
        words,
        window=(from_ms, until_ms),
        wanted_ms=min(from_ms + SLACK_MS, until_ms),
        essential=until_ms - from_ms >= needs_ms,
    )


def _without_before(context: WritingContext, after: Segment) -> Iterator[Cue]:
    """Yield the introduction of a class that starts with a movement, in it."""
    if after.movement is None:
        return
    if after.movement.caution:
        yield caution_at_start(context, after, after.movement.caution)
    fields = movement_fields(context, after.movement)
    from_ms = context.words_from_ms(after)
    yield context.cue(
        cuekinds.PREVIEW,
        after,
        context.phrases.variants("preview now", **fields),
        window=(from_ms, context.words_until_ms(after)),
        wanted_ms=from_ms,
    )
