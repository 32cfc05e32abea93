"""How much work a class is: minutes by section and region, and energy.

Energy is an estimate. Its values are those of the 2024 Older Adult Compendium of
Physical Activities (Willis and others, J Sport Health Sci 13:13-17), in METs of
people of 60 and over, whose unit is 2.7 mL of oxygen per kg and minute and not the
3.5 of other tables. Each block keeps the value of one published activity; sums and
means over blocks are arithmetic of this program. Real people scatter by a fifth to
a third around such values.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from cuetrack.cues.model import SegmentKind
from cuetrack.languages.review_words import review_words
from cuetrack.plan.model import SectionKind
from cuetrack.review.limits import COMPENDIUM_AGE
from cuetrack.times import duration

if TYPE_CHECKING:
    from collections.abc import Iterable

    from cuetrack.cues.model import Segment, Timeline
    from cuetrack.languages.review_words import ReviewWords
    from cuetrack.plan.model import Plan

SOURCE: Final = (
    "An estimate by the 2024 Older Adult Compendium (Willis and others; 60 and over, "
    "2.7 mL of oxygen per kg and minute); sums are this program's arithmetic, and "
    "people differ by 20 to 30 %."
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Activity:
    """One published activity: its code and its value."""

    code: str
    name: str
    met: float


CLASS: Final = Activity(code="0206360", name="conditioning class, chair-based", met=3.8)
WARMING: Final = Activity(code="0221160", name="tai chi, chair", met=2.8)
WEIGHTS: Final = Activity(code="0205360", name="resistance, light effort", met=2.3)
STRETCHING: Final = Activity(code="0219160", name="yoga, chair", met=2.8)
SITTING: Final = Activity(code="0702160", name="sitting quietly", met=1.3)


@dataclass(frozen=True, slots=True, kw_only=True)
class EnergyBlock:
    """All time of a class that one published value stands for."""

    activity: Activity
    length_ms: int

    @property
    def met_minutes(self) -> float:
        """MET times minutes."""
        return self.activity.met * self.length_ms / 60_000


@dataclass(frozen=True, slots=True, kw_only=True)
class Energy:
    """The energy of a class, as an estimate."""

    blocks: tuple[EnergyBlock, ...]
    source: str = SOURCE

    @property
    def met_minutes(self) -> float:
        """MET-minutes of all blocks."""
        return sum(block.met_minutes for block in self.blocks)

    @property
    def mean_met(self) -> float:
        """MET-minutes over minutes."""
        minutes = sum(block.length_ms for block in self.blocks) / 60_000
        return self.met_minutes / minutes if minutes else 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class SectionLoad:
    """The time of one section by what people do in it, ms.

    ``moving_ms`` are movements of a plain section, ``talk_ms`` welcome, opening
    and close.
    """

    section: int
    title: str
    work_ms: int = 0
    rest_ms: int = 0
    recovery_ms: int = 0
    moving_ms: int = 0
    talk_ms: int = 0

    @property
    def length_ms(self) -> int:
        """All of it."""
        return (
            self.work_ms
            + self.rest_ms
            + self.recovery_ms
            + self.moving_ms
            + self.talk_ms
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class RegionLoad:
    """The time a region of the body works, ms; movements count in each of theirs."""

    region: str
    work_ms: int = 0
    moving_ms: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Load:
    """The load of a class. ``energy`` is None for groups the values are not of.

    ``unknown_ms`` is time of movements whose regions nobody says.
    """

    sections: tuple[SectionLoad, ...]
    regions: tuple[RegionLoad, ...]
    unknown_ms: int
    energy: Energy | None

    @property
    def work_ms(self) -> int:
        """Work of all sections."""
        return sum(section.work_ms for section in self.sections)

    @property
    def rest_ms(self) -> int:
        """Rest between works, recovery breaks not counted."""
        return sum(section.rest_ms for section in self.sections)

    @property
    def recovery_ms(self) -> int:
        """Recovery breaks and recovery sections."""
        return sum(section.recovery_ms for section in self.sections)

    @property
    def work_to_rest(self) -> float | None:
        """Work over rest and recovery; None without either."""
        eased_ms = self.rest_ms + self.recovery_ms
        return self.work_ms / eased_ms if eased_ms and self.work_ms else None

    @property
    def work_share(self) -> float | None:
        """Work over work, rest and recovery, from 0 to 1; None without works."""
        all_ms = self.work_ms + self.rest_ms + self.recovery_ms
        return self.work_ms / all_ms if self.work_ms else None


_COLUMN: Final = {
    SegmentKind.WORK: "work_ms",
    SegmentKind.REST: "rest_ms",
    SegmentKind.RECOVERY: "recovery_ms",
    SegmentKind.MOVE: "moving_ms",
}


def load_of(plan: Plan, timeline: Timeline) -> Load:
    """Return the load of a class."""
    known_age = plan.group.age >= COMPENDIUM_AGE
    regions, unknown_ms = _regions(timeline.segments)
    return Load(
        sections=_sections(plan, timeline.segments),
        regions=regions,
        unknown_ms=unknown_ms,
        energy=_energy(timeline.segments, review_words(plan.language))
        if known_age
        else None,
    )


def _sections(plan: Plan, segments: Iterable[Segment]) -> tuple[SectionLoad, ...]:
    times: dict[int, dict[str, int]] = defaultdict(lambda: defaultdict(int))
    for segment in segments:
        column = _COLUMN.get(segment.kind, "talk_ms")
        easy = segment.section_kind is SectionKind.RECOVERY
        if easy and segment.kind is SegmentKind.MOVE:
            column = "recovery_ms"
        times[segment.section][column] += segment.length_ms
    return tuple(
        SectionLoad(section=index, title=plan.sections[index].title, **columns)
        for index, columns in times.items()
    )


def _regions(segments: Iterable[Segment]) -> tuple[tuple[RegionLoad, ...], int]:
    """Return the time of each region, most first, and the time of no known one."""
    times: dict[str, dict[str, int]] = defaultdict(lambda: defaultdict(int))
    unknown_ms = 0
    for segment in segments:
        if segment.movement is None:
            continue
        column = "work_ms" if segment.kind is SegmentKind.WORK else "moving_ms"
        for region in segment.movement.regions:
            times[region][column] += segment.length_ms
        if not segment.movement.regions:
            unknown_ms += segment.length_ms
    loads = (RegionLoad(region=region, **columns) for region, columns in times.items())
    ranked = sorted(loads, key=lambda r: (-r.work_ms, -r.moving_ms, r.region))
    return tuple(ranked), unknown_ms


def activity_of(segment: Segment, words: ReviewWords | None) -> Activity:
    """Return the published activity that comes nearest to a segment.

    The rests of intervals count as the class, whose value is that of classes
    with their rests; a work with weights counts as light resistance.
    """
    movement = segment.movement
    if segment.section_kind is SectionKind.INTERVALS:
        if segment.kind is SegmentKind.OPENING:
            return SITTING
        worked = segment.kind is SegmentKind.WORK
        held = movement.equipment if movement and worked else None
        against = words and held and words.resistance.search(held)
        return WEIGHTS if against else CLASS
    if movement is None:
        return SITTING
    return STRETCHING if movement.hold else WARMING


def _energy(segments: Iterable[Segment], words: ReviewWords | None) -> Energy:
    times: dict[Activity, int] = defaultdict(int)
    for segment in segments:
        times[activity_of(segment, words)] += segment.length_ms
    blocks = (EnergyBlock(activity=a, length_ms=ms) for a, ms in times.items())
    return Energy(blocks=tuple(sorted(blocks, key=lambda block: -block.length_ms)))


def load_lines(load: Load) -> list[str]:
    """Return the load as lines of plain text."""
    times = f"Work {duration(load.work_ms)}, rest {duration(load.rest_ms)}, recovery "
    lines = [f"{times}{duration(load.recovery_ms)}."]
    if load.work_to_rest is not None and load.work_share is not None:
        lines[0] += (
            f" Work to rest and recovery {load.work_to_rest:.2f} to 1; work is "
            f"{load.work_share:.0%} of them."
        )
    if load.regions:
        parts = (
            f"{region.region} {duration(region.work_ms + region.moving_ms)}"
            for region in load.regions
        )
        lines.append(f"By region: {', '.join(parts)}.")
    if load.unknown_ms:
        told = f"{duration(load.unknown_ms)} of movement name no region."
        lines.append(told)
    if load.energy:
        lines.append(
            f"About {load.energy.met_minutes:.0f} MET-minutes, "
            f"{load.energy.mean_met:.1f} METs on average. {load.energy.source}"
        )
    return lines
