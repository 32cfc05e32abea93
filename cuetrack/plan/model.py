"""What the leader planned, as frozen values whose attributes declare their keys.

A plan has sections in order; a section holds movements. An intervals section
also has work, rest and rounds. Nothing here knows of files, speech or sound.
All times are whole milliseconds. Adding a key is one attribute and its use.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from cuetrack.documents.groups import KeyGroup
from cuetrack.documents.keys import Table, Written, declared, key
from cuetrack.documents.lists import ListOf, OneOf
from cuetrack.documents.quantities import Decimal, Number, Time
from cuetrack.documents.shapes import Choice, Pairs, Text, Texts
from cuetrack.movements.group_reading import mistake_in
from cuetrack.movements.model import Movement, Role
from cuetrack.plan.moments import CountFrom, Moment
from cuetrack.plan.parts import (
    MUSIC,
    SECTIONS,
    FreeCue,
    Intervals,
    Music,
    RecoveryBreak,
    Section,
)
from cuetrack.plan.rule_ids import RULE_IDS
from cuetrack.plan.words import (
    Coaching,
    Counting,
    MusicStyle,
    Options,
    Pace,
    SectionKind,
    SlowMoves,
    TimeCalls,
)
from cuetrack.times import HOUR_MS, MINUTE_MS

if TYPE_CHECKING:
    from collections.abc import Iterator

    from cuetrack.documents.places import Place

__all__ = [
    "Acknowledgement",
    "Coaching",
    "CountFrom",
    "Counting",
    "FreeCue",
    "Group",
    "Intervals",
    "Moment",
    "Movement",
    "Music",
    "MusicStyle",
    "Options",
    "Pace",
    "Plan",
    "RecoveryBreak",
    "Role",
    "Section",
    "SectionKind",
    "SlowMoves",
    "TimeCalls",
]

LONGEST_CLASS_MS: Final = 6 * HOUR_MS
_FACTS: Final = Texts(
    most=200,
    count=30,
    none=True,
    mistake=mistake_in,
    examples=("new", "hip replacement", "knee pain", "home alone", "screened"),
)


@declared
class Group(Written):
    """Who the class is for, as far as sound and review need to know.

    ``age`` in years and ``level_db_spl`` (speech at the ear, dB SPL) steer the
    hearing model; ``facts`` are those of `cuetrack.movements.group_facts` that are
    true of somebody, ``denied`` those that nobody has. What is in neither was not
    asked, and every caution stays.
    """

    age: int = key(
        "age",
        Number(least=18, most=110),
        "Age in years that the sound is made for.",
        default=75,
    )
    level_db_spl: float = key(
        "level",
        Decimal(least=40, most=90, unit="dB"),
        "How loud speech is at the ear, in dB SPL.",
        default=65.0,
    )
    facts: tuple[str, ...] = key(
        "facts",
        _FACTS,
        "Who comes, in everyday words: new hip, bad knees, home alone.",
        default=(),
    )
    denied: tuple[str, ...] = key(
        "not",
        _FACTS,
        "What nobody has, as asked: thin bones, or anything else.",
        also=("nobody with", "nobody has"),
        default=(),
    )


@declared
class Acknowledgement(Written):
    """A rule of the review the leader has seen and answered with a reason."""

    rule: str
    reason: str


def _acknowledged(rule: str, reason: str, place: Place) -> Acknowledgement:
    return Acknowledgement(rule=rule, reason=reason, place=place)


def _pronounced(word: str, said: str, _: Place) -> tuple[str, str]:
    return word, said


@declared
class Plan(Written):
    """A whole class as planned; ``file`` is the name messages show.

    ``lasts_ms`` is how long the leader says it lasts, None where she does not; the
    length that counts is that of its parts.
    """

    file: str = "plan"
    title: str = key("title", Text(100), "What the class is called.", unread="")
    language: str = key(
        "language",
        Text(35),
        "The language that is spoken, as a code such as en.",
        also=("lang",),
        default="en",
    )
    voice: str | None = key("voice", Text(80), "The voice that speaks.", default=None)
    coaching: Coaching = key(
        "coaching",
        Choice(Coaching),
        "everything, or only the clock and the changes so that a leader can talk.",
        default=Coaching.EVERYTHING,
    )
    pace: Pace = key(
        "pace", Choice(Pace), "How fast the voice speaks.", default=Pace.USUAL
    )
    options: Options = key(
        "options",
        Choice(Options),
        "Which way of doing a movement is told first.",
        default=Options.USUAL,
    )
    counting: Counting = key(
        "counting",
        Choice(Counting),
        "What counts and marks the changes.",
        default=Counting.BOTH,
    )
    time_calls: TimeCalls = key(
        "time calls",
        Choice(TimeCalls),
        "How often the time is called while people work: few leaves the final count, "
        "many calls halfway and 15, 10 and 5 seconds left.",
        default=TimeCalls.USUAL,
    )
    slow_moves: SlowMoves = key(
        "slow moves",
        Choice(SlowMoves),
        "What says how slow slowly is, in work against a weight or a band: own pace, "
        "or counted, once in each work.",
        default=SlowMoves.OWN_PACE,
    )
    lasts_ms: int | None = key(
        "lasts",
        Time(least_ms=MINUTE_MS, most_ms=LONGEST_CLASS_MS),
        "How long the whole class should last; the plan review tells when its parts "
        "add up to something else.",
        also=("total", "slot", "length"),
        default=None,
    )
    bring: tuple[str, ...] = key(
        "bring",
        Texts(most=80, count=20, none=True),
        "What people should have at hand.",
        default=(),
    )
    music: Music | None = key(
        "music", MUSIC, "Music under the whole class.", default=None
    )
    group: Group = key(
        "group",
        KeyGroup(
            table=Table(of=Group, name="group", what="the group", under="group"),
            single=("facts",),
            several="facts",
        ),
        "Who the class is for.",
        also=("listeners", "people"),
        default=Group(),
    )
    library: tuple[str, ...] = key(
        "library",
        Texts(most=200, count=20),
        "Files with movements of your own, beside the plan.",
        also=("libraries", "movements file", "movement file"),
        default=(),
    )
    pronunciations: tuple[tuple[str, str], ...] = key(
        "pronounce",
        Pairs(make=_pronounced, apart=lambda pair: pair, key_most=60, value_most=120),
        "Words and how they are said: Maud: mawd.",
        also=("pronunciation", "pronunciations"),
        default=(),
    )
    acknowledged: tuple[Acknowledgement, ...] = key(
        "acknowledge",
        Pairs(
            make=_acknowledged,
            apart=lambda one: (one.rule, one.reason),
            key_most=12,
            value_most=300,
            known=RULE_IDS,
            key_wanted="the id of a rule, such as T09",
        ),
        "Rules of the plan review you have seen, with your reason.",
        also=("acknowledged",),
        default=(),
    )
    sections: tuple[Section, ...] = key(
        "sections",
        ListOf(
            item=OneOf(kinds=SECTIONS, what="section"),
            what="sections",
            example="- warm-up: [shoulder roll, easy march]",
        ),
        "The sections as a list, for when one kind comes twice.",
        default=(),
    )

    def movements(self) -> Iterator[tuple[Movement, Section]]:
        """Yield every movement with its section, those of breaks included."""
        for section in self.sections:
            for movement in section.movements:
                yield movement, section
            if section.intervals and section.intervals.between_rounds:
                yield section.intervals.between_rounds.movement, section

    def musics(self) -> Iterator[Music]:
        """Yield the music of the class and of each section that names some."""
        for music in (self.music, *(section.music for section in self.sections)):
            if music is not None:
                yield music


PLAN: Final = Table(
    of=Plan,
    name="plan",
    what="a plan",
    under="the plan itself, at the start of a line",
)
