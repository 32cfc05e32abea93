"""How much work a class is: minutes by section and region, and energy.

Energy is an estimate. Its values are those of the 2024 Older Adult Compendium of
Physical Activities (Willis and others, J Sport Health Sci 13:13-17), in METs of
people of 60 and over, whose unit is 2.7 mL of oxygen per kg and minute and not the
3.5 of other tables. Each block keeps the value of one published activity; sums and
means over blocks are arithmetic of this program. Real people scatter by a fifth to
a third around such values.

The value of a chair class is that of whole classes, rests and weights in them, and
nobody measured its parts. So two estimates are made. The least has strength work as
light resistance, and rests and breaks as sitting quietly. The most has all work as
the class, and rests and breaks as neither more nor less than everything else. Neither
rises because rest grows, and neither asks what is held in the hands.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from cuetrack.cues.model import SegmentKind
from cuetrack.plan.model import Role, SectionKind
from cuetrack.review.limits import COMPENDIUM_AGE
from cuetrack.times import duration

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from cuetrack.cues.model import Segment, Timeline
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
    """The energy of a class, as an estimate.

    ``eased_ms`` is time that counts for as much as the mean of all blocks.
    """

    blocks: tuple[EnergyBlock, ...]
    eased_ms: int = 0

    @property
    def met_minutes(self) -> float:
        """MET-minutes of the whole time."""
        told = sum(block.met_minutes for block in self.blocks)
        return told + self.mean_met * self.eased_ms / 60_000

    @property
    def mean_met(self) -> float:
        """MET-minutes over minutes."""
        minutes = sum(block.length_ms for block in self.blocks) / 60_000
        return sum(b.met_minutes for b in self.blocks) / minutes if minutes else 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class EnergyRange:
    """Between which two estimates the energy of a class lies."""

    least: Energy
    most: Energy
    source: str = SOURCE


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
    energy: EnergyRange | None

    @property
    def moved_ms(self) -> int:
        """Time in which people move: work, movements and recovery, no rest."""
        moving_ms = sum(section.moving_ms for section in self.sections)
        return self.work_ms + moving_ms + self.recovery_ms

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
        energy=_energy(timeline.segments) if known_age else None,
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


def activity_of(segment: Segment) -> Activity | None:
    """Return the published activity that comes nearest; None for rests and breaks."""
    if segment.kind in (SegmentKind.REST, SegmentKind.RECOVERY):
        return None
    if segment.movement is None:
        return SITTING
    if segment.section_kind is SectionKind.INTERVALS:
        return CLASS
    return STRETCHING if segment.movement.hold else WARMING


def _energy(segments: tuple[Segment, ...]) -> EnergyRange:
    least: dict[Activity, int] = defaultdict(int)
    most: dict[Activity, int] = defaultdict(int)
    eased_ms = 0
    for segment in segments:
        activity = activity_of(segment)
        strong = segment.movement and segment.movement.role is Role.STRENGTH
        low = WEIGHTS if activity is CLASS and strong else activity or SITTING
        least[low] += segment.length_ms
        if activity is None:
            eased_ms += segment.length_ms
        else:
            most[activity] += segment.length_ms
    return EnergyRange(
        least=Energy(blocks=_blocks(least)),
        most=Energy(blocks=_blocks(most), eased_ms=eased_ms),
    )


def _blocks(times: Mapping[Activity, int]) -> tuple[EnergyBlock, ...]:
    blocks = (EnergyBlock(activity=a, length_ms=ms) for a, ms in times.items())
    return tuple(sorted(blocks, key=lambda block: -block.length_ms))


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
            f"{duration(load.moved_ms)} of movement. About "
            f"{_told(load.energy.least.met_minutes, load.energy.most.met_minutes, 0)} "
            "MET-minutes, "
            f"{_told(load.energy.least.mean_met, load.energy.most.mean_met, 1)} METs "
            "on average: rests as sitting still and strength as light, or all as in "
            f"the classes that were measured. {load.energy.source}"
        )
    return lines


def _told(least: float, most: float, decimals: int) -> str:
    """Return a range in rounded numbers, one where both are the same."""
    low, high = f"{least:.{decimals}f}", f"{most:.{decimals}f}"
    return low if low == high else f"{low} to {high}"
