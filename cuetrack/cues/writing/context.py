"""What cues are written from, and the lengths they share."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import Enum
from functools import cache
from itertools import pairwise
from typing import TYPE_CHECKING, TypeAlias

from cuetrack.cues.estimate import CALIBRATED_WPM, estimate_ms
from cuetrack.cues.model import MOVING, AnchorPoint, Cue, SegmentKind, Wording
from cuetrack.cues.tonekinds import TONES, ToneKind
from cuetrack.movements.group_facts import Fact
from cuetrack.plan.model import Coaching, Counting, Pace

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Mapping

    from cuetrack.cuekinds import CueKind
    from cuetrack.cues.model import Segment, Timeline, ToneCue
    from cuetrack.documents.places import Place
    from cuetrack.languages.phrases import Phrases, Wordings
    from cuetrack.plan.model import Movement, Plan

CueLine: TypeAlias = "tuple[CueKind, tuple[Wordings, ...]]"
"""Something to say: its kind and the variants of its words."""

COUNT_MS = 3_000
"""A count starts this long before the change, one word a second."""

CLEAR_OF_COUNT_MS = COUNT_MS + 300
"""Other speech has ended this long before the change."""

CLEAR_OF_CHANGE_MS = 600
"""The same where no count leads to the change."""

AROUND_BEAT_MS = (700, 2_500)
"""How far a word may reach before and after the instant its beat sits on."""

AFTER_TONE_MS = 150
"""Words follow a tone after this."""

STOP_WORDS_FROM_MS = TONES[ToneKind.STOP].length_ms + AFTER_TONE_MS
WORDS_PER_MINUTE = {Pace.CALM: 125, Pace.USUAL: CALIBRATED_WPM, Pace.LIVELY: 145}
APART_MS = {Coaching.EVERYTHING: 600, Coaching.CLOCK: 800}
"""What is said is reckoned at this speed, and with this silence after it."""

START_WORDS_FROM_MS = TONES[ToneKind.START].length_ms + AFTER_TONE_MS
SIDE_WORDS_FROM_MS = TONES[ToneKind.SIDE].length_ms + AFTER_TONE_MS


@dataclass(frozen=True, slots=True, kw_only=True)
class CuesAndTones:
    """Cues of which the words are still to be chosen, and tones."""

    cues: tuple[Cue, ...] = ()
    tones: tuple[ToneCue, ...] = ()


class TransitionKind(Enum):
    """What happens where one segment gives way to the next."""

    START = "from stillness into a movement"
    CHANGE = "from one movement straight into another"
    SIDE = "to the other side of the same movement"
    STOP = "from a movement into stillness"


@dataclass(frozen=True, slots=True, kw_only=True)
class Transition:
    """One transition between segments; None before the first and after the last."""

    kind: TransitionKind
    at_ms: int
    before: Segment | None
    after: Segment | None


@dataclass(frozen=True, slots=True, kw_only=True)
class WritingContext:
    """All that cues are written from, with the transitions looked up once.

    ``say`` turns a text as shown into the text a voice is given. ``visits`` tells
    of each activity how often its movement was done before.
    """

    plan: Plan
    timeline: Timeline
    phrases: Phrases
    say: Callable[[str], str]
    transitions: tuple[Transition, ...]
    visits: Mapping[str, int]
    index: Mapping[str, int] = field(repr=False)

    @property
    def segments(self) -> tuple[Segment, ...]:
        """The segments of the class, in order."""
        return self.timeline.segments

    @property
    def alone(self) -> bool:
        """Whether nobody else is there to watch, or to be told."""
        return Fact.HOME_ALONE in self.plan.group.facts

    @property
    def spoken_coaching(self) -> bool:
        """Whether the voice coaches, or a leader does."""
        return self.plan.coaching is Coaching.EVERYTHING

    def is_new(self, segment: Segment) -> bool:
        """Return whether a movement is done for the first time."""
        return not self.visits.get(segment.activity)

    def is_held(self, segment: Segment) -> bool:
        """Return whether a position is held in a segment."""
        return segment.movement is not None and segment.movement.hold

    def coaching_in(self, segment: Segment) -> Coaching:
        """Return how much the voice says in a segment."""
        return segment.coaching or self.plan.coaching

    def coaches_in(self, segment: Segment) -> bool:
        """Return whether the voice coaches in a segment, or a leader does."""
        return self.coaching_in(segment) is Coaching.EVERYTHING

    @property
    def spoken_clock(self) -> bool:
        """Whether the clock is told in words."""
        return self.plan.counting is not Counting.TONES

    @property
    def has_tones(self) -> bool:
        """Whether the clock is told by tones."""
        return self.plan.counting is not Counting.VOICE

    def cue(
        self,
        kind: CueKind,
        segment: Segment,
        variants: Iterable[Wordings],
        *,
        window: tuple[int, int],
        anchor_ms: int | None = None,
        anchor_point: AnchorPoint = AnchorPoint.START,
        wanted_ms: int | None = None,
        essential: bool = False,
        priority: int | None = None,
        place: Place | None = None,
        shared: bool = True,
    ) -> Cue:
        """Return a cue that may be said in any of the variants.

        Its priority is that of its kind unless it is given; its id tells where and
        what it is, and may be that of another cue too.
        """
        return Cue(
            id=f"{segment.id}.{kind.name.replace(' ', '-')}",
            kind=kind,
            segment=segment.id,
            window_start_ms=window[0],
            window_end_ms=window[1],
            variants=self.worded(variants),
            priority=kind.priority if priority is None else priority,
            essential=kind.essential or essential,
            anchor_ms=anchor_ms,
            anchor_point=anchor_point,
            wanted_ms=wanted_ms,
            place=place,
            shared=shared,
        )

    def worded(self, variants: Iterable[Wordings]) -> tuple[tuple[Wording, ...], ...]:
        """Return variants with what a voice is given for each text."""
        return tuple(
            tuple(Wording(text=text, spoken=self.say(text)) for text in variant)
            for variant in variants
        )

    def saying_ms(self, text: str) -> int:
        """Return about how long a text takes, with the silence that must follow it."""
        words_per_minute = WORDS_PER_MINUTE[self.plan.pace]
        spoken = estimate_ms(self.say(text), self.phrases.language, words_per_minute)
        return spoken.length_ms + APART_MS[self.plan.coaching] if text else 0

    def longest_ms(self, variants: Iterable[Wordings], at: int = 0) -> int:
        """Return the time for the longest of the full wordings, or of the last ones."""
        return max((self.saying_ms(each[at]) for each in variants if each), default=0)

    def segment(self, id_: str) -> Segment:
        """Return the segment with an id."""
        return self.segments[self.index[id_]]

    def before(self, segment: Segment) -> Segment | None:
        """Return the segment before, None for the first."""
        at = self.index[segment.id]
        return self.segments[at - 1] if at else None

    def after(self, segment: Segment) -> Segment | None:
        """Return the segment after, None for the last."""
        at = self.index[segment.id] + 1
        return self.segments[at] if at < len(self.segments) else None

    def transition_to(self, segment: Segment) -> Transition:
        """Return how a segment is come to."""
        before = self.before(segment)
        kind = _transition_kind(before, segment) or TransitionKind.START
        return Transition(
            kind=kind, at_ms=segment.start_ms, before=before, after=segment
        )

    def words_from_ms(self, segment: Segment) -> int:
        """Return the first instant of a segment that no tone of its start covers."""
        before = self.before(segment)
        if segment.kind in MOVING:
            return segment.start_ms + START_WORDS_FROM_MS
        if before is not None and before.kind in MOVING:
            return segment.start_ms + STOP_WORDS_FROM_MS
        return segment.start_ms + 300

    def words_until_ms(self, segment: Segment) -> int:
        """Return when speech must have ended for what ends the segment."""
        after = self.after(segment)
        if after is None:
            final_tone_ms = STOP_WORDS_FROM_MS if segment.kind in MOVING else 0
            return segment.end_ms - final_tone_ms - 300
        counted = is_counted_out(segment) or (
            after.kind in MOVING and segment.kind not in MOVING
        )
        return segment.end_ms - (CLEAR_OF_COUNT_MS if counted else CLEAR_OF_CHANGE_MS)


COUNTED_FROM_MS = 10_000
"""Works shorter than this have no closing countdown."""


def is_counted_out(segment: Segment) -> bool:
    """Return whether a countdown leads to the end of the segment."""
    return segment.kind is SegmentKind.WORK and segment.length_ms >= COUNTED_FROM_MS


def context_of(
    plan: Plan, timeline: Timeline, phrases: Phrases, say: Callable[[str], str]
) -> WritingContext:
    """Return what the cues of a plan are written from."""
    return WritingContext(
        plan=plan,
        timeline=timeline,
        phrases=phrases,
        say=cache(say),
        transitions=_transitions(timeline.segments),
        visits=_visits(timeline.segments),
        index={segment.id: at for at, segment in enumerate(timeline.segments)},
    )


def _transitions(segments: tuple[Segment, ...]) -> tuple[Transition, ...]:
    changes = []
    for before, after in pairwise((None, *segments, None)):
        kind = _transition_kind(before, after)
        at_ms = after.start_ms if after else segments[-1].end_ms if segments else 0
        if kind is not None:
            changes.append(
                Transition(kind=kind, at_ms=at_ms, before=before, after=after)
            )
    return tuple(changes)


def _transition_kind(
    before: Segment | None, after: Segment | None
) -> TransitionKind | None:
    moved = before is not None and before.kind in MOVING
    moves = after is not None and after.kind in MOVING
    if before and after and before.activity == after.activity:
        return TransitionKind.SIDE
    if moved:
        return TransitionKind.CHANGE if moves else TransitionKind.STOP
    return TransitionKind.START if moves else None


def _visits(segments: tuple[Segment, ...]) -> Mapping[str, int]:
    done: dict[tuple[str, str | None, str | None], int] = {}
    visits: dict[str, int] = {}
    for segment in segments:
        if segment.movement is None or segment.activity in visits:
            continue
        key = _likeness(segment.movement)
        visits[segment.activity] = done.get(key, 0)
        done[key] = done.get(key, 0) + 1
    return visits


def _likeness(movement: Movement) -> tuple[str, str | None, str | None]:
    """Two movements alike in this need no second explanation."""
    return movement.name, movement.how, movement.equipment
