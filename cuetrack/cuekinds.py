"""The kinds of spoken cue: one table of all that any stage asks of a kind.

A new kind is an entry here, its words in each phrase pack, and a writer that says
when it is due (``cues.writing``). The table knows nothing of plans or tracks, so
that phrase packs and verification may read it too.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum
from types import MappingProxyType
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Mapping


class Lane(StrEnum):
    """The lane of the timeline picture in which a cue is drawn."""

    CLOCK = "clock"
    NEXT = "next"
    COACHING = "coaching"
    OTHER = "other"


class Printed(StrEnum):
    """Whether the run sheet prints what is said."""

    NOT = "not"
    IN_TURN = "in turn"
    """With what is said beside it, where one thing gives way to the next."""
    WITH_TIME = "with its time"


@dataclass(frozen=True, slots=True, kw_only=True)
class CueKind:
    """What a spoken cue is for, and how every stage treats it.

    Attributes
    ----------
    name : str
        As it stands in cue files, ids and the classes of captions.
    priority : int
        Which cue wins when two cannot both be said; the higher number is said.
    phrases : mapping of str to str
        Each phrase a pack must have for it, and the placeholders that phrase may
        use, parted by spaces.
    essential : bool
        Whether it is never left out; of other kinds a single cue may be essential.
    clock : bool
        Whether it is still said when a leader coaches live over the track.
    may_repeat : bool
        Whether the same words may be said again within ten minutes.
    counts : bool
        Whether its cues are the words of a count: said together or not at all, apart
        from other speech by the pause before a count, shown as one caption.
    lane : Lane
        Where the timeline picture draws it.
    printed : Printed
        Whether and how the run sheet prints it.
    label : str or None
        What a leader knows it by; a cue without a label is quoted.
    """

    name: str
    priority: int
    phrases: Mapping[str, str] = field(default_factory=dict, compare=False)
    essential: bool = False
    clock: bool = False
    may_repeat: bool = False
    counts: bool = False
    lane: Lane = Lane.OTHER
    printed: Printed = Printed.NOT
    label: str | None = None

    @property
    def in_words_of_plan(self) -> bool:
        """Whether the plan itself says what is said, with whatever names it likes."""
        return not self.phrases and not self.counts


# The clock itself: without it the track is wrong.
COUNT_IN = CueKind(
    name="count-in",
    priority=100,
    essential=True,
    clock=True,
    may_repeat=True,
    counts=True,
    lane=Lane.CLOCK,
    label="the count-in",
)
START = CueKind(
    name="start",
    priority=100,
    phrases={
        "start": "movement side hold",
        "start word": "movement",
        "change": "movement side hold let_go",
        "change word": "movement",
    },
    clock=True,
    may_repeat=True,
    lane=Lane.CLOCK,
    label="the start",
)
STOP = CueKind(
    name="stop",
    priority=100,
    phrases={"stop": "afterwards", "stop word": ""},
    essential=True,
    clock=True,
    may_repeat=True,
    lane=Lane.CLOCK,
    label="the stop",
)
COUNTDOWN = CueKind(
    name="countdown",
    priority=100,
    essential=True,
    clock=True,
    may_repeat=True,
    counts=True,
    lane=Lane.CLOCK,
    label="the countdown",
)

# What people need so that the next movement is safe and can be done. One level, so
# that all of it is said, if need be in fewer words.
SAFETY = CueKind(
    name="safety",
    priority=90,
    phrases={
        "safety chair": "",
        "safety chair alone": "",
        "safety seat": "",
        "safety stop signs": "",
        "safety stop signs alone": "",
        "safety telephone": "",
        "safety emergency": "",
        "safety rest": "",
        "safety own advice": "",
        "safety own advice alone": "",
        "safety feet": "",
        "safety feet minute": "",
        "safety stand": "",
        "safety stand after": "",
    },
    essential=True,
    clock=True,
    may_repeat=True,
    printed=Printed.IN_TURN,
)
_SHOWN = "meanwhile movement side_first how how_short"
PREVIEW = CueKind(
    name="preview",
    priority=90,
    phrases={
        "preview first": _SHOWN,
        "preview late": _SHOWN,
        "preview again": f"{_SHOWN} set_up",
        "preview brief": _SHOWN,
        "preview in passing first": _SHOWN,
        "preview in passing again": _SHOWN,
        "preview now": _SHOWN,
        "preview recovery": f"{_SHOWN} length",
    },
    essential=True,
    clock=True,
    may_repeat=True,
    lane=Lane.NEXT,
    printed=Printed.IN_TURN,
    label="the preview",
)
EXPLANATION = CueKind(
    name="explanation",
    priority=90,
    phrases={"explanation": "how"},
    may_repeat=True,
    lane=Lane.NEXT,
)
"""How a new movement is done, where it did not fit into the preview."""
SIDE_CHANGE = CueKind(
    name="side change",
    priority=90,
    phrases={
        "side change soon": "side",
        "side change": "side let_go hold",
        "side change word": "side",
    },
    clock=True,
    may_repeat=True,
    lane=Lane.CLOCK,
    printed=Printed.IN_TURN,
    label="the side change",
)
EQUIPMENT = CueKind(
    name="equipment",
    priority=90,
    phrases={
        "equipment pick up": "equipment meanwhile",
        "equipment pick up later": "equipment",
        "equipment pick up in passing": "equipment",
        "equipment put down": "equipment",
        "equipment put down later": "equipment",
    },
    clock=True,
    may_repeat=True,
    lane=Lane.NEXT,
    printed=Printed.IN_TURN,
)
CAUTION = CueKind(
    name="caution",
    priority=90,
    phrases={
        "caution": "point point_inline",
        "caution first": "point point_inline",
        "caution again": "point point_inline",
        "caution in passing": "point point_inline",
    },
    clock=True,
    may_repeat=True,
)

FREE = CueKind(
    name="free",
    priority=96,
    essential=True,
    clock=True,
    may_repeat=True,
    printed=Printed.WITH_TIME,
)
"""What the leader wrote to be said at a certain time."""

# The clock's calls within a movement.
TIME_LEFT = CueKind(
    name="time left",
    priority=70,
    phrases={"time left": "count", "time left held": "count"},
    clock=True,
    may_repeat=True,
    lane=Lane.CLOCK,
)
HALFWAY = CueKind(
    name="halfway",
    priority=70,
    phrases={"halfway": "", "halfway in passing": ""},
    clock=True,
    may_repeat=True,
    lane=Lane.CLOCK,
    label="the halfway call",
)

# What frames the class and looks after people.
WELCOME = CueKind(
    name="welcome",
    priority=60,
    phrases={
        "welcome": "title length",
        "welcome on foot": "title length",
        "welcome intervals": "rounds movements work rest",
        "welcome bring": "things",
        "welcome bring beside": "things equipment",
        "welcome tones": "other_side",
        "welcome ticks": "other_side",
        "welcome midway": "",
    },
    printed=Printed.IN_TURN,
)
OPENING = CueKind(
    name="opening",
    priority=60,
    phrases={
        "opening warm-up": "movements length",
        "opening intervals": "meanwhile rounds movements work rest",
        "opening intervals alike": "meanwhile rounds movements work",
        "opening recovery": "movements length",
        "opening cool-down": "meanwhile movements length",
        "opening after main": "meanwhile movements length",
    },
    may_repeat=True,
    lane=Lane.NEXT,
    printed=Printed.IN_TURN,
)
CLOSE = CueKind(
    name="close",
    priority=60,
    phrases={"close": "", "close wait": "", "close thanks": ""},
    printed=Printed.IN_TURN,
)
TALK_CHECK = CueKind(
    name="talk check",
    priority=60,
    phrases={"talk check": ""},
    lane=Lane.COACHING,
)
REST = CueKind(
    name="rest",
    priority=50,
    phrases={"rest feet": "", "rest sip": "", "rest sip soon": ""},
    lane=Lane.COACHING,
)

# Coaching.
BREATH = CueKind(
    name="breath",
    priority=40,
    phrases={
        "breath": "point point_inline",
        "breath reminder": "point point_inline",
        "breath effort": "",
        "breath hold": "",
    },
    lane=Lane.COACHING,
)
OPTION = CueKind(
    name="option",
    priority=40,
    phrases={
        "option easier": "option option_inline",
        "option harder": "option option_inline",
    },
    lane=Lane.COACHING,
)
FORM = CueKind(
    name="form",
    priority=40,
    phrases={"form": "point point_inline", "form reminder": "point point_inline"},
    lane=Lane.COACHING,
)
SLOW_COUNT = CueKind(
    name="slow count",
    priority=41,
    phrases={"slow count": ""},
    may_repeat=True,
    lane=Lane.COACHING,
)
"""One movement there and back, counted; a plan asks for it."""
WHERE_WE_ARE = CueKind(
    name="where we are",
    priority=30,
    phrases={
        "where": "movement ordinal count",
        "where last": "movement",
        "where last before recovery": "movement",
        "where last of all": "movement",
        "where rounds left": "rounds",
        "where one round left": "",
    },
    may_repeat=True,
    lane=Lane.NEXT,
)
ENCOURAGEMENT = CueKind(
    name="encouragement",
    priority=20,
    phrases={"encouragement": "", "encouragement easy": ""},
    lane=Lane.COACHING,
)

CueKinds = MappingProxyType[str, CueKind]
"""Kinds by their names."""


def kinds_by_name(*kinds: CueKind) -> CueKinds:
    """Return a table of kinds."""
    return MappingProxyType({kind.name: kind for kind in kinds})


CUE_KINDS = kinds_by_name(
    *(COUNT_IN, START, STOP, COUNTDOWN),
    *(SAFETY, PREVIEW, EXPLANATION, SIDE_CHANGE, EQUIPMENT, CAUTION, FREE),
    *(TIME_LEFT, HALFWAY),
    *(WELCOME, OPENING, CLOSE, TALK_CHECK, REST),
    *(BREATH, OPTION, FORM, SLOW_COUNT, WHERE_WE_ARE, ENCOURAGEMENT),
)

OTHER = CueKind(name="other", priority=0)
"""Stands for a kind that a cue file names and this table does not have."""


VITAL_PRIORITY = SAFETY.priority
"""From this rank on, saying something else could hurt somebody."""


def phrase_fields(kinds: CueKinds) -> dict[str, frozenset[str]]:
    """Return each phrase that some kind needs, and its placeholders."""
    return {
        key: frozenset(fields.split())
        for kind in kinds.values()
        for key, fields in kind.phrases.items()
    }
