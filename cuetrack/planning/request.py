"""What somebody wants of a new class, with an answer for whatever is not said."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from enum import StrEnum
from typing import Final

from cuetrack.plan.model import Coaching
from cuetrack.review import limits


class Level(StrEnum):
    """How used to it the group is."""

    NEW = "new"
    USUAL = "usual"
    EXPERIENCED = "experienced"


@dataclass(frozen=True, slots=True, kw_only=True)
class IntervalTimes:
    """Work, rest, how hard a movement may be, and the time for its two sides."""

    work_ms: int
    rest_ms: int
    hardest: int
    both_sides_ms: int
    rest_after_sides_ms: int


CLOCKS: Final = {
    Level.NEW: IntervalTimes(
        work_ms=30_000,
        rest_ms=30_000,
        hardest=5,
        both_sides_ms=40_000,
        rest_after_sides_ms=40_000,
    ),
    Level.USUAL: IntervalTimes(
        work_ms=35_000,
        rest_ms=30_000,
        hardest=6,
        both_sides_ms=50_000,
        rest_after_sides_ms=40_000,
    ),
    Level.EXPERIENCED: IntervalTimes(
        work_ms=40_000,
        rest_ms=25_000,
        hardest=6,
        both_sides_ms=60_000,
        rest_after_sides_ms=35_000,
    ),
}
"""BMC Geriatr 2022 for new groups (work no longer than rest), otherwise common
practice: steps of the five-second ladder, twenty to thirty seconds for each side.
"""

_SHORT_CLOCKS: Final = {
    Level.NEW: replace(CLOCKS[Level.NEW], work_ms=25_000, rest_ms=25_000),
    Level.USUAL: replace(CLOCKS[Level.USUAL], work_ms=25_000, rest_ms=25_000),
    Level.EXPERIENCED: replace(CLOCKS[Level.EXPERIENCED], work_ms=30_000),
}
"""In short slots shorter works, so that every movement comes twice."""
_TIGHT: Final = IntervalTimes(
    work_ms=20_000,
    rest_ms=25_000,
    hardest=5,
    both_sides_ms=40_000,
    rest_after_sides_ms=40_000,
)
"""The shortest round of three in which each movement is still told in its rest."""

_ONCE: Final = IntervalTimes(
    work_ms=30_000,
    rest_ms=25_000,
    hardest=5,
    both_sides_ms=60_000,
    rest_after_sides_ms=40_000,
)
"""What comes in one round only has half a minute, each side too: twelve movements a
minute come to six repetitions, of which something is felt."""

SHORTEST_SLOT_MS: Final = 10 * 60_000
"""A quarter each for warm-up and cool-down, a round of three, and the talk."""
SHORTEST_FOR_HEARTS_MS: Final = 15 * 60_000
"""Five minutes each of warm-up and cool-down, a round of three, and the talk."""
_HALF_MINUTES_FROM_MS: Final = 12 * 60_000
_HALF_MINUTES_FOR_HEARTS_FROM_MS: Final = 16 * 60_000
"""From then on three movements can have half a minute each."""
_ROOMY_SLOT_MS: Final = 17 * 60_000
_USUAL_SLOT_MS: Final = 25 * 60_000
LONGEST_SLOT_MS: Final = 60 * 60_000
"""Common practice: longer tires most older groups."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ClassRequest:
    """A class as wished for.

    ``facts`` and ``denied`` are those of `cuetrack.movements.group_facts` that
    somebody and nobody has, without the level;
    ``equipment`` and ``regions`` names of the library's vocabulary: what is at
    hand, and what is to be worked most (empty: everything). ``once`` says that there
    is one round, which in a short slot makes its works longer.
    """

    slot_ms: int = 30 * 60_000
    title: str = "An easy class on chairs"
    level: Level = Level.USUAL
    facts: tuple[str, ...] = ()
    denied: tuple[str, ...] = ()
    age: int = 75
    equipment: tuple[str, ...] = ()
    regions: frozenset[str] = field(default_factory=frozenset)
    coaching: Coaching = Coaching.EVERYTHING
    once: bool = False

    @property
    def clock(self) -> IntervalTimes:
        """Work and rest for this group; the shortest where time is short."""
        usual = (_SHORT_CLOCKS if self.short else CLOCKS)[self.level]
        if not self.tight:
            return usual
        if not self.once or self.slot_ms < self.half_minutes_from_ms:
            return replace(_TIGHT, hardest=usual.hardest)
        if self.level is Level.NEW:
            return replace(_ONCE, rest_ms=30_000, rest_after_sides_ms=60_000)
        return replace(_ONCE, hardest=usual.hardest)

    @property
    def hardest(self) -> int:
        """The most effort a movement may ask: what is short has to be gentle."""
        if self.slot_ms <= limits.SHORT_CLASS_MS:
            return min(self.clock.hardest, limits.GENTLE_EFFORT)
        return self.clock.hardest

    @property
    def short(self) -> bool:
        """Whether the slot asks for short works and few words around them."""
        return self.slot_ms < _USUAL_SLOT_MS

    @property
    def tight(self) -> bool:
        """Whether the slot holds little but the shortest parts of a class."""
        return self.slot_ms < _ROOMY_SLOT_MS

    @property
    def pressed(self) -> bool:
        """Whether a heart or a high pressure asks for five minutes to warm up."""
        return not {"heart condition", "high blood pressure"}.isdisjoint(self.facts)

    @property
    def shortest_ms(self) -> int:
        """The shortest slot that gives this group a sound class."""
        return SHORTEST_FOR_HEARTS_MS if self.pressed else SHORTEST_SLOT_MS

    @property
    def half_minutes_from_ms(self) -> int:
        """The shortest slot in which what comes once has half a minute."""
        if self.pressed:
            return _HALF_MINUTES_FOR_HEARTS_FROM_MS
        return _HALF_MINUTES_FROM_MS

    @property
    def heart(self) -> bool:
        """Whether warm-up and cool-down are wanted as long as for weak hearts."""
        return "heart condition" in self.facts
