"""From a plan to its timeline: every stretch of the class, in whole milliseconds.

The rules are those of the trade. Works of a round are parted by rests, rounds by
the recovery break; the last work of a round has no rest of its own, and nothing
follows the last round unless the plan asks for a break there. Rounds without a
recovery break are parted by an ordinary rest. A movement with sides is split into
equal parts, one a side, which share an activity. Stretches of no length vanish.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from itertools import groupby, pairwise
from typing import TYPE_CHECKING

from cuetrack.cues.model import Segment, SegmentKind, Timeline
from cuetrack.errors import PlanError, Problem
from cuetrack.plan.model import Intervals, Movement, SectionKind
from cuetrack.plan.rounds import rounds_of

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from cuetrack.plan.model import Coaching, Plan, Section


@dataclass(frozen=True, slots=True, kw_only=True)
class _UnplacedSegment:
    """A segment that knows its length but not yet its place."""

    id: str
    kind: SegmentKind
    length_ms: int
    activity: str = ""
    movement: Movement | None = None
    round: int | None = None
    round_count: int | None = None
    position: int | None = None
    position_count: int | None = None
    side: str | None = None
    coaching: Coaching | None = None


def lay_out(plan: Plan) -> Timeline:
    """Return every segment of the class, without gap or overlap, from 0.

    Raises
    ------
    PlanError
        A movement of a plain section has no duration.
    """
    names = _section_names([section.kind for section in plan.sections])
    placed: list[Segment] = []
    now_ms = 0
    for index, (name, section) in enumerate(zip(names, plan.sections, strict=True)):
        for stretch in _stretches(name, section, plan.file):
            if stretch.length_ms <= 0:
                continue
            placed.append(_placed(stretch, index, section, now_ms))
            now_ms = placed[-1].end_ms
    return Timeline(segments=_with_next_movements(placed))


def _section_names(kinds: Iterable[SectionKind]) -> list[str]:
    """Return a name per section: its kind, numbered from the second of a kind."""
    seen: dict[SectionKind, int] = {}
    names = []
    for kind in kinds:
        seen[kind] = seen.get(kind, 0) + 1
        names.append(kind.value if seen[kind] == 1 else f"{kind.value}{seen[kind]}")
    return names


def _stretches(name: str, section: Section, file: str) -> Iterator[_UnplacedSegment]:
    yield _UnplacedSegment(
        id=f"{name}.opening", kind=SegmentKind.OPENING, length_ms=section.opening_ms
    )
    if section.duration_ms is not None and not section.movements:
        kind = (
            SegmentKind.CLOSE
            if section.kind is SectionKind.CLOSE
            else SegmentKind.WELCOME
        )
        yield _UnplacedSegment(id=name, kind=kind, length_ms=section.duration_ms)
    if section.intervals is None:
        yield from _plain(name, section, file)
    else:
        yield from _intervals(name, section.movements, section.intervals)


def _plain(name: str, section: Section, file: str) -> Iterator[_UnplacedSegment]:
    for position, movement in enumerate(section.movements, start=1):
        if movement.duration_ms is None:
            raise PlanError([_no_duration(movement, file)])
        yield from _sides(
            _UnplacedSegment(
                id=f"{name}.m{position}",
                kind=SegmentKind.MOVE,
                length_ms=movement.duration_ms,
                movement=movement,
                position=position,
                position_count=len(section.movements),
            )
        )


def _no_duration(movement: Movement, file: str) -> Problem:
    return Problem(
        file=file,
        line=movement.place.line,
        column=movement.place.column,
        what=f"'{movement.name}' has no duration.",
        remedy="Say how long it is done, for example 30 s.",
    )


def _intervals(
    name: str, movements: tuple[Movement, ...], intervals: Intervals
) -> Iterator[_UnplacedSegment]:
    rounds, pause = rounds_of(intervals), intervals.between_rounds
    for one in rounds:
        last_round = one is rounds[-1]
        for position, movement in enumerate(movements, start=1):
            work = _UnplacedSegment(
                id=f"{name}.r{one.number}.m{position}",
                kind=SegmentKind.WORK,
                length_ms=one.work_of(movement),
                movement=one.done_with(movement),
                round=one.number,
                round_count=intervals.rounds,
                position=position,
                position_count=len(movements),
                coaching=one.coaching,
            )
            yield from _sides(work)
            ends_round = position == len(movements)
            if not ends_round or not (last_round or pause):
                yield replace(
                    work,
                    id=f"{work.id}.rest",
                    kind=SegmentKind.REST,
                    length_ms=one.rest_after(movement),
                    movement=None,
                )
        if pause and (not last_round or intervals.break_after_last):
            yield _UnplacedSegment(
                id=f"{name}.r{one.number}.recovery",
                kind=SegmentKind.RECOVERY,
                length_ms=pause.duration_ms,
                movement=pause.movement,
                round=one.number,
                round_count=intervals.rounds,
                coaching=one.coaching,
            )


def _sides(whole: _UnplacedSegment) -> Iterator[_UnplacedSegment]:
    """Yield one stretch a side; lengths differ by 1 ms at most, sum unchanged."""
    sides = whole.movement.sides if whole.movement else ()
    if not sides:
        yield whole
        return
    cuts = [whole.length_ms * part // len(sides) for part in range(len(sides) + 1)]
    slugs = [re.sub(r"[^\w]+", "-", side.lower()).strip("-") for side in sides]
    for number, (side, (start_ms, end_ms)) in enumerate(
        zip(sides, pairwise(cuts), strict=True)
    ):
        slug = slugs[number]
        unique = slug and slugs.count(slug) == 1
        yield replace(
            whole,
            id=f"{whole.id}.{slug if unique else f'side{number + 1}'}",
            activity=whole.id,
            length_ms=end_ms - start_ms,
            side=side,
        )


def _placed(
    stretch: _UnplacedSegment, index: int, section: Section, start_ms: int
) -> Segment:
    return Segment(
        id=stretch.id,
        activity=stretch.activity or stretch.id,
        section=index,
        section_kind=section.kind,
        section_title=section.title,
        kind=stretch.kind,
        start_ms=start_ms,
        end_ms=start_ms + stretch.length_ms,
        movement=stretch.movement,
        round=stretch.round,
        round_count=stretch.round_count,
        position=stretch.position,
        position_count=stretch.position_count,
        side=stretch.side,
        coaching=stretch.coaching,
    )


def _with_next_movements(segments: list[Segment]) -> tuple[Segment, ...]:
    """Tell each segment the movement of the first later activity that has one."""
    finished: list[Segment] = []
    upcoming: Segment | None = None
    after_upcoming: Movement | None = None
    for segment in reversed(segments):
        if upcoming is None or segment.activity != upcoming.activity:
            after_upcoming = upcoming.movement if upcoming else None
        finished.append(replace(segment, next_movement=after_upcoming))
        if segment.movement is not None:
            upcoming = segment
    return tuple(reversed(finished))


def activities(segments: Iterable[Segment]) -> tuple[tuple[Segment, ...], ...]:
    """Return the segments grouped by activity: the sides of a movement together."""
    grouped = groupby(segments, key=lambda segment: segment.activity)
    return tuple(tuple(group) for _, group in grouped)
