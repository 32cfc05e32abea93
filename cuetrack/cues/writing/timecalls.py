"""Time calls: halfway, and the seconds that are left, as often as the plan wants.

A call sits with its beat on the instant it names. Where the clock has no words a tone
of its own kind tells halfway, and nothing else.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

from cuetrack import cuekinds
from cuetrack.cues.model import MOVING, AnchorPoint, SegmentKind
from cuetrack.cues.tonekinds import ToneKind
from cuetrack.cues.writing.clock import tone_at
from cuetrack.cues.writing.context import AROUND_BEAT_MS, is_counted_out
from cuetrack.cues.writing.tellings import tellings_of
from cuetrack.plan.model import TimeCalls

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

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


BUSY_SIDE_MS = 30_000
"""In a last side this long, moving a band to it leaves little time to call."""


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
    announced = after is not None and after.kind in MOVING
    if (announced and not is_counted_out(segment)) or _is_set_up_anew(context, segment):
        calls = replace(calls, seconds_left=())
    half_ms = segment.start_ms + segment.length_ms // 2
    apart_ms = CALL_RULES[often].halfway_apart_ms
    if tellings.from_ms(segment) - half_ms < apart_ms:
        calls = replace(calls, halfway=False)
    return calls


def _is_set_up_anew(context: WritingContext, segment: Segment) -> bool:
    """Return whether people are busy with equipment for half of a last side."""
    movement, before = segment.movement, context.before(segment)
    return (
        movement is not None
        and movement.is_set_up
        and before is not None
        and before.activity == segment.activity
        and segment.length_ms <= BUSY_SIDE_MS
    )


def time_call_cues(context: WritingContext) -> tuple[Cue, ...]:
    """Return every time call of the class; none where the clock has no words."""
    if not context.spoken_clock:
        return ()
    tellings = tellings_of(context)
    return tuple(
        cue
        for segment in context.segments
        for cue in _calls(context, segment, tellings)
    )


def midway_tones(context: WritingContext) -> tuple[ToneCue, ...]:
    """Return the tones of halfway; none where it is called in words."""
    if context.spoken_clock:
        return ()
    tellings = tellings_of(context)
    return tuple(
        tone_at(ToneKind.MIDWAY, segment, segment.start_ms + segment.length_ms // 2)
        for segment in context.segments
        if calls_of(context, segment, tellings).halfway
    )


def _calls(
    context: WritingContext, segment: Segment, tellings: Tellings
) -> Iterator[Cue]:
    calls, phrases = calls_of(context, segment, tellings), context.phrases
    if calls.halfway and says_halfway(context, segment):
        half_ms = segment.start_ms + segment.length_ms // 2
        passing = segment.kind is not SegmentKind.WORK
        words = phrases.variants("halfway in passing" if passing else "halfway")
        yield _call(context, segment, cuekinds.HALFWAY, words, half_ms)
    key = "time left held" if context.is_held(segment) else "time left"
    for left in calls.seconds_left:
        words = phrases.variants(key, count=phrases.number(left))
        at_ms = segment.end_ms - left * 1000
        yield _call(context, segment, cuekinds.TIME_LEFT, words, at_ms)


def says_halfway(context: WritingContext, segment: Segment) -> bool:
    """Return whether halfway is called in words.

    Where a movement is new they are left to how it is done, unless many are wanted.
    """
    return not context.is_new(segment) or context.plan.time_calls is TimeCalls.MANY


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
