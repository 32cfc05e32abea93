"""The times of sections without intervals, written as shortly as they can be."""

from __future__ import annotations

from typing import TYPE_CHECKING

from cuetrack.documents.durations import parse_duration
from cuetrack.documents.editing.changes import SetValue
from cuetrack.documents.tree import MappingNode
from cuetrack.movements.model import MOVEMENT
from cuetrack.plan.lengths import share_out
from cuetrack.plan.sections import usual_total_ms
from cuetrack.plan.words import TALKS
from cuetrack.planning.parts import (
    group_of,
    item_nodes,
    list_path,
    said_movement,
    written_sections,
)
from cuetrack.planning.plantext import written as written_value

if TYPE_CHECKING:
    from collections.abc import Mapping

    from cuetrack.documents.editing.changes import Value
    from cuetrack.documents.places import Place
    from cuetrack.plan.model import Plan, Section
    from cuetrack.planning.parts import WrittenSection
    from cuetrack.planning.plantext import PlanText

_TIME, _REST = MOVEMENT.key_of("duration_ms"), MOVEMENT.key_of("rest_ms")


def times_written(steps: PlanText, plan: Plan, wanted: Plan) -> None:
    """Write how long the movements of sections without intervals are to last.

    Parameters
    ----------
    steps
        The text, which has the movements that are wanted.
    plan
        The plan as it was, whose movements are known by their places.
    wanted
        The plan with the times to write.
    """
    before = {
        movement.place: movement.duration_ms
        for section in plan.sections
        for movement in section.movements
        if movement.place.line
    }
    written = [each for each in written_sections(steps) if each.kind not in TALKS]
    sections = [each for each in wanted.sections if each.kind not in TALKS]
    if [each.kind for each in written] != [each.kind for each in sections]:
        return
    for each, section in zip(written, sections, strict=True):
        if section.intervals is None:
            _section_timed(steps, each, section, before)


def _section_timed(
    steps: PlanText,
    written: WrittenSection,
    section: Section,
    before: Mapping[Place, int | None],
) -> None:
    nodes = item_nodes(steps, written)
    total_ms = sum(movement.duration_ms or 0 for movement in section.movements)
    if not nodes and len(section.movements) == 1:
        _total_written(steps, written, total_ms)
        return
    if len(nodes) != len(section.movements):
        return
    said = [said_movement(node) for node in nodes]
    pairs = list(zip(said, section.movements, strict=True))
    silent = [i for i, one in enumerate(said) if one and not one.says_time]
    own = _needing_own(section, silent, before)
    path = list_path(steps, written)
    for index, (was, now) in enumerate(pairs):
        if was and path and was.wrote("rest_ms"):
            steps.movement_key((*path, index), _REST, was.rest_ms, None)
        stated = was is not None and was.wrote("duration_ms")
        moved = before.get(now.place, now.duration_ms) != now.duration_ms
        held = index not in silent and not stated and moved
        told_here = index in own or stated or held
        if was and path and told_here and was.duration_ms != now.duration_ms:
            item = (*path, index)
            steps.movement_key(item, _TIME, was.duration_ms, now.duration_ms)
    left = [index for index in silent if index not in own]
    if left:
        stated_ms = total_ms - sum(
            section.movements[index].duration_ms or 0 for index in left
        )
        usual_ms = usual_total_ms(section.kind, stated_ms, len(left))
        _total_written(steps, written, total_ms, unsaid_ms=usual_ms)
    else:
        _total_written(steps, written, total_ms, unsaid_ms=total_ms)


def _needing_own(
    section: Section, silent: list[int], before: Mapping[Place, int | None]
) -> list[int]:
    """Return which movements that share a time need one of their own instead."""
    times = [movement.duration_ms or 0 for movement in section.movements]
    changed = [
        index
        for index in silent
        if before.get(section.movements[index].place) != times[index]
    ]
    for own in ([], changed):
        left = [index for index in silent if index not in own]
        left_ms = sum(times[index] for index in left)
        if not left or share_out(left_ms, len(left)) == tuple(times[i] for i in left):
            return own
    return silent


def _total_written(
    steps: PlanText,
    written: WrittenSection,
    total_ms: int,
    *,
    unsaid_ms: int | None = None,
) -> None:
    """Write the time of a whole section, unless it would be that unsaid."""
    group = group_of(written.kind)
    told = group.table.key_of("stated_ms")
    node = steps.node(written.path)
    short = not isinstance(node, MappingNode) and group.meant(node) is told
    word = steps.word(written.path, told)
    if short or word is not None:
        path = (*written.path, word) if word else written.path
        if _ms(steps.value(path)) != total_ms:
            steps.do(SetValue(path=path, value=written_value(told.shape, total_ms)))
    elif unsaid_ms != total_ms:
        steps.as_keys(written.path, group)
        time = written_value(told.shape, total_ms)
        steps.add(written.path, group.table, told, time)


def _ms(value: Value) -> int | None:
    """Return the time that a value says, None where it says none."""
    try:
        return parse_duration(value) if isinstance(value, str) else None
    except ValueError:
        return None
