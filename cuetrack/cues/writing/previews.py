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
from typing import TYPE_CHECKING

from cuetrack import cuekinds
from cuetrack.cues.model import Segment, SegmentKind
from cuetrack.cues.writing.drafts import MOVING, ChangeKind, Draft
from cuetrack.cues.writing.equipment import changes_hands
from cuetrack.languages.phrases import inline, sentence

if TYPE_CHECKING:
    from collections.abc import Iterator

    from cuetrack.cues.writing.drafts import Border, WritingContext
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


def preview_drafts(scene: WritingContext) -> tuple[Draft, ...]:
    """Return what tells people what to do next, for every movement of the class."""
    drafts: list[Draft] = []
    for change in scene.changes:
        if change.kind is ChangeKind.SIDE:
            drafts += _side_soon(scene, change)
        elif change.kind is not ChangeKind.STOP and change.after is not None:
            preview = _preview(scene, change, change.after)
            drafts.append(replace(preview, about=change.after.id))
    for segment in scene.segments:
        if segment.kind is SegmentKind.RECOVERY:
            drafts.append(_recovery_preview(scene, segment))
            drafts += _recovery_sides(scene, segment)
            drafts += _rounds_left(scene, segment)
        elif segment.kind is SegmentKind.WORK:
            drafts += _where_we_are(scene, segment)
    return tuple(drafts)


def _fields(scene: WritingContext, movement: Movement) -> dict[str, str]:
    phrases = scene.phrases
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
    scene: WritingContext, after: Segment, *, passing: bool
) -> tuple[Wordings, ...]:
    """Return what tells of a movement, while another is done if ``passing``."""
    if after.movement is None:
        return ()
    again = scene.visits[after.activity] > 0
    key = f"preview {'in passing ' if passing else ''}{'again' if again else 'first'}"
    if not scene.spoken_coaching:
        key = "preview brief"
    return scene.phrases.variants(key, **_fields(scene, after.movement))


def _preview(scene: WritingContext, change: Border, after: Segment) -> Draft:
    before = change.before
    if before is None:
        return _preview_now(scene, after)
    if change.kind is ChangeKind.CHANGE:
        return _in_passing(scene, before, after)
    from_ms, until_ms = scene.words_from_ms(before), scene.words_until_ms(before)
    words = preview_words(scene, after, passing=False)
    resting = before.kind is SegmentKind.REST
    first_ms = before.start_ms + REST_PREVIEW_MS if resting else from_ms
    earlier = scene.before(before)
    if until_ms - first_ms < _least_ms(words) and earlier and earlier.kind in MOVING:
        return _in_passing(scene, earlier, after)
    if resting and changes_hands(before, earlier, after):
        wanted_ms = min(first_ms + AFTER_HANDS_MS, until_ms)
        return _draft(before, words, window=(from_ms, until_ms), wanted_ms=wanted_ms)
    if resting:
        return _draft(before, words, window=(from_ms, until_ms), anchor_ms=first_ms)
    if before.kind is SegmentKind.RECOVERY:
        from_ms = before.start_ms + min(before.length_ms * 2 // 5, 40_000)
    wanted_ms = max(from_ms + (until_ms - from_ms) * 2 // 5, before.end_ms - 16_000)
    if earlier is None and before.kind is SegmentKind.OPENING:
        # Safety comes first, all of it.
        wanted_ms = max(wanted_ms, from_ms + (until_ms - from_ms) * 9 // 10)
    return _draft(before, words, window=(from_ms, until_ms), wanted_ms=wanted_ms)


def _least_ms(variants: tuple[Wordings, ...]) -> int:
    """Return the time the longest of the shortest wordings may need."""
    words = max((len(variant[-1].split()) for variant in variants), default=0)
    return 300 + SLOW_WORD_MS * words


def _preview_now(scene: WritingContext, after: Segment) -> Draft:
    """Return the preview of a class that starts with a movement, said in it."""
    movement = after.movement
    fields = _fields(scene, movement) if movement else {}
    from_ms = scene.words_from_ms(after)
    return _draft(
        after,
        scene.phrases.variants("preview now", **fields),
        window=(from_ms, scene.words_until_ms(after)),
        wanted_ms=from_ms,
    )


def _in_passing(scene: WritingContext, before: Segment, after: Segment) -> Draft:
    """Return the preview of a movement said while another is being done."""
    until_ms = scene.words_until_ms(before)
    first_ms = scene.words_from_ms(before)
    from_ms = min(max(first_ms, before.end_ms - PASSING_MS), until_ms)
    if until_ms - from_ms < PASSING_MS - 1_000:
        from_ms = max(first_ms, from_ms - 3_000)
    return _draft(
        before,
        preview_words(scene, after, passing=True),
        window=(from_ms, until_ms),
        wanted_ms=max(from_ms, until_ms - 8_000),
    )


def _draft(
    segment: Segment,
    words: tuple[Wordings, ...],
    *,
    window: tuple[int, int],
    wanted_ms: int | None = None,
    anchor_ms: int | None = None,
) -> Draft:
    return Draft(
        kind=cuekinds.PREVIEW,
        segment=segment,
        window_start_ms=window[0],
        window_end_ms=window[1],
        candidates=words,
        essential=True,
        wanted_ms=wanted_ms,
        anchor_ms=anchor_ms,
    )


def _recovery_preview(scene: WritingContext, segment: Segment) -> Draft:
    """Return what to do in the recovery break, said as it starts."""
    fields = _fields(scene, segment.movement) if segment.movement else {}
    length = scene.phrases.length(segment.length_ms)
    from_ms = scene.words_from_ms(segment)
    return _draft(
        segment,
        scene.phrases.variants("preview recovery", **fields, length=length),
        window=(from_ms, segment.start_ms + max(6_000, segment.length_ms // 2)),
        anchor_ms=segment.start_ms + REST_PREVIEW_MS,
    )


def _recovery_sides(scene: WritingContext, segment: Segment) -> Iterator[Draft]:
    """Yield each change of side in a recovery break, at equal times."""
    sides = segment.movement.sides if segment.movement else ()
    for number, side in enumerate(sides[1:], start=1):
        due_ms = segment.start_ms + segment.length_ms * number // len(sides)
        name = scene.phrases.side(side)
        yield Draft(
            kind=cuekinds.SIDE_CHANGE,
            segment=segment,
            window_start_ms=due_ms - 1_000,
            window_end_ms=min(due_ms + 6_000, scene.words_until_ms(segment)),
            candidates=scene.phrases.variants("side change", side=name),
            wanted_ms=due_ms,
        )


def _side_soon(scene: WritingContext, change: Border) -> Iterator[Draft]:
    """Yield the announcement of the other side, done 3 s before the change."""
    before, after = change.before, change.after
    if before is None or after is None or after.side is None:
        return
    earliest_ms, wanted_ms, done_ms = SIDE_SOON_MS
    until_ms = scene.words_until_ms(before)
    if before.length_ms >= SHORT_SIDE_MS:
        until_ms = min(until_ms, change.at_ms - done_ms)
    from_ms = max(scene.words_from_ms(before), change.at_ms - earliest_ms)
    yield Draft(
        kind=cuekinds.SIDE_CHANGE,
        segment=before,
        window_start_ms=min(from_ms, until_ms),
        window_end_ms=until_ms,
        candidates=scene.phrases.variants(
            "side change soon", side=scene.phrases.side(after.side)
        ),
        essential=True,
        wanted_ms=max(from_ms, change.at_ms - wanted_ms),
    )


def _where_we_are(scene: WritingContext, segment: Segment) -> Iterator[Draft]:
    """Yield where a work stands in its round, said as it gets going."""
    first_side = segment.movement is None or segment.side in (
        None,
        *segment.movement.sides[:1],
    )
    if not scene.spoken_coaching or not first_side:
        return
    words = _place_in_round(scene, segment)
    from_ms = scene.words_from_ms(segment)
    if words:
        yield Draft(
            kind=cuekinds.WHERE_WE_ARE,
            segment=segment,
            window_start_ms=from_ms,
            window_end_ms=max(
                from_ms, min(segment.start_ms + 12_000, scene.words_until_ms(segment))
            ),
            candidates=words,
            wanted_ms=from_ms + 1_500,
        )


def _place_in_round(scene: WritingContext, segment: Segment) -> tuple[Wordings, ...]:
    phrases = scene.phrases
    position, count = segment.position or 0, segment.position_count or 0
    if count < 2 or position < 2:
        return ()
    if position == count:
        if segment.round == segment.round_count and not _more_rounds(scene, segment):
            return phrases.variants("where last of all")
        following = next(
            (
                later
                for later in scene.segments[scene.index[segment.id] :]
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


def _more_rounds(scene: WritingContext, segment: Segment) -> bool:
    """Return whether another intervals section follows that of a segment."""
    later = scene.plan.sections[segment.section + 1 :]
    return any(section.intervals is not None for section in later)


def _rounds_left(scene: WritingContext, segment: Segment) -> Iterator[Draft]:
    """Yield how many rounds are still to come, said in the recovery."""
    left = (segment.round_count or 0) - (segment.round or 0)
    if left < 1 or not scene.spoken_coaching:
        return
    words = scene.phrases.variants("where one round left")
    if left > 1:
        rounds = scene.phrases.counted("round", left)
        words = scene.phrases.variants("where rounds left", rounds=rounds)
    until_ms = scene.words_until_ms(segment)
    from_ms = min(segment.start_ms + 5_000, until_ms)
    yield Draft(
        kind=cuekinds.WHERE_WE_ARE,
        segment=segment,
        window_start_ms=from_ms,
        window_end_ms=until_ms,
        candidates=words,
        wanted_ms=segment.start_ms + segment.length_ms // 3,
    )
