"""What is reviewed, with the questions that rules ask of it."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import groupby
from typing import TYPE_CHECKING

from cuetrack.cues.model import MOVING, SegmentKind
from cuetrack.languages.reading_level import reading_rules
from cuetrack.languages.review_words import review_words
from cuetrack.movements.strains import strains_of
from cuetrack.plan.model import Coaching

if TYPE_CHECKING:
    from collections.abc import Iterator

    from cuetrack.cuekinds import CueKind
    from cuetrack.cues.model import PlacedCue, PlacedSheet, Segment, Timeline
    from cuetrack.languages.reading_level import ReadingRules
    from cuetrack.languages.review_words import ReviewWords
    from cuetrack.plan.model import Movement, Plan, Section

LEGS = frozenset({"hips", "thighs", "calves", "ankles"})
ARMS = frozenset({"hands", "arms", "shoulders", "chest", "upper back"})
TRUNK = frozenset({"trunk"})
GENERAL = frozenset({"heart and lungs", "breathing", "balance"})
"""Regions of the movement library; what is general is no group of muscles."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """One class under review.

    ``placed`` is None while nobody knows what will be said when;
    ``separations_lu`` are speech over music, one a cue, once that was measured.
    """

    plan: Plan
    timeline: Timeline
    placed: PlacedSheet | None = None
    separations_lu: tuple[float, ...] = ()

    @property
    def segments(self) -> tuple[Segment, ...]:
        """The segments of the class, in order."""
        return self.timeline.segments

    @property
    def works(self) -> tuple[Segment, ...]:
        """The works of all intervals sections; the sides of one count apart."""
        return tuple(s for s in self.segments if s.kind is SegmentKind.WORK)

    @property
    def words(self) -> ReviewWords | None:
        """The words to look for in this language, None where nobody wrote them."""
        return review_words(self.plan.language)

    @property
    def reading(self) -> ReadingRules | None:
        """What is easy to follow in this language, None where nobody wrote it."""
        return reading_rules(self.plan.language)

    @property
    def voice_coaches(self) -> bool:
        """Whether the voice coaches; else a leader does, live."""
        return self.plan.coaching is Coaching.EVERYTHING

    def coaches_in(self, segment: Segment) -> bool:
        """Return whether the voice coaches in a segment, whose round may differ."""
        return (segment.coaching or self.plan.coaching) is Coaching.EVERYTHING

    def has(self, *facts: str) -> bool:
        """Return whether any of the facts was told of the group."""
        return not set(facts).isdisjoint(self.plan.group.facts)

    def section(self, segment: Segment) -> Section:
        """Return the section of the plan a segment belongs to."""
        return self.plan.sections[segment.section]

    def said(self, *kinds: CueKind) -> tuple[PlacedCue, ...]:
        """Return what is said of some kinds, of every kind when none is named."""
        placed = self.placed.placed if self.placed else ()
        return tuple(p for p in placed if not kinds or p.cue.kind in kinds)

    def movements(self) -> Iterator[tuple[Movement, Segment]]:
        """Yield each movement as the plan has it, with where it is first done."""
        seen = set[int]()
        for segment in self.segments:
            movement = segment.movement
            if movement is not None and id(movement) not in seen:
                seen.add(id(movement))
                yield movement, segment

    def work_movements(self) -> Iterator[tuple[Movement, Segment]]:
        """Yield each movement of the intervals, with where it is first done."""
        for movement, segment in self.movements():
            if segment.kind is SegmentKind.WORK:
                yield movement, segment


def done_times(case: Case) -> tuple[tuple[Segment, ...], ...]:
    """Return the segments of each movement done, its sides together, in order."""
    done = [segment for segment in case.segments if segment.kind in MOVING]
    return tuple(
        tuple(run) for _, run in groupby(done, key=lambda segment: segment.activity)
    )


def feet_move(movement: Movement | None) -> bool:
    """Return whether a movement keeps the legs at work, or may well do so."""
    if movement is None or movement.hold or "arms_only" in tags_of(movement):
        return False
    return not movement.regions or not LEGS.isdisjoint(movement.regions)


def tags_of(movement: Movement) -> frozenset[str]:
    """Return what a movement asks: from its key positions, else from its tags.

    >>> from cuetrack.plan.model import Movement
    >>> tags_of(Movement(name="reach", tags=("Above shoulder",)))
    frozenset({'above_shoulder'})
    """
    return frozenset(strains_of(movement))


def main_region(movement: Movement) -> str | None:
    """Return the group of muscles that works most, None when nobody says."""
    return next((r for r in movement.regions if r not in GENERAL), None)


def effort_of(segment: Segment) -> int | None:
    """Return how hard a segment should feel, None when nobody says."""
    return segment.movement.effort if segment.movement else None


def total_ms(segments: tuple[Segment, ...]) -> int:
    """Return the time of all segments together."""
    return sum(segment.length_ms for segment in segments)


def ids(segments: tuple[Segment, ...]) -> tuple[str, ...]:
    """Return what segments are told apart by."""
    return tuple(segment.id for segment in segments)


def named(names: list[str], most: int = 4) -> str:
    """Return names as a list to read, cut when there are many.

    >>> named(["heel dig", "punch", "heel dig"])
    'heel dig and punch'
    """
    unique = list(dict.fromkeys(names))
    if len(unique) > most:
        return f"{', '.join(unique[:most])} and {len(unique) - most} more"
    return " and ".join(filter(None, (", ".join(unique[:-1]), unique[-1])))
