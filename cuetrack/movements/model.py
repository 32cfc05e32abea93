"""One movement, as a plan or the library says it. All times are whole milliseconds."""

from __future__ import annotations

from dataclasses import field
from enum import StrEnum
from typing import Final

from cuetrack.documents.keys import Table, Written, declared, key
from cuetrack.documents.quantities import Number, Time
from cuetrack.documents.shapes import Choice, Text, TextOrNone, Texts
from cuetrack.movements.body_reading import BodySaid
from cuetrack.movements.sides import Hold, Sides
from cuetrack.times import HOUR_MS, SECOND_MS

SHORTEST_REST_MS: Final = 5 * SECOND_MS
LONGEST_SEGMENT_MS: Final = HOUR_MS

REST: Final = Time(
    least_ms=SHORTEST_REST_MS,
    most_ms=LONGEST_SEGMENT_MS,
    reason="the count-in must fit",
)
HELD: Final = Time(least_ms=SECOND_MS, most_ms=LONGEST_SEGMENT_MS)
TEMPO: Final = Number(least=20, most=220, unit="bpm")


class Role(StrEnum):
    """What a movement is for in a class."""

    WARM_UP = "warm-up"
    ENERGISER = "energiser"
    STRENGTH = "strength"
    TRUNK = "trunk"
    STRETCH = "stretch"
    RECOVERY = "recovery"


@declared
class Movement(Written):
    """One movement as it is done at one place in the plan.

    ``duration_ms`` is the time of it: in a plain section its own length, in an
    intervals section an override of the section's work (None: the section's).
    ``rest_ms`` likewise overrides the rest that follows it.
    ``sides`` names the sides in order, e.g. ``("right", "left")``; empty when
    both sides work together. ``hold_ms`` is how long a position is held, 0 where
    it is held without saying how long, None where nothing is held.
    ``tags`` are the cautions of the movement library. The first of ``regions``
    works most. ``tempo_bpm`` counts beats, ``repetitions`` whole movements a
    minute; ``effort`` is from 0 (sitting) to 10 (all out). ``importance`` is from
    1 (left out first in a shorter slot) to 5 (never left out), None for the middle.
    ``read`` is what its own words ask of a body, once they were read.
    """

    name: str = key(
        "movement",
        Text(60),
        "Its name, as it is said.",
        also=("name", "exercise", "move"),
    )
    duration_ms: int | None = key(
        "for",
        Time(
            least_ms=5 * SECOND_MS,
            most_ms=LONGEST_SEGMENT_MS,
            reason="people must find their way in",
        ),
        "How long this one is done.",
        also=("work", "time", "duration", "length"),
        default=None,
    )
    rest_ms: int | None = key(
        "rest",
        REST,
        "The rest after this one, in an intervals section.",
        default=None,
    )
    sides: tuple[str, ...] = key(
        "sides",
        Sides(),
        "Whether both sides work together or by turns (alternating), or each after "
        "the other; each gets the same time.",
        default=(),
    )
    hold_ms: int | None = key(
        "hold",
        Hold(HELD),
        "Whether it is a position that is held, such as a stretch, and how long "
        "(with sides: each of them).",
        default=None,
    )
    how: str | None = key(
        "how",
        TextOrNone(240),
        "How it is done, in a sentence or two.",
        default=None,
    )
    how_short: str | None = key(
        "in short",
        TextOrNone(120),
        "The same in a few words, for when there is little time.",
        also=("how short", "short"),
        default=None,
    )
    form: tuple[str, ...] = key(
        "form",
        Texts(most=100, count=8, none=True),
        "What to watch in oneself, a few words each.",
        default=(),
    )
    easier: str | None = key(
        "easier", TextOrNone(120), "An easier way to do it.", default=None
    )
    harder: str | None = key(
        "harder", TextOrNone(120), "A harder way to do it.", default=None
    )
    equipment: str | None = key(
        "equipment",
        TextOrNone(80),
        "What is picked up before it and put down after.",
        default=None,
    )
    breathing: str | None = key(
        "breathing", TextOrNone(120), "When to breathe out and in.", default=None
    )
    caution: str | None = key(
        "caution", TextOrNone(160), "Who should take care, and how.", default=None
    )
    set_up: str | None = key(
        "set up",
        TextOrNone(160),
        "Where its equipment goes first, such as a band under the feet; said before "
        "how it is done.",
        default=None,
    )
    between_sides: str | None = key(
        "between sides",
        TextOrNone(120),
        "How one gets from the first side to the second, such as a turn on the chair; "
        "said as the second side starts.",
        default=None,
    )
    afterwards: str | None = key(
        "afterwards",
        TextOrNone(120),
        "How one sits as before again, such as a turn back to the front; said as the "
        "movement ends.",
        default=None,
    )
    tempo_bpm: int | None = key(
        "tempo", TEMPO, "Beats a minute that suit it.", default=None
    )
    repetitions: int | None = key(
        "repetitions",
        Number(least=2, most=120, unit="a minute"),
        "How often a minute it is done, where no beat suits it.",
        also=("reps",),
        default=None,
    )
    effort: int | None = key(
        "effort",
        Number(least=0, most=10),
        "How hard it should feel, from 0 (sitting) to 10 (all out).",
        default=None,
    )
    importance: int | None = key(
        "importance",
        Number(least=1, most=5),
        "When a class is fitted into a shorter slot: from 1 (left out first) to 5 "
        "(never left out); 3 when not said.",
        also=("keep",),
        default=None,
    )
    role: Role | None = key(
        "role", Choice(Role), "What it is for in a class.", default=None
    )
    regions: tuple[str, ...] = key(
        "regions",
        Texts(most=40, count=20),
        "The parts of the body it works, the one that works most first.",
        also=("region", "body"),
        default=(),
    )
    tags: tuple[str, ...] = key(
        "tags",
        Texts(most=40, count=40),
        "Words the plan review knows, such as overhead.",
        default=(),
    )
    read: BodySaid = field(default=BodySaid(), compare=False, repr=False)

    @property
    def says_time(self) -> bool:
        """Whether what was written of it says how long it is done."""
        held = self.wrote("hold_ms") and bool(self.hold_ms)
        return held or self.wrote("duration_ms")

    @property
    def hold(self) -> bool:
        """Whether it is a position that is held."""
        return self.hold_ms is not None

    @property
    def is_set_up(self) -> bool:
        """Whether its equipment is put in place before it."""
        return bool(self.set_up and self.equipment)

    @property
    def told(self) -> str:
        """All of how it is done, with where its equipment goes; empty if unsaid."""
        return self._with_set_up(self.how or "")

    @property
    def told_short(self) -> str:
        """The same in a few words."""
        return self._with_set_up(self.how_short or self.how or "")

    def _with_set_up(self, how: str) -> str:
        return f"{self.set_up}. {how}" if self.is_set_up and how else how


MOVEMENT: Final = Table(
    of=Movement, name="movement", what="a movement", under="a movement"
)
