"""Time calls: halfway, and the seconds that are left, as often as the plan wants.

A call sits with its beat on the instant it names; in voice and tones the word of
halfway follows its tone.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

from cuetrack import cuekinds
from cuetrack.cues.model import MOVING, AnchorPoint, SegmentKind
from cuetrack.cues.tonekinds import ToneKind
from cuetrack.cues.writing.clock import tone_at
from cuetrack.cues.writing.context import (
    AROUND_BEAT_MS,
    HALFWAY_WORDS_FROM_MS,
    CuesAndTones,
    is_counted_out,
)
from cuetrack.cues.writing.tellings import tellings_of
from cuetrack.plan.model import TimeCalls

if TYPE_CHECKING:
    from collections.abc import Mapping

    from cuetrack.cuekinds import CueKind
    from cuetrack.cues.model import Cue, Segment, ToneCue
    from cuetrack.cues.writing.context import WritingContext
    from cuetrack.cues.writing.tellings import Tellings
    from cuetrack.languages.phrases import Wordings


@dataclass(frozen=True, slots=True, kw_only=True)
class CallRule:
    """How often the time is called.

    Seconds left, each with the shortest movement in seconds in which they are called;
    the shortest for halfway, and how far halfway keeps from the other calls.
    """

    work_s: tuple[tuple[int, int], ...] = ()
    move_s: tuple[tuple[int, int], ...] = ()
    hold_s: tuple[tuple[int, int], ...] = ()
    halfway_from_s: Mapping[SegmentKind, int] = field(default_factory=dict)
    halfway_apart_ms: int = 0


CALL_RULES = {
    TimeCalls.FEW: CallRule(),
    TimeCalls.USUAL: CallRule(
        work_s=((10, 25),),
        move_s=((10, 30),),
        hold_s=((5, 15),),
        halfway_from_s={SegmentKind.WORK: 40, SegmentKind.MOVE: 60},
        halfway_apart_ms=10_000,
    ),
    TimeCalls.MANY: CallRule(
        work_s=((15, 40), (10, 25), (5, 15)),
        move_s=((10, 30),),
        hold_s=((5, 15),),
        halfway_from_s={SegmentKind.WORK: 20, SegmentKind.MOVE: 60},
        halfway_apart_ms=5_000,
    ),
}
"""Common practice; seconds left are called in a plain section before a rest alone."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SegmentCalls:
    """The calls of one segment: seconds left, and whether halfway is called."""

    seconds_left: tuple[int, ...] = ()
    halfway: bool = False


def time_calls(
    often: TimeCalls,
    kind: SegmentKind,
    length_ms: int,
    *,
    hold: bool = False,
    sides: bool = False,
) -> SegmentCalls:
    """Return the calls of a movement, or of the last side of one with sides.

    By the `CallRule`. Halfway is not called close to another call, nor where the
    sides change there. Earlier sides have no calls: the change of side is announced
    instead.
    """
    rule = CALL_RULES[often]
    lengths_s = rule.move_s if kind is SegmentKind.MOVE else rule.work_s
    seconds_left = tuple(
        left
        for left, least in (rule.hold_s if hold else lengths_s)
        if length_ms >= least * 1000
    )
    half_ms = length_ms - length_ms // 2
    halfway = (
        not (hold or sides)
        and kind in rule.halfway_from_s
        and length_ms >= rule.halfway_from_s[kind] * 1000
        and all(half_ms - left * 1000 >= rule.halfway_apart_ms for left in seconds_left)
    )
    return SegmentCalls(seconds_left=seconds_left, halfway=halfway)


def calls_of(
    context: WritingContext, segment: Segment, tellings: Tellings
) -> SegmentCalls:
    """Return the calls of a segment of the class.

    Before a movement that follows at once its announcement tells the time. Halfway
    is not called soon before that either.
    """
    movement, after = segment.movement, context.after(segment)
    if segment.kind not in MOVING or movement is None:
        return SegmentCalls()
    if after is not None and after.activity == segment.activity:
        return SegmentCalls()
    often = context.plan.time_calls
    calls = time_calls(
        often,
        segment.kind,
        segment.length_ms,
        hold=movement.hold,
        sides=segment.side is not None,
    )
    if after is not None and after.kind in MOVING and not is_counted_out(segment):
        calls = replace(calls, seconds_left=())
    half_ms = segment.start_ms + segment.length_ms // 2
    apart_ms = CALL_RULES[often].halfway_apart_ms
    if tellings.from_ms(segment) - half_ms < apart_ms:
        calls = replace(calls, halfway=False)
    return calls


def time_call_cues(context: WritingContext) -> CuesAndTones:
    """Return every time call of the class."""
    tellings = tellings_of(context)
    parts = [_calls(context, segment, tellings) for segment in context.segments]
    return CuesAndTones(
        cues=tuple(cue for part in parts for cue in part.cues),
        tones=tuple(tone for part in parts for tone in part.tones),
    )


def _calls(
    context: WritingContext, segment: Segment, tellings: Tellings
) -> CuesAndTones:
    calls, hold = calls_of(context, segment, tellings), context.is_held(segment)
    cues: list[Cue] = []
    tones: list[ToneCue] = []
    if calls.halfway:
        half_ms = segment.start_ms + segment.length_ms // 2
        if context.has_tones:
            tones.append(tone_at(ToneKind.HALFWAY, segment, half_ms))
        if says_halfway(context, segment):
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


def says_halfway(context: WritingContext, segment: Segment) -> bool:
    """Return whether halfway is called in words.

    Where a movement is new they are left to how it is done, unless many are wanted.
    """
    return not context.is_new(segment) or context.plan.time_calls is TimeCalls.MANY


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
