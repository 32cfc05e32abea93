"""Equipment: picked up in good time, put down before anything that needs free hands.

A pick-up cue has ended ``PICK_UP_LEAD_MS`` before the movement that needs it:
reaching, lifting and sitting tall again take that long. It is said in the rest,
opening or recovery before the movement where that leaves time for the preview
too, else earlier: during the movement before, with words that say when. It is
put down as soon as the next movement does without, and always before a stretch,
a cool-down, a recovery break or the close. It lies on a chair or table in reach:
never on a lap that moves, nor on the floor, where people would have to bend low.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from cuetrack import cuekinds
from cuetrack.cues.model import MOVING, Cue, Segment, SegmentKind
from cuetrack.cues.timeline import activities

if TYPE_CHECKING:
    from collections.abc import Iterator

    from cuetrack.cues.writing.context import WritingContext

PICK_UP_LEAD_MS = 10_000
TOLD_LEAD_MS = 22_000
RECOVERY_WORDS_MS = 18_000
"""In a recovery it is in people's hands before they hear what comes next, and where
that goes, but after what tells of the recovery itself."""
TAKING_MS = 5_000
PICK_UP_NEEDS_MS = 3_000
"""A window shorter than this cannot be trusted to hold the words."""

ESSENTIAL_FROM_MS = 7_000
"""In so long a pause the words always find room, and are never left out."""

REST_NEEDS_MS = 20_000
"""A shorter rest holds its preview, or the equipment, but not both."""

SWAP_NEEDS_MS = 5_000
"""A rest needs this much more where something else is put down first."""

_AFTER_WORDS_MS = {SegmentKind.REST: 1_000, SegmentKind.OPENING: 2_000}
"""It is picked up after the word to rest, or what announces the section."""

REST_PUT_DOWN_MS = 14_000
"""In a shorter pause the preview leaves no time to say it: it is said before."""

PUT_DOWN_MS = 16_000
"""Between movements without a rest, equipment is put down within this time."""

IN_PASSING_MS = 8_000
"""While people move, they are told to pick it up this long before they must know."""


def equipment_cues(context: WritingContext) -> tuple[Cue, ...]:
    """Return a cue for each time equipment is picked up or put down."""
    cues: list[Cue] = []
    held: str | None = None
    for parts in activities(context.segments):
        first = parts[0]
        needed = _needed(first, held)
        if needed != held:
            if held is not None:
                cues.append(_put_down(context, first, held))
            if needed is not None:
                cues += _pick_up(context, first, needed, swap=held is not None)
        held = needed
    return tuple(cues)


def _needed(segment: Segment, held: str | None) -> str | None:
    """Return what is in people's hands during a segment."""
    if segment.movement is not None and segment.kind in MOVING:
        return segment.movement.equipment
    if segment.kind is SegmentKind.REST:
        following = segment.next_movement
        stays = following is not None and following.equipment == held
        return held if stays else None
    return None


def changes_hands(rest: Segment, before: Segment | None, after: Segment) -> bool:
    """Return whether anything is put down or picked up in the rest between two."""
    held = before.movement.equipment if before and before.movement else None
    needed = after.movement.equipment if after.movement else None
    if held == needed or rest.kind is not SegmentKind.REST:
        return held != needed
    if held is not None:
        return rest.length_ms >= REST_PUT_DOWN_MS
    return rest.length_ms >= REST_NEEDS_MS


def _put_down(context: WritingContext, segment: Segment, equipment: str) -> Cue:
    """Return the cue to put it down: in the segment that does without, or before."""
    before = context.before(segment)
    from_ms, until_ms = context.words_from_ms(segment), context.words_until_ms(segment)
    wanted_ms = from_ms + 4_000
    key = "equipment put down"
    pauses = (SegmentKind.REST, SegmentKind.OPENING)
    short = segment.kind in pauses and segment.length_ms < REST_PUT_DOWN_MS
    if before is not None and (segment.kind in MOVING or short):
        key = "equipment put down later" if short else key
        until_ms = context.words_until_ms(before)
        from_ms = max(context.words_from_ms(before), before.end_ms - PUT_DOWN_MS)
        wanted_ms = max(from_ms, until_ms - 4_000)
        segment = before
    elif segment.kind in (*pauses, SegmentKind.CLOSE):
        wanted_ms = from_ms + 1_000
    elif segment.kind is SegmentKind.RECOVERY:
        # Before the word to march: nobody marches on a band, or with full hands.
        wanted_ms = from_ms
    words = context.phrases.variants(key, equipment=_bare(context, equipment))
    return context.cue(
        cuekinds.EQUIPMENT,
        segment,
        words,
        window=(from_ms, max(from_ms, until_ms)),
        essential=_never_left_out(segment, until_ms - from_ms),
        wanted_ms=wanted_ms,
        shared=False,
    )


def _never_left_out(place: Segment, room_ms: int) -> bool:
    return place.kind not in MOVING and room_ms >= ESSENTIAL_FROM_MS


def _pick_up(
    context: WritingContext, segment: Segment, equipment: str, *, swap: bool
) -> Iterator[Cue]:
    """Yield the cue in the nearest segment before that gives enough time."""
    place = context.before(segment)
    while place is not None:
        from_ms = context.words_from_ms(place)
        until_ms = _by_ms(context, segment, place)
        needs_ms = REST_NEEDS_MS + (SWAP_NEEDS_MS if swap else 0)
        tight = place.kind is SegmentKind.REST and place.length_ms < needs_ms
        if until_ms - from_ms >= PICK_UP_NEEDS_MS and not tight:
            break
        place = context.before(place)
    else:
        return
    wanted_ms = max(from_ms, until_ms - TAKING_MS)
    if place.kind in MOVING:
        from_ms = wanted_ms = max(from_ms, until_ms - IN_PASSING_MS)
    if place.kind in (SegmentKind.REST, SegmentKind.OPENING):
        wanted_ms = min(from_ms + _AFTER_WORDS_MS[place.kind], until_ms)
    key = _pick_up_key(place, segment)
    words = context.phrases.variants(
        key,
        equipment=_bare(context, equipment),
        meanwhile=word_to_stop(context, place),
    )
    yield context.cue(
        cuekinds.EQUIPMENT,
        place,
        words,
        window=(from_ms, max(from_ms, until_ms)),
        essential=_never_left_out(place, until_ms - from_ms),
        wanted_ms=wanted_ms,
        shared=False,
    )


def _by_ms(context: WritingContext, segment: Segment, place: Segment) -> int:
    """Return when it is told to take what a segment needs, in one before it."""
    due_ms = segment.start_ms - PICK_UP_LEAD_MS
    until_ms = min(due_ms, context.words_until_ms(place))
    if place.kind is not SegmentKind.RECOVERY or segment.movement is None:
        return until_ms
    movement = segment.movement
    put_ms = context.saying_ms(movement.set_up or "") if movement.is_set_up else 0
    soon_ms = segment.start_ms - TOLD_LEAD_MS - put_ms
    least_ms = context.words_from_ms(place) + RECOVERY_WORDS_MS
    return min(until_ms, max(soon_ms, least_ms))


def taken_in_recovery_ms(context: WritingContext, recovery: Segment) -> int:
    """Return when a recovery stops for what the next movement needs, or its end."""
    after = context.after(recovery)
    if after is None or after.movement is None or after.movement.equipment is None:
        return recovery.end_ms
    return _by_ms(context, after, recovery) - TAKING_MS


def _pick_up_key(place: Segment, needed_in: Segment) -> str:
    if place.kind not in MOVING:
        return "equipment pick up"
    direct = place.end_ms == needed_in.start_ms
    return "equipment pick up in passing" if direct else "equipment pick up later"


def word_to_stop(context: WritingContext, place: Segment | None) -> str:
    """Return the word to stop, where people still move for their recovery."""
    if place is None:
        return ""
    moves = place.kind is SegmentKind.RECOVERY and place.movement is not None
    return context.phrases.piece("end of recovery") if moves else ""


def _bare(context: WritingContext, equipment: str) -> str:
    return context.phrases.without_article(equipment)


def all_equipment(context: WritingContext) -> tuple[str, ...]:
    """Return each piece of equipment the class needs, once, in order of use."""
    found = [
        segment.movement.equipment
        for segment in context.segments
        if segment.movement is not None and segment.movement.equipment
    ]
    return tuple(dict.fromkeys(found))
