"""Room to breathe: where in a movement coaching may be said, and how much of it.

While people move, at most `MOST_SAID` utterances are heard in 40 seconds, the final
count not counted: the start, the time calls, the change of side and coaching. Longer
movements have one more for each `LONGER_MS`, one more is heard by somebody alone who
cannot see, and three more where many time calls are wanted; one word on breathing
under effort is said in any case. A movement of 30 seconds or more, 40 with sides, is
left quiet once for `QUIET_MS`: before its first call of the time left, before what
follows is announced, or before the final count. Common practice: people settle into a
movement when nobody talks.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from cuetrack.cues.model import SegmentKind
from cuetrack.cues.writing.timecalls import calls_of, says_halfway
from cuetrack.movements.group_facts import Fact
from cuetrack.plan.model import SectionKind, TimeCalls

if TYPE_CHECKING:
    from cuetrack.cues.model import Segment
    from cuetrack.cues.writing.context import WritingContext
    from cuetrack.cues.writing.tellings import Tellings

MOST_SAID = 5
MOST_SAID_IN_MS = 40_000
LONGER_MS = 20_000
MORE_IF_UNSEEING = 1
MORE_IF_MANY_CALLS = 3

QUIET_MS = 8_300
"""Eight seconds, and the gap to what is said before and after."""
QUIET_FROM_MS = 30_000
QUIET_SIDES_FROM_MS = 40_000

CALL_LEAD_MS = 300
CALL_REACH_MS = 2_200
"""A call of the time left starts and is over this long before and after its instant."""

TALK_QUIET_MS = 5_300
"""After a talk check people need this time to try."""

SIDE_SOON_REACH_MS = 7_000
"""The other side is announced this long before it comes."""


LEAST_WINDOW_MS = 700
"""Nothing can be said in less; only what is essential is still tried."""

AFTER_START_MS = 2_500
"""The words with which a movement starts come first."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CoachingSpan:
    """A part of a segment in which coaching may be said; it ends by ``until_ms``."""

    part: Segment
    from_ms: int
    until_ms: int


def most_coaching(
    context: WritingContext, parts: tuple[Segment, ...], tellings: Tellings
) -> int:
    """Return how many utterances of coaching leave an activity calm."""
    length_ms = parts[-1].end_ms - parts[0].start_ms
    most = MOST_SAID + max(0, length_ms - MOST_SAID_IN_MS) // LONGER_MS
    many = context.plan.time_calls is TimeCalls.MANY
    unseeing = context.alone and Fact.SIGHT in context.plan.group.facts
    most += MORE_IF_MANY_CALLS * many + MORE_IF_UNSEEING * unseeing
    calls = calls_of(context, parts[-1], tellings)
    clock = 1 + 2 * (len(parts) - 1) + len(calls.seconds_left)
    clock += calls.halfway and says_halfway(context, parts[-1])
    clock += tellings.told_late(context, parts[0])
    return max(0, most - clock)


def stretches_of(
    context: WritingContext, parts: tuple[Segment, ...], tellings: Tellings
) -> tuple[CoachingSpan, ...]:
    """Return where coaching may be said in an activity, in order."""
    found = [
        _stretch(context, part, part.end_ms - SIDE_SOON_REACH_MS) for part in parts[:-1]
    ]
    last = parts[-1]
    ends_ms = quiet_ends_ms(context, last, tellings)
    found.append(_stretch(context, last, ends_ms - left_quiet_ms(last)))
    if tellings.from_ms(last) == last.end_ms:
        calls_ms = [
            last.end_ms - left * 1000
            for left in calls_of(context, last, tellings).seconds_left
        ]
        for at_ms in calls_ms[-1:]:
            until_ms = context.words_until_ms(last)
            found.append(
                CoachingSpan(
                    part=last, from_ms=at_ms + CALL_REACH_MS, until_ms=until_ms
                )
            )
    return tuple(each for each in found if each.until_ms > each.from_ms)


def quiet_ends_ms(context: WritingContext, part: Segment, tellings: Tellings) -> int:
    """Return when a segment's talk of its own end begins."""
    calls = calls_of(context, part, tellings).seconds_left
    return min(
        context.words_until_ms(part),
        tellings.from_ms(part),
        *(part.end_ms - left * 1000 - CALL_LEAD_MS for left in calls),
    )


def talk_until_ms(context: WritingContext, part: Segment, tellings: Tellings) -> int:
    """Return when a talk check must be over, so that people can try it in quiet."""
    quiet_ms = max(left_quiet_ms(part), TALK_QUIET_MS)
    until_ms = quiet_ends_ms(context, part, tellings) - quiet_ms
    half_ms = part.start_ms + part.length_ms // 2
    if calls_of(context, part, tellings).halfway and half_ms < until_ms + TALK_QUIET_MS:
        return min(until_ms, half_ms - TALK_QUIET_MS)
    return until_ms


def left_quiet_ms(last: Segment) -> int:
    """Return the quiet in a movement, or in the last of the sides of one."""
    from_ms = QUIET_FROM_MS
    if last.side is not None and last.movement is not None:
        from_ms = QUIET_SIDES_FROM_MS // len(last.movement.sides)
    return QUIET_MS if last.length_ms >= from_ms else 0


def _stretch(context: WritingContext, part: Segment, until_ms: int) -> CoachingSpan:
    return CoachingSpan(
        part=part, from_ms=context.words_from_ms(part), until_ms=until_ms
    )


def allows_talk(context: WritingContext, part: Segment, tellings: Tellings) -> bool:
    """Return whether a talk check and the quiet after it fit into a segment."""
    if part.kind not in (SegmentKind.WORK, SegmentKind.MOVE):
        return False
    after = context.after(part)
    if part.section_kind is SectionKind.RECOVERY:
        return False
    if context.is_held(part) or (after and after.activity == part.activity):
        return False
    needs_ms = context.longest_ms(context.phrases.variants("talk check"), -1)
    first_ms = context.words_from_ms(part) + AFTER_START_MS
    return talk_until_ms(context, part, tellings) - first_ms >= needs_ms
