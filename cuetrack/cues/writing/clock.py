"""The clock in words and tones: counts, starts, changes, stops and time calls.

Counting in voice and tones
    Words count 3-2-1 on their beats, a tone marks the instant, and words follow
    the tone: what begins, which side, or that it is time to rest.
Counting in voice
    The same count, and a word whose beat is the instant itself.
Counting in tones
    Ticks in place of the count, a tone on the instant, and no words that only
    tell the clock. The other side is still named.

A tone at a transition says what comes: start, stop, or the other side (that of
halfway). A movement that follows another at once needs no count in a plain
section; it is announced while the other is still being done.

Time calls
    See ``time_calls``. They sit with their beat on the instant they name; in
    voice and tones the word of halfway follows its tone.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from cuetrack import cuekinds
from cuetrack.cues.model import AnchorPoint, SegmentKind, ToneCue
from cuetrack.cues.tonekinds import TONES, ToneKind
from cuetrack.cues.writing.context import (
    CLEAR_OF_COUNT_MS,
    COUNT_MS,
    HALFWAY_WORDS_FROM_MS,
    START_WORDS_FROM_MS,
    STOP_WORDS_FROM_MS,
    CuesAndTones,
    TransitionKind,
    is_counted_out,
)
from cuetrack.plan.model import Counting

if TYPE_CHECKING:
    from cuetrack.cuekinds import CueKind
    from cuetrack.cues.model import Cue, Segment
    from cuetrack.cues.writing.context import Transition, WritingContext
    from cuetrack.languages.phrases import Wordings

SETTLE_MS = 1_000
"""A count word comes no sooner than this after the segment's start."""

STOP_WORDS_NEED_MS = 6_000
"""A rest shorter than this has no time for words after the stop tone."""

AROUND_BEAT_MS = (700, 2_500)
"""How far a word may reach before and after the instant its beat sits on."""

WORDS_AFTER_TONE_PRIORITY = 50
"""They may be left out before a call of the clock: the tone has told as much."""

WORK_CALLS_S = ((15, 40), (10, 25), (5, 15))
MOVE_CALLS_S = ((10, 30),)
HOLD_CALLS_S = ((5, 15),)
"""Seconds left, and the shortest movement in seconds in which they are called."""

HALFWAY_FROM_S = {SegmentKind.WORK: 20, SegmentKind.MOVE: 60}
HALFWAY_APART_MS = 5_000


@dataclass(frozen=True, slots=True, kw_only=True)
class TimeCalls:
    """The calls of one segment: seconds left, and whether halfway is called."""

    seconds_left: tuple[int, ...] = ()
    halfway: bool = False


def time_calls(
    kind: SegmentKind, length_ms: int, *, hold: bool = False, sides: bool = False
) -> TimeCalls:
    """Return the calls of a movement, or of the last side of one with sides.

    In works: 15 s left from 40 s on, 10 s left from 25 s on, 5 s left from 15 s
    on, halfway from 20 s on. In plain sections: 10 s left from 30 s on, halfway
    from 60 s on. In held stretches: the last 5 s from 15 s on. Halfway is not
    called within 5 s of another call, nor where the sides change there. Earlier
    sides have no calls: the change of side is announced instead.
    """
    rule = MOVE_CALLS_S if kind is SegmentKind.MOVE else WORK_CALLS_S
    seconds_left = tuple(
        left
        for left, least in (HOLD_CALLS_S if hold else rule)
        if length_ms >= least * 1000
    )
    half_ms = length_ms - length_ms // 2
    halfway = (
        not (hold or sides)
        and length_ms >= HALFWAY_FROM_S[kind] * 1000
        and all(half_ms - left * 1000 >= HALFWAY_APART_MS for left in seconds_left)
    )
    return TimeCalls(seconds_left=seconds_left, halfway=halfway)


def clock_cues(context: WritingContext) -> CuesAndTones:
    """Return every count, mark and time call of the class."""
    parts = [_transition(context, transition) for transition in context.transitions]
    parts += [
        _calls(context, transition)
        for transition in context.transitions
        if transition.before
    ]
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
        ticks = [_tone_at(ToneKind.TICK, before, beat_ms) for beat_ms in beats_ms]
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
    TransitionKind.SIDE: ToneKind.HALFWAY,
    TransitionKind.STOP: ToneKind.STOP,
}


def _tone(context: WritingContext, transition: Transition) -> tuple[ToneCue, ...]:
    if not context.has_tones:
        return ()
    kind = _TONES[transition.kind]
    if transition.after is not None:
        return (_tone_at(kind, transition.after, transition.at_ms),)
    # Nothing follows the end of the class, so its tone ends with it.
    start_ms = transition.at_ms - TONES[kind].length_ms
    return (_tone_at(kind, transition.before, start_ms),) if transition.before else ()


def _tone_at(kind: ToneKind, segment: Segment, start_ms: int) -> ToneCue:
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
    words = context.phrases.variants("start", movement=name)
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
    if (
        context.has_tones
        or transition.after is None
        or transition.after.movement is None
    ):
        return ()
    name = transition.after.movement.name
    return (_word(context, transition, cuekinds.START, "change word", movement=name),)


def _side_mark(context: WritingContext, transition: Transition) -> tuple[Cue, ...]:
    after = transition.after
    if after is None or after.side is None:
        return ()
    side = context.phrases.side(after.side)
    if not context.has_tones:
        return (
            _word(
                context, transition, cuekinds.SIDE_CHANGE, "side change word", side=side
            ),
        )
    words = context.phrases.variants("side change", side=side)
    from_ms = HALFWAY_WORDS_FROM_MS
    return (
        _after_tone(
            context, transition, after, cuekinds.SIDE_CHANGE, words, from_ms=from_ms
        ),
    )


def _stop_mark(context: WritingContext, transition: Transition) -> tuple[Cue, ...]:
    before, after = transition.before, transition.after
    if not context.has_tones:
        return (_word(context, transition, cuekinds.STOP, "stop word"),)
    if before is None or after is None or before.kind is not SegmentKind.WORK:
        return ()
    if after.length_ms < STOP_WORDS_NEED_MS:
        return ()
    words = context.phrases.variants("stop")
    cue = _after_tone(
        context, transition, after, cuekinds.STOP, words, from_ms=STOP_WORDS_FROM_MS
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
) -> Cue:
    """Return the words that follow a tone, which has told what they say."""
    start_ms = transition.at_ms + from_ms
    latest_ms = segment.end_ms - (CLEAR_OF_COUNT_MS if segment.length_ms > 9_000 else 0)
    return context.cue(
        kind,
        segment,
        words,
        window=(start_ms, max(start_ms, min(start_ms + 4_000, latest_ms))),
        wanted_ms=start_ms,
        priority=None if kind.essential else WORDS_AFTER_TONE_PRIORITY,
    )


def _calls(context: WritingContext, transition: Transition) -> CuesAndTones:
    """Return the time calls of the segment that a transition ends."""
    segment = transition.before
    if (
        segment is None
        or segment.movement is None
        or transition.kind is TransitionKind.START
    ):
        return CuesAndTones()
    if transition.kind is TransitionKind.SIDE:
        return CuesAndTones()
    hold = segment.movement.hold
    calls = time_calls(
        segment.kind, segment.length_ms, hold=hold, sides=segment.side is not None
    )
    cues: list[Cue] = []
    tones: list[ToneCue] = []
    if calls.halfway:
        half_ms = segment.start_ms + segment.length_ms // 2
        if context.has_tones:
            tones.append(_tone_at(ToneKind.HALFWAY, segment, half_ms))
        cues.append(_halfway(context, segment, half_ms))
    key = "time left held" if hold else "time left"
    for left in calls.seconds_left:
        words = context.phrases.variants(key, count=context.phrases.number(left))
        cues.append(
            _call(
                context,
                segment,
                cuekinds.TIME_LEFT,
                words,
                segment.end_ms - left * 1000,
            )
        )
    return CuesAndTones(
        cues=tuple(cues) if context.spoken_clock else (), tones=tuple(tones)
    )


def _halfway(context: WritingContext, segment: Segment, half_ms: int) -> Cue:
    words = context.phrases.variants("halfway")
    if not context.has_tones:
        return _call(context, segment, cuekinds.HALFWAY, words, half_ms)
    return context.cue(
        cuekinds.HALFWAY,
        segment,
        words,
        window=(half_ms + HALFWAY_WORDS_FROM_MS, segment.end_ms),
        anchor_ms=half_ms + HALFWAY_WORDS_FROM_MS,
        anchor_point=AnchorPoint.START,
    )


def _call(
    context: WritingContext,
    segment: Segment,
    kind: CueKind,
    words: tuple[Wordings, ...],
    at_ms: int,
) -> Cue:
    return context.cue(
        kind,
        segment,
        words,
        window=(
            max(segment.start_ms, at_ms - AROUND_BEAT_MS[0]),
            min(segment.end_ms, at_ms + AROUND_BEAT_MS[1]),
        ),
        anchor_ms=at_ms,
        anchor_point=AnchorPoint.BEAT,
    )
