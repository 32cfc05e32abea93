"""The keys of what a section is made of: movements, breaks, cues, music, people."""

from __future__ import annotations

from types import MappingProxyType
from typing import TYPE_CHECKING, Final

from cuetrack.movements.group_reading import mistake_in
from cuetrack.plan.defaults import DEFAULT_BREAK_MS, SECOND, SHORTEST_REST_MS
from cuetrack.plan.model import MusicStyle, Role
from cuetrack.plan.shapes import (
    Block,
    Choice,
    Either,
    Field,
    ListOf,
    Moment,
    MovementShape,
    Number,
    Sides,
    Table,
    Text,
    Texts,
    Time,
    YesNo,
)

if TYPE_CHECKING:
    from collections.abc import Mapping

REST_SHAPE = Time(least_ms=SHORTEST_REST_MS, reason="the count-in must fit")

BREAK = Table(
    what="a break between rounds",
    under="between rounds",
    fields=(
        Field(
            key="for",
            shape=Time(least_ms=10 * SECOND),
            meaning="How long the break is.",
            also=("time", "duration", "length"),
            default=DEFAULT_BREAK_MS,
        ),
        Field(
            key="with",
            shape=MovementShape(),
            meaning="Something easy that keeps the feet moving.",
            also=("movement", "doing"),
        ),
    ),
)


MOVEMENT = Table(
    what="a movement",
    under="a movement",
    fields=(
        Field(
            key="movement",
            shape=Text(most=60),
            meaning="Its name, as it is said.",
            required=True,
            also=("name", "exercise", "move"),
        ),
        Field(
            key="for",
            shape=Time(least_ms=5 * SECOND, reason="people must find their way in"),
            meaning="How long this one is done.",
            also=("work", "time", "duration", "length"),
        ),
        Field(
            key="rest",
            shape=REST_SHAPE,
            meaning="The rest after this one, in an intervals section.",
        ),
        Field(
            key="sides",
            shape=Sides(),
            meaning="both (together), alternating (by turns), each (right, then "
            "left), each leg, each foot, each arm, or the two names in order; each "
            "side gets the same time.",
        ),
        Field(
            key="hold",
            shape=YesNo(),
            meaning="Whether it is a position that is held, such as a stretch.",
        ),
        Field(
            key="how",
            shape=Text(most=240, none=True),
            meaning="How it is done, in a sentence or two.",
        ),
        Field(
            key="in short",
            shape=Text(most=120, none=True),
            meaning="The same in a few words, for when there is little time.",
            also=("how short", "short"),
        ),
        Field(
            key="form",
            shape=Texts(most=100, count=8, none=True),
            meaning="What to watch in oneself, a few words each.",
        ),
        Field(
            key="easier",
            shape=Text(most=120, none=True),
            meaning="An easier way to do it.",
        ),
        Field(
            key="harder",
            shape=Text(most=120, none=True),
            meaning="A harder way to do it.",
        ),
        Field(
            key="equipment",
            shape=Text(most=80, none=True),
            meaning="What is picked up before it and put down after.",
        ),
        Field(
            key="breathing",
            shape=Text(most=120, none=True),
            meaning="When to breathe out and in.",
        ),
        Field(
            key="caution",
            shape=Text(most=160, none=True),
            meaning="Who should take care, and how.",
        ),
        Field(
            key="tempo",
            shape=Number(least=20, most=220, unit="bpm"),
            meaning="Beats a minute that suit it.",
        ),
        Field(
            key="repetitions",
            shape=Number(least=2, most=120, unit="a minute"),
            meaning="How often a minute it is done, where no beat suits it.",
            also=("reps",),
        ),
        Field(
            key="effort",
            shape=Number(least=0, most=10),
            meaning="How hard it should feel, from 0 (sitting) to 10 (all out).",
        ),
        Field(
            key="importance",
            shape=Number(least=1, most=5),
            meaning="When a class is fitted into a shorter slot: from 1 (left out "
            "first) to 5 (never left out); 3 when not said.",
            also=("keep",),
        ),
        Field(
            key="role",
            shape=Choice(words=tuple(Role)),
            meaning="What it is for in a class.",
        ),
        Field(
            key="regions",
            shape=Texts(most=40, count=20),
            meaning="The parts of the body it works, the one that works most first.",
            also=("region", "body"),
        ),
        Field(
            key="tags",
            shape=Texts(most=40, count=40),
            meaning="Words the plan review knows, such as overhead.",
        ),
    ),
)


_EACH_NAMED = {
    "both": (),
    "alternating": (),
    "each": ("right", "left"),
    "each leg": ("right leg", "left leg"),
    "each foot": ("right foot", "left foot"),
    "each arm": ("right arm", "left arm"),
}
NAMED_SIDES: Final[Mapping[str, tuple[str, ...]]] = MappingProxyType(_EACH_NAMED)
"""The sides that a word for them means; alternating ones take turns unannounced."""

_OTHERWISE_SAID: Final = frozenset({"for", "rest", "sides", "importance"})

LIBRARY_MOVEMENT = Table(
    what="a movement of a library",
    under="a file of movements",
    fields=(
        *(field for field in MOVEMENT.fields if field.key not in _OTHERWISE_SAID),
        Field(
            key="other names",
            shape=Texts(most=60, count=20),
            meaning="Other names it is found by.",
            also=("other name", "aliases", "also called"),
            default=(),
        ),
        Field(
            key="sides",
            shape=Either(single=Choice(words=tuple(NAMED_SIDES)), several=Sides()),
            meaning="both (together), alternating (by turns), each (right, then "
            "left), or the two names in order.",
            default="both",
        ),
        Field(
            key="or with",
            shape=Texts(most=80, count=8),
            meaning="Other equipment it may be done with; none for empty hands.",
            default=(),
        ),
        Field(
            key="usual time",
            shape=Time(least_ms=5 * SECOND),
            meaning="How long it is often done; plans keep their own times.",
            also=("for", "usual", "time", "duration", "length"),
        ),
        Field(
            key="hold for",
            shape=Time(least_ms=SECOND),
            meaning="How long each hold lasts, where something is held.",
        ),
    ),
)

LIBRARY = Table(
    what="a file of movements",
    under="a file of movements",
    fields=(
        Field(
            key="movements",
            shape=ListOf(
                item=Block(table="library_movement"),
                what="movements",
                example="- movement: NAME, with keys such as how: below it",
            ),
            meaning="The movements, each with its words.",
            required=True,
        ),
    ),
)


CUE = Table(
    what="a cue of your own",
    under="cues",
    fields=(
        Field(key="say", shape=Text(most=300), meaning="What is said.", required=True),
        Field(
            key="at",
            shape=Moment(),
            meaning="When: 10 s, 10 s from end, halfway, 20 s after halfway.",
            required=True,
        ),
    ),
)


MUSIC = Table(
    what="music",
    under="music",
    fields=(
        Field(
            key="files",
            shape=Texts(most=200, count=50),
            meaning="Music files in the order they play, beside the plan.",
            also=("file",),
        ),
        Field(
            key="own",
            shape=Choice(words=tuple(MusicStyle)),
            meaning="Music that is made for this plan instead of files: its mood.",
        ),
        Field(
            key="rights",
            shape=Text(most=300),
            meaning="By what right the files may be played.",
        ),
        Field(
            key="tempo",
            shape=Number(least=20, most=220, unit="bpm"),
            meaning="Beats a minute wanted; left as it is when not said.",
        ),
        Field(
            key="well under voice",
            shape=YesNo(),
            meaning="Keep the music at least 20 dB under every word, as WCAG 1.4.7 "
            "asks, instead of as far as this group needs.",
            default=False,
        ),
    ),
)


FACT_EXAMPLES: Final = ("new", "hip replacement", "knee pain", "home alone", "screened")

FACTS_SHAPE = Texts(
    most=200, count=30, none=True, mistake=mistake_in, examples=FACT_EXAMPLES
)

GROUP = Table(
    what="the group",
    under="group",
    fields=(
        Field(
            key="age",
            shape=Number(least=18, most=110),
            meaning="Age in years that the sound is made for.",
            default=75,
        ),
        Field(
            key="level",
            shape=Number(least=40, most=90, unit="dB", whole=False),
            meaning="How loud speech is at the ear, in dB SPL.",
            default=65.0,
        ),
        Field(
            key="facts",
            shape=FACTS_SHAPE,
            meaning="Who comes, in everyday words: new hip, bad knees, home alone.",
            default=(),
        ),
        Field(
            key="not",
            shape=FACTS_SHAPE,
            meaning="What nobody has, as asked: thin bones, or anything else.",
            also=("nobody with", "nobody has"),
            default=(),
        ),
    ),
)
