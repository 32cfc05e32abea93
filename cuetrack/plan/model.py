"""What the leader planned, as frozen values. All times are whole milliseconds.

A plan has sections in order; a section holds movements. An intervals section
also has work, rest and rounds. Nothing here knows of files, speech or sound.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum

from cuetrack.documents.places import Place


class SectionKind(StrEnum):
    """The parts of a class, in the words leaders use."""

    WELCOME = "welcome"
    WARM_UP = "warm-up"
    INTERVALS = "intervals"
    RECOVERY = "recovery"
    COOL_DOWN = "cool-down"
    CLOSE = "close"


class Coaching(StrEnum):
    """How much the voice says."""

    EVERYTHING = "everything"
    """Every cue: for someone alone at home, or a volunteer who presses play."""
    CLOCK = "clock"
    """Only the clock and the changes: a leader coaches live over the track."""


class Counting(StrEnum):
    """What marks the count-in, the time calls and the changes."""

    VOICE = "voice"
    TONES = "tones"
    BOTH = "both"


class Pace(StrEnum):
    """How fast the voice speaks."""

    CALM = "calm"
    USUAL = "usual"
    LIVELY = "lively"


class Options(StrEnum):
    """Which way of doing a movement is told first."""

    USUAL = "usual"
    """What to mind, then the easier way; the harder one in a later round."""
    EASIER = "easier first"
    """The easier way before anything else, and again in place of the harder."""
    HARDER = "harder first"
    """As usual, and in later rounds the harder way before anything else."""


class CountFrom(StrEnum):
    """The point of a section a free cue's time is counted from."""

    START = "start"
    END = "end"
    HALFWAY = "halfway"


class Role(StrEnum):
    """What a movement is for in a class."""

    WARM_UP = "warm-up"
    ENERGISER = "energiser"
    STRENGTH = "strength"
    TRUNK = "trunk"
    STRETCH = "stretch"
    RECOVERY = "recovery"


class MusicStyle(StrEnum):
    """The moods of the music that is made for a plan."""

    CALM = "calm"
    STEADY = "steady"
    BRIGHT = "bright"
    SWINGING = "swinging"


@dataclass(frozen=True, slots=True, kw_only=True)
class Movement:
    """One movement as it is done at one place in the plan.

    ``duration_ms`` is the time of it: in a plain section its own length, in an
    intervals section an override of the section's work (None: the section's).
    ``rest_ms`` likewise overrides the rest that follows it.
    ``sides`` names the sides in order, e.g. ``("right", "left")``; empty when
    both sides work together. ``hold`` marks a held stretch.
    ``tags`` are the cautions of the movement library. The first of ``regions``
    works most. ``tempo_bpm`` counts beats, ``repetitions`` whole movements a
    minute; ``effort`` is from 0 (sitting) to 10 (all out). ``importance`` is from
    1 (left out first in a shorter slot) to 5 (never left out), None for the middle.
    """

    name: str
    duration_ms: int | None = None
    rest_ms: int | None = None
    sides: tuple[str, ...] = ()
    hold: bool = False
    how: str | None = None
    how_short: str | None = None
    form: tuple[str, ...] = ()
    easier: str | None = None
    harder: str | None = None
    equipment: str | None = None
    breathing: str | None = None
    caution: str | None = None
    regions: tuple[str, ...] = ()
    tags: tuple[str, ...] = ()
    tempo_bpm: int | None = None
    effort: int | None = None
    repetitions: int | None = None
    role: Role | None = None
    importance: int | None = None
    place: Place = field(default_factory=Place, compare=False)


@dataclass(frozen=True, slots=True, kw_only=True)
class FreeCue:
    """A sentence the leader wants said at a time of a section.

    ``offset_ms`` counts forward from the start or from halfway, and backward
    from the end: 10 s from the end is ten seconds before the section ends.
    """

    text: str
    offset_ms: int
    count_from: CountFrom
    place: Place = field(default_factory=Place, compare=False)


@dataclass(frozen=True, slots=True, kw_only=True)
class Music:
    """Music under a section or the whole class: files of the user, in order.

    ``rights`` is what the user says of the right to play it, kept as said.
    ``own`` asks for a bed made by cuetrack itself instead of files, in one of
    the styles of `MusicStyle`. ``tempo_bpm`` is the wanted tempo, None to leave
    it as it is. ``well_under_voice`` asks for the 20 dB of WCAG 1.4.7 under speech.
    """

    files: tuple[str, ...] = ()
    own: str | None = None
    rights: str | None = None
    tempo_bpm: int | None = None
    well_under_voice: bool = False
    place: Place = field(default_factory=Place, compare=False)


@dataclass(frozen=True, slots=True, kw_only=True)
class RecoveryBreak:
    """The long break between rounds, and the easy movement done in it."""

    duration_ms: int
    movement: Movement


@dataclass(frozen=True, slots=True, kw_only=True)
class Intervals:
    """The clock of an intervals section.

    ``break_after_last`` asks for the recovery break after the last round too.
    """

    work_ms: int
    rest_ms: int
    rounds: int
    between_rounds: RecoveryBreak | None
    break_after_last: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Section:
    """One part of the class.

    ``opening_ms`` is the time before its first movement starts, in which the
    section is introduced, equipment fetched and the first movement shown.
    ``duration_ms`` is the length of a welcome or close, which hold no
    movements; None elsewhere. ``says`` replaces what the voice says in a
    welcome or close, sentence by sentence; empty for the phrase pack's words.
    """

    kind: SectionKind
    title: str
    opening_ms: int = 0
    duration_ms: int | None = None
    movements: tuple[Movement, ...] = ()
    intervals: Intervals | None = None
    says: tuple[str, ...] = ()
    free_cues: tuple[FreeCue, ...] = ()
    music: Music | None = None
    place: Place = field(default_factory=Place, compare=False)


@dataclass(frozen=True, slots=True, kw_only=True)
class Group:
    """Who the class is for, as far as sound and review need to know.

    ``age`` in years and ``level_db_spl`` (speech at the ear, dB SPL) steer the
    hearing model; ``facts`` are those of `cuetrack.movements.group_facts` that are
    true of somebody, ``denied`` those that nobody has. What is in neither was not
    asked, and every caution stays.
    """

    age: int = 75
    level_db_spl: float = 65.0
    facts: tuple[str, ...] = ()
    denied: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Acknowledgement:
    """A rule of the review the leader has seen and answered with a reason."""

    rule: str
    reason: str
    place: Place = field(default_factory=Place, compare=False)


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """A whole class as planned; ``file`` is the name messages show.

    ``lasts_ms`` is how long the leader says it lasts, None where she does not; the
    length that counts is that of its parts.
    """

    title: str
    language: str = "en"
    voice: str | None = None
    coaching: Coaching = Coaching.EVERYTHING
    counting: Counting = Counting.BOTH
    bring: tuple[str, ...] = ()
    music: Music | None = None
    group: Group = field(default_factory=Group)
    pronunciations: tuple[tuple[str, str], ...] = ()
    acknowledged: tuple[Acknowledgement, ...] = ()
    sections: tuple[Section, ...] = ()
    file: str = "plan"
    lasts_ms: int | None = None
    pace: Pace = Pace.USUAL
    options: Options = Options.USUAL
