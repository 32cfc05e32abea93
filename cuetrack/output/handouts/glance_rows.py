"""A class at a glance: a row a movement, with the time of it in every round."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import groupby
from typing import TYPE_CHECKING, Final

from cuetrack.cues.model import MOVING, SegmentKind
from cuetrack.cues.timeline import activities
from cuetrack.output.handouts.sheet_text import apart, capital, short_length, shown
from cuetrack.times import clock

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from cuetrack.cues.model import Segment, Timeline
    from cuetrack.languages.phrases import Phrases
    from cuetrack.plan.model import Movement, Plan

    Run = tuple[Segment, ...]

MOST_COLUMNS: Final = 3
"""Rounds that have a column of their own; the times of others stand in the row."""


@dataclass(frozen=True, slots=True, kw_only=True)
class GlanceRow:
    """A movement of a section, once for all its rounds.

    ``times`` are its starts in the rounds that have a column, ``figure`` is the name
    of the movement as its drawing is looked up.
    """

    times: tuple[str, ...]
    name: str
    figure: str
    notes: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class GlancePart:
    """A section: its head, a line on its clock, its columns and rows.

    ``breaks`` are the lines of its recovery breaks.
    """

    title: str
    start: str
    length: str
    clock: str
    columns: tuple[str, ...]
    rows: tuple[GlanceRow, ...]
    breaks: tuple[str, ...]


def glance_parts(
    plan: Plan, timeline: Timeline, phrases: Phrases
) -> tuple[GlancePart, ...]:
    """Return the sections of a class in order."""
    by_section = groupby(activities(timeline.segments), key=lambda run: run[0].section)
    return tuple(_part(plan, list(runs), phrases) for _, runs in by_section)


def movements_at_a_glance(timeline: Timeline) -> tuple[Movement, ...]:
    """Return every movement that has a row, in order, each name once."""
    found = {
        s.movement.name: s.movement
        for s in reversed(timeline.segments)
        if s.movement and s.kind in MOVING
    }
    return tuple(reversed(found.values()))


def _part(plan: Plan, runs: Sequence[Run], phrases: Phrases) -> GlancePart:
    first, last = runs[0][0], runs[-1][-1]
    rounds = first.round_count or max((r[0].round_count or 1 for r in runs), default=1)
    moved = [run for run in runs if run[0].kind in MOVING]
    columns = min(rounds, MOST_COLUMNS)
    told = [
        phrases.on_sheet("glance round", round=str(number + 1))
        for number in range(columns)
    ]
    return GlancePart(
        title=apart(shown(first.section_title)),
        start=clock(first.start_ms),
        length=short_length(last.end_ms - first.start_ms, phrases),
        clock=_clock(plan, first.section, phrases),
        columns=tuple(told) if rounds > 1 else (),
        rows=tuple(
            _row(again, columns, phrases) for again in _by_place_in_round(moved)
        ),
        breaks=tuple(_breaks(runs, phrases)),
    )


def _clock(plan: Plan, section: int, phrases: Phrases) -> str:
    intervals = plan.sections[section].intervals
    if intervals is None:
        return ""
    key = "glance alike" if not intervals.rest_ms else "glance clock"
    told = phrases.on_sheet(
        key,
        work=short_length(intervals.work_ms, phrases),
        rest=short_length(intervals.rest_ms, phrases),
    )
    changes = any(change.work_ms or change.rest_ms for change in intervals.in_rounds)
    return f"{told} {phrases.sheet['glance changes']}" if changes else told


def _by_place_in_round(moved: Sequence[Run]) -> list[list[Run]]:
    """Return the runs of each movement of a section, those of later rounds with it."""
    found: dict[tuple[int | None, str], list[Run]] = {}
    for run in moved:
        name = run[0].movement.name if run[0].movement else ""
        found.setdefault((run[0].position, name), []).append(run)
    return list(found.values())


def _row(again: Sequence[Run], columns: int, phrases: Phrases) -> GlanceRow:
    first = again[0]
    movement = first[0].movement
    if movement is None:
        raise ValueError("a row is that of a movement")
    starts = {run[0].round or 1: clock(run[0].start_ms) for run in again}
    later = [start for number, start in starts.items() if number > columns]
    notes = [_length(first, phrases, once=len(again) == 1)]
    if movement.equipment:
        thing = phrases.without_article(movement.equipment)
        notes.append(phrases.on_sheet("glance with", thing=apart(shown(thing))))
    if later:
        notes.append(
            phrases.on_sheet("glance later", times=phrases.listed(tuple(later)))
        )
    return GlanceRow(
        times=tuple(starts.get(number + 1, "") for number in range(columns)),
        name=apart(capital(shown(movement.name))),
        figure=shown(movement.name),
        notes=tuple(notes),
    )


def _length(run: Run, phrases: Phrases, *, once: bool) -> str:
    """Return how long a movement is done, and when its side changes."""
    length = short_length(run[-1].end_ms - run[0].start_ms, phrases)
    if len(run) == 1:
        return length
    sides = [
        phrases.on_sheet(
            "side at", side=apart(shown(side.side or "")), time=clock(side.start_ms)
        )
        if once
        else apart(shown(side.side or ""))
        for side in run
    ]
    told = phrases.listed(tuple(sides))
    return phrases.on_sheet("glance sides", length=length, sides=told)


def _breaks(runs: Sequence[Run], phrases: Phrases) -> Iterator[str]:
    for run in runs:
        if run[0].kind is SegmentKind.RECOVERY and run[0].movement is not None:
            name = apart(shown(run[0].movement.name))
            yield phrases.on_sheet(
                "glance break",
                time=clock(run[0].start_ms),
                recovery=phrases.on_sheet("recovery", movement=name),
                length=short_length(run[-1].end_ms - run[0].start_ms, phrases),
            )
