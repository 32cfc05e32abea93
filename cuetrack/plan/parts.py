"""What a plan is made of: sections, their clocks, cues and music, with their keys."""

from __future__ import annotations

from typing import Final

from cuetrack.documents.groups import KeyGroup, Named, Under
from cuetrack.documents.keys import Key, Table, Written, declared, inline, key
from cuetrack.documents.lists import ListOf
from cuetrack.documents.quantities import Number, Time
from cuetrack.documents.shapes import Choice, Text, Texts, YesNo
from cuetrack.movements.model import (
    LONGEST_SEGMENT_MS,
    MOVEMENT,
    REST,
    SHORTEST_REST_MS,
    TEMPO,
    Movement,
)
from cuetrack.plan.moments import Moment, MomentShape
from cuetrack.plan.round_spans import RoundSpan, RoundSpanShape
from cuetrack.plan.words import Coaching, MusicStyle, SectionKind
from cuetrack.times import HOUR_MS, MINUTE_MS, SECOND_MS

SHORTEST_WORK_MS: Final = 10 * SECOND_MS
"""A work, or one side of it, must hold its own closing countdown."""
DEFAULT_BREAK_MS: Final = MINUTE_MS

_TALK, _PLAIN, _INTERVALS = "talk", "plain", "intervals"
"""The tables in which the keys of a section stand."""


@declared
class FreeCue(Written):
    """A sentence the leader wants said at a time of a section."""

    text: str = key("say", Text(300), "What is said.")
    at: Moment = key(
        "at", MomentShape(), "When: 10 s, 10 s from end, halfway, 20 s after halfway."
    )
    within_ms: int = key(
        "within",
        Time(least_ms=0, most_ms=MINUTE_MS, none=True),
        "How far it may be moved to where it can be said.",
        default=5 * SECOND_MS,
    )


@declared
class Music(Written):
    """Music under a section or the whole class: files of the user, in order.

    ``rights`` is what the user says of the right to play it, kept as said.
    ``own`` asks for a bed made by cuetrack itself instead of files. ``tempo_bpm``
    is the wanted tempo, None to leave it as it is. ``well_under_voice`` asks for
    the 20 dB of WCAG 1.4.7 under speech.
    """

    files: tuple[str, ...] = key(
        "files",
        Texts(most=200, count=50, none=True),
        "Music files in the order they play, beside the plan.",
        also=("file",),
        default=(),
    )
    own: MusicStyle | None = key(
        "own",
        Choice(MusicStyle),
        "Music that is made for this plan instead of files: its mood.",
        default=None,
    )
    rights: str | None = key(
        "rights",
        Text(300),
        "By what right the files may be played.",
        default=None,
    )
    tempo_bpm: int | None = key(
        "tempo",
        TEMPO,
        "Beats a minute wanted; left as it is when not said.",
        default=None,
    )
    well_under_voice: bool = key(
        "well under voice",
        YesNo(),
        "Keep the music at least 20 dB under every word, as WCAG 1.4.7 asks, "
        "instead of as far as this group needs.",
        default=False,
    )


MUSIC: Final = KeyGroup(
    table=Table(of=Music, name="music", what="music", under="music"),
    single=("files",),
    several="files",
)
_MOVEMENT: Final = Named(table=MOVEMENT, name="name", time="duration_ms")


@declared
class RecoveryBreak(Written):
    """The long break between rounds, and the easy movement done in it."""

    duration_ms: int = key(
        "for",
        Time(least_ms=10 * SECOND_MS, most_ms=LONGEST_SEGMENT_MS, none=True),
        "How long the break is.",
        also=("time", "duration", "length"),
        default=DEFAULT_BREAK_MS,
    )
    movement: Movement = key(
        "with",
        _MOVEMENT,
        "Something easy that keeps the feet moving.",
        also=("movement", "doing"),
        default=Movement(name=""),
    )
    says: tuple[str, ...] = key(
        "say",
        Texts(most=300, count=10),
        "Your own sentences in it, in place of the offer of water.",
        also=("says", "words", "text"),
        default=(),
    )


_WORK: Final = Time(
    least_ms=SHORTEST_WORK_MS,
    most_ms=LONGEST_SEGMENT_MS,
    reason="its countdown must fit",
)


@declared
class RoundChange(Written):
    """What differs in some rounds of an intervals section; None is as usual."""

    rounds: RoundSpan = key(
        "round", RoundSpanShape(), "Which rounds, before the colon."
    )
    work_ms: int | None = key(
        "work",
        _WORK,
        "How long each movement is done that has no time of its own.",
        default=None,
    )
    rest_ms: int | None = key(
        "rest", REST, "The rest after each movement without its own.", default=None
    )
    coaching: Coaching | None = key(
        "coaching", Choice(Coaching), "How much the voice says.", default=None
    )
    equipment: str | None = key(
        "equipment",
        Text(80),
        "What is in the hands in every movement; none for empty hands.",
        default=None,
    )


@declared
class Intervals(Written):
    """The clock of an intervals section.

    ``break_after_last`` asks for the recovery break after the last round too.
    """

    work_ms: int = key(
        "work",
        _WORK,
        "How long each movement is done.",
        default=30 * SECOND_MS,
    )
    rest_ms: int = key(
        "rest",
        REST,
        "The rest after each movement; the next one is shown in it.",
        default=30 * SECOND_MS,
    )
    rounds: int = key(
        "rounds",
        Number(least=1, most=50),
        "How many times the whole list is done.",
        default=2,
    )
    between_rounds: RecoveryBreak | None = key(
        "between rounds",
        KeyGroup(
            table=Table(
                of=RecoveryBreak,
                name="break",
                what="a break between rounds",
                under="between rounds",
            ),
            single=("duration_ms",),
        ),
        "The longer break between two rounds, with something easy to do in it; or "
        "none. A minute when not said.",
        also=("between", "recovery", "break"),
        default=None,
    )
    break_after_last: bool = key(
        "break after last",
        YesNo(),
        "Whether that break also follows the last round.",
        default=False,
    )
    in_rounds: tuple[RoundChange, ...] = key(
        "in rounds",
        Under(
            table=Table(
                of=RoundChange,
                name="round",
                what="a round",
                under="in rounds",
            ),
            name="rounds",
            example="2-3: {equipment: light hand weights}",
        ),
        "What differs in some rounds: 1, 2-3, from 2, last.",
        also=("in round", "each round", "rounds differ"),
        default=(),
    )

    @property
    def fewest_rounds(self) -> int:
        """The least number of rounds in which all that differ are there."""
        return max([1, *(change.rounds.highest for change in self.in_rounds)])


@declared
class Section(Written):
    """One part of the class.

    ``opening_ms`` is the time before its first movement starts, in which the
    section is introduced, equipment fetched and the first movement shown.
    ``duration_ms`` is the length of a welcome or close, which hold no
    movements; None elsewhere. ``says`` replaces what the voice says in a
    welcome or close, sentence by sentence; empty for the phrase pack's words.
    ``stated_ms`` is what the plan says all movements take together.
    """

    kind: SectionKind
    duration_ms: int | None = key(
        "for",
        Time(least_ms=SHORTEST_REST_MS, most_ms=30 * MINUTE_MS, none=True),
        "How long it is.",
        also=("time", "duration", "length"),
        only=(_TALK,),
        default=None,
    )
    says: tuple[str, ...] = key(
        "say",
        Texts(most=300, count=30),
        "Your own sentences in place of the usual ones.",
        also=("says", "words", "text"),
        only=(_TALK,),
        default=(),
    )
    stated_ms: int | None = key(
        "for",
        Time(least_ms=5 * SECOND_MS, most_ms=2 * HOUR_MS),
        "How long all its movements take together, the opening not counted; shared "
        "by those that do not say their own time.",
        also=("time", "duration", "length"),
        only=(_PLAIN,),
        default=None,
        compare=False,
    )
    intervals: Intervals | None = inline(Intervals, only=(_INTERVALS,), default=None)
    title: str = key("title", Text(100), "What the section is called.", default="")
    opening_ms: int = key(
        "opening",
        Time(
            least_ms=SHORTEST_REST_MS,
            most_ms=10 * MINUTE_MS,
            none=True,
            reason="the first movement is named and counted in",
        ),
        "Time before the first movement, to introduce and show it; 25 s when not "
        "said, before intervals 30 s; or none.",
        only=(_PLAIN, _INTERVALS),
        default=0,
    )
    movements: tuple[Movement, ...] = key(
        "movements",
        ListOf(item=_MOVEMENT, what="movements", example="[heel dig, toe tap side]"),
        "The movements in the order they are done.",
        also=("movement list", "exercises", "moves"),
        only=(_PLAIN, _INTERVALS),
        default=(),
    )
    music: Music | None = key(
        "music", MUSIC, "Music under this section; or none.", default=None
    )
    free_cues: tuple[FreeCue, ...] = key(
        "cues",
        ListOf(
            item=KeyGroup(
                table=Table(
                    of=FreeCue, name="cue", what="a cue of your own", under="cues"
                )
            ),
            what="cues",
            example="- {say: Have a sip of water., at: 20 s}",
        ),
        "Sentences of your own, each at a time of this section.",
        only=(_PLAIN, _INTERVALS),
        default=(),
    )


def _talk(kind: SectionKind) -> KeyGroup[Section]:
    table = Table(of=Section, name=_TALK, what="a welcome or close", under="welcome")
    return KeyGroup(table=table, single=("duration_ms",), fixed={"kind": kind})


def _plain(kind: SectionKind) -> KeyGroup[Section]:
    table = Table(
        of=Section, name=_PLAIN, what="a section without intervals", under="warm-up"
    )
    return KeyGroup(
        table=table,
        single=("stated_ms", "movements"),
        several="movements",
        fixed={"kind": kind},
    )


SECTIONS: Final = (
    Key(
        word="welcome",
        shape=_talk(SectionKind.WELCOME),
        meaning="The welcome with its safety words: a time, your own words, or none.",
    ),
    Key(
        word="warm-up",
        shape=_plain(SectionKind.WARM_UP),
        meaning="Movements without a rest between them.",
    ),
    Key(
        word="intervals",
        shape=KeyGroup(
            table=Table(
                of=Section,
                name=_INTERVALS,
                what="an intervals section",
                under="intervals",
            ),
            fixed={"kind": SectionKind.INTERVALS},
        ),
        meaning="Movements with work and rest, in rounds.",
        also=("interval", "main", "main part"),
    ),
    Key(
        word="recovery",
        shape=_plain(SectionKind.RECOVERY),
        meaning="An easy part between two harder ones.",
    ),
    Key(
        word="cool-down",
        shape=_plain(SectionKind.COOL_DOWN),
        meaning="Easy movements and stretches to finish.",
    ),
    Key(
        word="close",
        shape=_talk(SectionKind.CLOSE),
        meaning="The last words: a time, your own words, or none, which leaves 15 s "
        "for how to stand up safely.",
        also=("closing", "goodbye"),
    ),
)
"""The kinds of section, as keys of a plan or in its list of sections."""
