"""The keys a plan may have: one table for reading, for hints and for editors.

A `Field` names a key, the shape of what stands behind it, what it means in
words for the leader, and what counts when it is not written. Adding a key is
one entry here and one line where the plan is put together. All times are
whole milliseconds.
"""

from __future__ import annotations

from typing import Final

from cuetrack.plan.defaults import (
    HOUR,
    INTERVALS_OPENING_MS,
    LONGEST_CLASS_MS,
    MINUTE,
    OPENING_MS,
    SECOND,
    SHORTEST_REST_MS,
    SHORTEST_WORK_MS,
)
from cuetrack.plan.model import Coaching, Counting, Options, Pace
from cuetrack.plan.parts import (
    BREAK,
    CUE,
    FACTS_SHAPE,
    GROUP,
    LIBRARY,
    LIBRARY_MOVEMENT,
    MOVEMENT,
    MUSIC,
    REST_SHAPE,
)
from cuetrack.plan.rule_ids import RULE_IDS
from cuetrack.plan.shapes import (
    Block,
    Choice,
    Either,
    Field,
    ListOf,
    MovementShape,
    Number,
    Pairs,
    SectionItem,
    Table,
    Text,
    Texts,
    Time,
    TimeOrMovement,
    YesNo,
)

_MOVEMENTS = ListOf(
    item=MovementShape(), what="movements", example="[heel dig, toe tap side]"
)
_CUES = ListOf(
    item=Block(table="cue"),
    what="cues",
    example="- {say: Have a sip of water., at: 20 s}",
)
_MUSIC = Either(
    single=Text(most=200, none=True),
    several=Texts(most=200, count=50),
    keys=Block(table="music"),
)
_PLAIN_TIME = Time(least_ms=5 * SECOND, most_ms=2 * HOUR)
_OPENING = Time(
    least_ms=SHORTEST_REST_MS,
    most_ms=10 * MINUTE,
    none=True,
    reason="the first movement is named and counted in",
)
_WORK = Time(least_ms=SHORTEST_WORK_MS, reason="its countdown must fit")


def _section_fields(opening_ms: int) -> tuple[Field, ...]:
    return (
        Field(key="title", shape=Text(most=100), meaning="What the section is called."),
        Field(
            key="opening",
            shape=_OPENING,
            meaning="Time before the first movement, to introduce and show it; "
            "or none.",
            default=opening_ms,
        ),
        Field(
            key="movements",
            shape=_MOVEMENTS,
            meaning="The movements in the order they are done.",
            also=("movement list", "exercises", "moves"),
        ),
        Field(key="music", shape=_MUSIC, meaning="Music under this section; or none."),
        Field(
            key="cues",
            shape=_CUES,
            meaning="Sentences of your own, each at a time of this section.",
        ),
    )


PLAIN = Table(
    what="a section without intervals",
    under="warm-up",
    fields=(
        Field(
            key="for",
            shape=_PLAIN_TIME,
            meaning="How long all its movements take together, the opening not "
            "counted; shared by those that do not say their own time.",
            also=("time", "duration", "length"),
        ),
        *_section_fields(OPENING_MS),
    ),
)

INTERVALS = Table(
    what="an intervals section",
    under="intervals",
    fields=(
        Field(
            key="work",
            shape=_WORK,
            meaning="How long each movement is done.",
            default=30 * SECOND,
        ),
        Field(
            key="rest",
            shape=REST_SHAPE,
            meaning="The rest after each movement; the next one is shown in it.",
            default=30 * SECOND,
        ),
        Field(
            key="rounds",
            shape=Number(least=1, most=50),
            meaning="How many times the whole list is done.",
            default=2,
        ),
        Field(
            key="between rounds",
            shape=Either(
                single=Time(least_ms=10 * SECOND, none=True), keys=Block(table="break")
            ),
            meaning="The longer break between two rounds, with something easy to "
            "do in it; or none.",
            also=("between", "recovery", "break"),
        ),
        Field(
            key="break after last",
            shape=YesNo(),
            meaning="Whether that break also follows the last round.",
            default=False,
        ),
        *_section_fields(INTERVALS_OPENING_MS),
    ),
)

TALK = Table(
    what="a welcome or close",
    under="welcome",
    fields=(
        Field(
            key="for",
            shape=Time(least_ms=SHORTEST_REST_MS, most_ms=30 * MINUTE),
            meaning="How long it is.",
            also=("time", "duration", "length"),
        ),
        Field(
            key="say",
            shape=Texts(most=300, count=30),
            meaning="Your own sentences in place of the usual ones.",
            also=("says", "words", "text"),
        ),
        Field(key="title", shape=Text(most=100), meaning="What the section is called."),
        Field(key="music", shape=_MUSIC, meaning="Music under this section; or none."),
    ),
)

_PLAIN_SHAPE = Either(
    single=TimeOrMovement(time=_PLAIN_TIME),
    several=_MOVEMENTS,
    keys=Block(table="plain"),
)
_TALK_SHAPE = Either(
    single=Time(least_ms=SHORTEST_REST_MS, most_ms=30 * MINUTE, none=True),
    keys=Block(table="talk"),
)

SECTIONS = (
    Field(
        key="welcome",
        shape=_TALK_SHAPE,
        meaning="The welcome with its safety words: a time, your own words, or none.",
    ),
    Field(
        key="warm-up",
        shape=_PLAIN_SHAPE,
        meaning="Movements without a rest between them.",
    ),
    Field(
        key="intervals",
        shape=Either(keys=Block(table="intervals")),
        meaning="Movements with work and rest, in rounds.",
        also=("interval", "main", "main part"),
    ),
    Field(
        key="recovery",
        shape=_PLAIN_SHAPE,
        meaning="An easy part between two harder ones.",
    ),
    Field(
        key="cool-down",
        shape=_PLAIN_SHAPE,
        meaning="Easy movements and stretches to finish.",
    ),
    Field(
        key="close",
        shape=_TALK_SHAPE,
        meaning="The last words: a time, your own words, or none, which leaves "
        "15 s for how to stand up safely.",
        also=("closing", "goodbye"),
    ),
)
"""The kinds of section, each key a `SectionKind`."""

PLAN = Table(
    what="a plan",
    under="the plan itself, at the start of a line",
    fields=(
        Field(
            key="title",
            shape=Text(most=100),
            meaning="What the class is called.",
            required=True,
        ),
        Field(
            key="language",
            shape=Text(most=35),
            meaning="The language that is spoken, as a code such as en.",
            also=("lang",),
            default="en",
        ),
        Field(key="voice", shape=Text(most=80), meaning="The voice that speaks."),
        Field(
            key="coaching",
            shape=Choice(words=tuple(Coaching)),
            meaning="everything, or only the clock and the changes so that a "
            "leader can talk.",
            default=Coaching.EVERYTHING,
        ),
        Field(
            key="pace",
            shape=Choice(words=tuple(Pace)),
            meaning="How fast the voice speaks: calm, usual or lively.",
            default=Pace.USUAL,
        ),
        Field(
            key="options",
            shape=Choice(words=tuple(Options)),
            meaning="Which way of doing a movement is told first: usual, easier "
            "first or harder first.",
            default=Options.USUAL,
        ),
        Field(
            key="counting",
            shape=Choice(words=tuple(Counting)),
            meaning="What counts and marks the changes: voice, tones or both.",
            default=Counting.BOTH,
        ),
        Field(
            key="lasts",
            shape=Time(least_ms=MINUTE, most_ms=LONGEST_CLASS_MS),
            meaning="How long the whole class should last; the plan review tells "
            "when its parts add up to something else.",
            also=("total", "slot", "length"),
        ),
        Field(
            key="bring",
            shape=Texts(most=80, count=20, none=True),
            meaning="What people should have at hand.",
            default=(),
        ),
        Field(key="music", shape=_MUSIC, meaning="Music under the whole class."),
        Field(
            key="group",
            shape=Either(
                single=FACTS_SHAPE,
                several=FACTS_SHAPE,
                keys=Block(table="group"),
            ),
            meaning="Who the class is for.",
            also=("listeners", "people"),
        ),
        Field(
            key="library",
            shape=Texts(most=200, count=20),
            meaning="Files with movements of your own, beside the plan.",
            also=("libraries", "movements file", "movement file"),
            default=(),
        ),
        Field(
            key="pronounce",
            shape=Pairs(key_most=60, value_most=120),
            meaning="Words and how they are said: Maud: mawd.",
            also=("pronunciation", "pronunciations"),
            default=(),
        ),
        Field(
            key="acknowledge",
            shape=Pairs(
                key_most=12,
                value_most=300,
                known=RULE_IDS,
                key_wanted="the id of a rule, such as T09",
            ),
            meaning="Rules of the plan review you have seen, with your reason.",
            also=("acknowledged",),
            default=(),
        ),
        *SECTIONS,
        Field(
            key="sections",
            shape=ListOf(
                item=SectionItem(),
                what="sections",
                example="- warm-up: [shoulder roll, easy march]",
            ),
            meaning="The sections as a list, for when one kind comes twice.",
        ),
    ),
)

TABLES: Final = {
    "plan": PLAN,
    "plain": PLAIN,
    "intervals": INTERVALS,
    "break": BREAK,
    "talk": TALK,
    "movement": MOVEMENT,
    "cue": CUE,
    "music": MUSIC,
    "group": GROUP,
    "library": LIBRARY,
    "library_movement": LIBRARY_MOVEMENT,
}
"""Every table by its name: those of a plan, and those of a file of movements."""

PLAN_TABLES: Final = tuple(name for name in TABLES if not name.startswith("library"))
