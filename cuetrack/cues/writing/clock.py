"""The clock in words and tones: counts, starts, changes and stops.

Counting in voice and tones
    Words count 3-2-1 on their beats, a tone marks the instant, and words follow
    the tone: what begins, which side, or that it is time to rest.
Counting in voice
    The same count, and a word whose beat is the instant itself.
Counting in tones
    Ticks in place of the count, a tone on the instant, and no words that only
    tell the clock. The other side is still named.

A tone at a transition says what comes: start, stop, or the other side. A movement that
follows another at once needs no count in a plain section; it is announced while the
other is still being done, and named as it starts. Nothing starts before its explanation
is over: one that had no room before is told first, and then the word to start.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from cuetrack import cuekinds
from cuetrack.cues.model import MOVING, AnchorPoint, SegmentKind, ToneCue
from cuetrack.cues.tonekinds import TONES, ToneKind
from cuetrack.cues.writing.context import (
    AROUND_BEAT_MS,
    CLEAR_OF_COUNT_MS,
    COUNT_MS,
    SIDE_WORDS_FROM_MS,
    START_WORDS_FROM_MS,
    STOP_WORDS_FROM_MS,
    CuesAndTones,
    TransitionKind,
    is_counted_out,
)
from cuetrack.cues.writing.introductions import introduction_ms, is_told_late
from cuetrack.languages.phrases import sentence
from cuetrack.plan.model import Counting
from cuetrack.plan.on_foot import is_on_foot

if TYPE_CHECKING:
    from cuetrack.cuekinds import CueKind
    from cuetrack.cues.model import Cue, Segment
    from cuetrack.cues.writing.context import Transition, WritingContext
    from cuetrack.languages.phrases import Wordings
    from cuetrack.plan.model import Movement

SETTLE_MS = 1_000
"""A count word comes no sooner than this after the segment's start."""

STOP_WORDS_NEED_MS = 6_000
"""A rest shorter than this has no time for words after the stop tone."""

SPOKEN_CHANGE_MS = 15_000
"""Where no rest leads to a movement of this length, its start is always spoken."""

AFTER_TONE_BY_MS = 8_000

STARTING_MS = 1_000
"""The words to start themselves, such as "now", and the pauses beside them."""

INTO_POSITION_BY_MS = 13_000
"""The words that follow a tone are over this long after it; more where they tell how
one gets into another position, or out of one."""

WORDS_AFTER_TONE_PRIORITY = 65
"""They may be left out before a call of the clock: the tone has told as much."""


def clock_cues(context: WritingContext) -> CuesAndTones:
    """Return every count and mark of the class."""
    parts = [_transition(context, transition) for transition in context.transitions]
    return CuesAndTones(
        cues=tuple(cue for part in parts for cue in part.cues),
        tones=tuple(tone for part in parts for tone in part.tones),
    )


def _transition(context: WritingContext, transition: Transition) -> CuesAndTones:
    """Return the count that leads to a transition and what marks it."""
    count = _count(context, transition)
    mark = _MARKS[transition.kind](context, transition)
    return CuesAndTones(
        cues=count.cues + (mark if context.spoken_clock else ()),
        tones=count.tones + _tone(context, transition),
    )


def _count(context: WritingContext, transition: Transition) -> CuesAndTones:
    before = transition.before
    if before is None or transition.after is None:
        return CuesAndTones()
    counting_in = transition.kind is TransitionKind.START
    if not (counting_in or is_counted_out(before)):
        return CuesAndTones()
    beats_ms = [
        transition.at_ms - left_ms
        for left_ms in range(COUNT_MS, 0, -1000)
        if transition.at_ms - left_ms >= before.start_ms + SETTLE_MS
    ]
    if context.plan.counting is Counting.TONES:
        ticks = [tone_at(ToneKind.TICK, before, beat_ms) for beat_ms in beats_ms]
        return CuesAndTones(tones=tuple(ticks))
    words = context.phrases.counts[len(context.phrases.counts) - len(beats_ms) :]
    kind = cuekinds.COUNT_IN if counting_in else cuekinds.COUNTDOWN
    return CuesAndTones(
        cues=tuple(
            context.cue(
                kind,
                before,
                ((word,),),
                window=(
                    max(before.start_ms, beat_ms - AROUND_BEAT_MS[0]),
                    min(transition.at_ms, beat_ms + 950),
                ),
                anchor_ms=beat_ms,
                anchor_point=AnchorPoint.BEAT,
            )
            for word, beat_ms in zip(words, beats_ms, strict=True)
        )
    )


_TONES = {
    TransitionKind.START: ToneKind.START,
    TransitionKind.CHANGE: ToneKind.START,
    TransitionKind.SIDE: ToneKind.SIDE,
    TransitionKind.STOP: ToneKind.STOP,
}


def _tone(context: WritingContext, transition: Transition) -> tuple[ToneCue, ...]:
    if not context.has_tones:
        return ()
    kind = _TONES[transition.kind]
    if transition.after is not None:
        return (tone_at(kind, transition.after, transition.at_ms),)
    # Nothing follows the end of the class, so its tone ends with it.
    start_ms = transition.at_ms - TONES[kind].length_ms
    return (tone_at(kind, transition.before, start_ms),) if transition.before else ()


def tone_at(kind: ToneKind, segment: Segment, start_ms: int) -> ToneCue:
    """Return a tone of a segment that starts at an instant."""
    return ToneCue(
        kind=kind,
        segment=segment.id,
        start_ms=start_ms,
        length_ms=TONES[kind].length_ms,
    )


def _start_mark(context: WritingContext, transition: Transition) -> tuple[Cue, ...]:
    after = transition.after
    if after is None or after.movement is None:
        return ()
    name = after.movement.name
    if not context.has_tones:
        return (
            _word(context, transition, cuekinds.START, "start word", movement=name),
        )
    if not context.coaches_in(after):
        return ()
    if is_told_late(context, transition):
        # Its explanation ends with the word to start.
        return ()
    words = context.phrases.variants("start", **_starting(context, after))
    return (
        _after_tone(
            context,
            transition,
            after,
            cuekinds.START,
            words,
            from_ms=START_WORDS_FROM_MS,
        ),
    )


def _change_mark(context: WritingContext, transition: Transition) -> tuple[Cue, ...]:
    before, after = transition.before, transition.after
    if before is None or after is None or after.movement is None:
        return ()
    name = after.movement.name
    if not context.has_tones:
        return (
            _word(context, transition, cuekinds.START, "change word", movement=name),
        )
    if not context.coaches_in(after):
        return ()
    let_go = _let_go(context, before, after)
    fields = _starting(context, after, let_go) | {"let_go": let_go}
    words = context.phrases.variants("change", **fields)
    cue = _after_tone(
        context,
        transition,
        after,
        cuekinds.START,
        words,
        from_ms=START_WORDS_FROM_MS,
        by_ms=INTO_POSITION_BY_MS if context.is_held(after) else AFTER_TONE_BY_MS,
        essential=after.length_ms >= SPOKEN_CHANGE_MS,
    )
    return (cue,)


def _starting(
    context: WritingContext, after: Segment, let_go: str = ""
) -> dict[str, str]:
    """Return what fills the words with which a movement starts."""
    movement = after.movement
    side = ""
    if after.side:
        name = context.phrases.side(after.side)
        side = context.phrases.piece("side start", side=name)
    name = movement.name if movement else ""
    return {
        "movement": name,
        "side": side,
        "hold": _hold(context, after, f"{let_go} {name} {side}"),
    }


def _hold(context: WritingContext, segment: Segment, said: str) -> str:
    """Return how a position is held, or that equipment is put in place first.

    ``said`` is about all that is said before it.
    """
    movement, piece = segment.movement, context.phrases.piece
    if movement is None:
        return ""
    if context.is_held(segment):
        short = context.phrases.of_side(movement.how_short or "", segment.side or "")
        fits = short and _has_room(context, segment, f"{said} {short}")
        return sentence(short if fits else piece("hold"))
    return sentence(piece("set up first")) if movement.is_set_up else ""


def _has_room(context: WritingContext, segment: Segment, said: str) -> bool:
    """Return whether what is said at its start leaves room for what comes after."""
    after = context.after(segment)
    if after is None or after.kind not in MOVING or after.activity == segment.activity:
        return True
    needs_ms = START_WORDS_FROM_MS + context.saying_ms(said) + STARTING_MS
    needs_ms += introduction_ms(context, after, segment)
    return segment.start_ms + needs_ms <= context.words_until_ms(segment)


def _let_go(context: WritingContext, before: Segment, after: Segment) -> str:
    """Return how one sits as before again, else the word to let go of what is held.

    There is no word to stop a movement: the tone has started the next one.
    """
    way = _afterwards(context, before, after)
    if way or not context.is_held(before):
        return way
    return sentence(context.phrases.piece("let go"))


def _way_across(context: WritingContext, before: Segment, after: Segment) -> str:
    """Return how one gets from a side to the other, or home from the first."""
    if after.movement and after.movement.between_sides:
        way = after.movement.between_sides
        return sentence(context.phrases.of_side(way, after.side or ""))
    return _let_go(context, before, after)


def _afterwards(context: WritingContext, before: Segment, after: Segment | None) -> str:
    """Return how one sits again; nothing where the next sits alike. All rest seated."""
    moved, moves = before.movement, after and (after.movement or after.next_movement)
    rests = after is None or after.movement is None
    alike = moved and moves and _sits(moves) == _sits(moved)
    stays = alike and not before.side and not (moved and is_on_foot(moved) and rests)
    if moved is None or stays:
        return ""
    words = context.phrases.of_side(moved.afterwards or "", before.side or "")
    return sentence(words)


def _sits(movement: Movement) -> tuple[str | None, str | None]:
    """Return how one sits for a movement: by how one sits as before again."""
    return movement.afterwards, movement.set_up if movement.is_set_up else None


def _side_mark(context: WritingContext, transition: Transition) -> tuple[Cue, ...]:
    before, after = transition.before, transition.after
    if after is None or after.side is None:
        return ()
    side = context.phrases.side(after.side)
    if not context.has_tones:
        return (
            _word(
                context, transition, cuekinds.SIDE_CHANGE, "side change word", side=side
            ),
        )
    let_go = _way_across(context, before, after) if before else ""
    told = after.movement and after.movement.between_sides and context.is_held(after)
    hold = (
        context.phrases.piece("hold")
        if told
        else _hold(context, after, f"{let_go} {side}")
    )
    words = context.phrases.variants("side change", side=side, let_go=let_go, hold=hold)
    return (
        _after_tone(
            context,
            transition,
            after,
            cuekinds.SIDE_CHANGE,
            words,
            from_ms=SIDE_WORDS_FROM_MS,
            by_ms=INTO_POSITION_BY_MS,
            essential=bool(let_go) and after.length_ms >= SPOKEN_CHANGE_MS,
        ),
    )


def _stop_mark(context: WritingContext, transition: Transition) -> tuple[Cue, ...]:
    before, after = transition.before, transition.after
    if not context.has_tones:
        return (_word(context, transition, cuekinds.STOP, "stop word"),)
    if before is None or after is None:
        return ()
    afterwards = _afterwards(context, before, after)
    if before.kind is not SegmentKind.WORK and not afterwards:
        return ()
    if after.length_ms < STOP_WORDS_NEED_MS:
        return ()
    words = context.phrases.variants("stop", afterwards=afterwards)
    cue = _after_tone(
        context,
        transition,
        after,
        cuekinds.STOP,
        words,
        from_ms=STOP_WORDS_FROM_MS,
        by_ms=INTO_POSITION_BY_MS if afterwards else AFTER_TONE_BY_MS,
    )
    return (cue,)


_MARKS = {
    TransitionKind.START: _start_mark,
    TransitionKind.CHANGE: _change_mark,
    TransitionKind.SIDE: _side_mark,
    TransitionKind.STOP: _stop_mark,
}


def _word(
    context: WritingContext,
    transition: Transition,
    kind: CueKind,
    key: str,
    **fields: str,
) -> Cue:
    """Return a word that is the mark itself: its beat is the instant."""
    segment = transition.after or transition.before
    if segment is None:
        raise ValueError("a transition without segments")
    final = transition.after is None
    return context.cue(
        kind,
        segment,
        context.phrases.variants(key, **fields),
        window=(
            max(0, transition.at_ms - (2_000 if final else AROUND_BEAT_MS[0])),
            transition.at_ms + (0 if final else AROUND_BEAT_MS[1]),
        ),
        essential=True,
        anchor_ms=transition.at_ms,
        anchor_point=AnchorPoint.END if final else AnchorPoint.BEAT,
    )


def _after_tone(
    context: WritingContext,
    transition: Transition,
    segment: Segment,
    kind: CueKind,
    words: tuple[Wordings, ...],
    *,
    from_ms: int,
    by_ms: int = AFTER_TONE_BY_MS,
    essential: bool = False,
) -> Cue:
    """Return the words that follow a tone, which has told what they say."""
    start_ms = transition.at_ms + from_ms
    latest_ms = segment.end_ms - (CLEAR_OF_COUNT_MS if segment.length_ms > 9_000 else 0)
    return context.cue(
        kind,
        segment,
        words,
        window=(start_ms, max(start_ms, min(start_ms + by_ms, latest_ms))),
        wanted_ms=start_ms,
        essential=essential,
        priority=None if essential or kind.essential else WORDS_AFTER_TONE_PRIORITY,
    )
