"""The timeline and the cue sheet, as frozen values. Times are milliseconds.

Every ``*_ms`` counts from the start of the track unless it names a length.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from cuetrack.cuekinds import CueKind  # noqa: TC001
from cuetrack.cues.tonekinds import ToneKind  # noqa: TC001
from cuetrack.documents.places import Place  # noqa: TC001
from cuetrack.plan.model import Coaching, Movement, SectionKind  # noqa: TC001


class SegmentKind(StrEnum):
    """What people do in one stretch of the timeline."""

    WELCOME = "welcome"
    OPENING = "opening"
    """The section is introduced and its first movement shown."""
    MOVE = "move"
    """A movement of a plain section."""
    WORK = "work"
    REST = "rest"
    RECOVERY = "recovery"
    """The long break between rounds."""
    CLOSE = "close"


MOVING = frozenset({SegmentKind.WORK, SegmentKind.MOVE})
"""Segments in which the movement of the plan is done."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Segment:
    """One stretch of the timeline: ``start_ms`` inclusive, ``end_ms`` exclusive.

    ``activity`` is shared by the sides of one movement: two segments with the
    same activity are the first and second side of it. ``movement`` is what is
    being done; in a rest or opening it is None and ``next_movement`` is shown.
    ``section`` is the index of the plan's section. ``round`` counts from 1 and
    is None outside an intervals section; ``position`` of ``position_count``
    counts movements within the round or plain section from 1. ``coaching`` is that
    of the round, None where it is that of the class.
    """

    id: str
    activity: str
    section: int
    section_kind: SectionKind
    section_title: str
    kind: SegmentKind
    start_ms: int
    end_ms: int
    movement: Movement | None = None
    next_movement: Movement | None = None
    round: int | None = None
    round_count: int | None = None
    position: int | None = None
    position_count: int | None = None
    side: str | None = None
    coaching: Coaching | None = None

    @property
    def length_ms(self) -> int:
        """Length of the segment, ms."""
        return self.end_ms - self.start_ms


@dataclass(frozen=True, slots=True, kw_only=True)
class Timeline:
    """All segments in order, without gap or overlap, from 0 to ``end_ms``."""

    segments: tuple[Segment, ...]

    @property
    def end_ms(self) -> int:
        """Length of the whole class, ms."""
        return self.segments[-1].end_ms if self.segments else 0


class AnchorPoint(StrEnum):
    """The point of a cue that sits on its anchor."""

    START = "start"
    """Where its speech starts."""
    BEAT = "beat"
    """The perceptual centre of its first stressed syllable."""
    END = "end"
    """Where its speech ends."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Wording:
    """One way to say a cue: ``text`` as shown, ``spoken`` as the engine gets it."""

    text: str
    spoken: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Cue:
    """Something to be said, before it has a time.

    ``segment`` is the id of the one it belongs to. Its speech lies within
    ``window_start_ms``..``window_end_ms``. With an ``anchor_ms`` it is fixed: the
    ``anchor_point`` of whichever wording is chosen sits there. Without one it
    floats, as near to ``wanted_ms`` as the others allow. It may be said in any of
    its ``variants``, each of them wordings from full to shortest; in a cue sheet a
    single one is left. A higher ``priority`` wins; an ``essential`` cue is never
    left out. ``place`` is where the plan says the words, None for
    those of the phrase pack. One that is not ``shared`` tells of what comes next, and
    uses none of the share of speech of the movement it is said in.
    """

    id: str
    kind: CueKind
    segment: str
    window_start_ms: int
    window_end_ms: int
    variants: tuple[tuple[Wording, ...], ...]
    priority: int
    essential: bool = False
    anchor_ms: int | None = None
    anchor_point: AnchorPoint = AnchorPoint.START
    wanted_ms: int | None = None
    place: Place | None = None
    shared: bool = True

    @property
    def wordings(self) -> tuple[Wording, ...]:
        """The wordings of its first variant."""
        return self.variants[0]

    @property
    def due_ms(self) -> int:
        """When it is due: its anchor, else when it is wanted, else its window."""
        if self.anchor_ms is not None:
            return self.anchor_ms
        return self.window_start_ms if self.wanted_ms is None else self.wanted_ms


@dataclass(frozen=True, slots=True, kw_only=True)
class ToneCue:
    """A tone whose first frame sits exactly at ``start_ms``; length in ms."""

    kind: ToneKind
    segment: str
    start_ms: int
    length_ms: int

    @property
    def end_ms(self) -> int:
        """Where the tone has faded out."""
        return self.start_ms + self.length_ms


@dataclass(frozen=True, slots=True, kw_only=True)
class QuietRule:
    """Room left for ears and for the leader's own voice.

    ``gap_ms`` at least between two spoken cues, ``before_count_ms`` between
    speech and the first word of a count; speech fills at most ``share`` of a
    work or move segment (0..1), counts and time calls included.
    """

    gap_ms: int = 600
    before_count_ms: int = 300
    share: float = 0.5


@dataclass(frozen=True, slots=True, kw_only=True)
class CueSheet:
    """Every cue of a class in the order it is wanted, and every tone."""

    title: str
    language: str
    timeline: Timeline
    cues: tuple[Cue, ...]
    tones: tuple[ToneCue, ...]
    quiet: QuietRule


@dataclass(frozen=True, slots=True, kw_only=True)
class SpeechTiming:
    """What placement knows of a spoken wording: lengths in whole ms, rounded up.

    ``length_ms`` from speech start to speech end, ``beat_ms`` from speech start
    to the beat point.
    """

    length_ms: int
    beat_ms: int


@dataclass(frozen=True, slots=True, kw_only=True)
class PlacedCue:
    """A cue with its wording chosen and its time settled.

    ``pin_ms`` is the whole millisecond on which ``pin_point`` of the clip sits
    to the frame: the anchor of a fixed cue, the speech start of a floating one.
    ``start_ms``..``end_ms`` enclose the speech in whole ms, rounded outward.
    ``wording_index`` is 0 for the full wording; ``reason`` says why a shorter
    one was taken, None for the full.
    """

    cue: Cue
    wording: Wording
    wording_index: int
    pin_ms: int
    pin_point: AnchorPoint
    start_ms: int
    end_ms: int
    reason: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class LeftOut:
    """A cue that is not said, and why, in words for the leader."""

    cue: Cue
    reason: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PlacedSheet:
    """The cue sheet after placement: nothing overlaps, nothing is lost unseen."""

    sheet: CueSheet
    placed: tuple[PlacedCue, ...]
    left_out: tuple[LeftOut, ...]
