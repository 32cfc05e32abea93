"""A plan's file changed as wanted: remarks, order and layout stay as they were.

The plan as read and the plan as wanted are compared; what differs is changed in the
text, key by key, as the model declares them. The new text is then read again, what
it still lacks (words that the library would give otherwise) is written too, and only
when it means exactly the wanted plan is it handed out.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import fields, is_dataclass, replace
from typing import TYPE_CHECKING

from cuetrack.documents.groups import KeyGroup
from cuetrack.errors import CuetrackError, PlanError
from cuetrack.plan.model import PLAN
from cuetrack.planning.part_changes import recognised, restructured
from cuetrack.planning.parts import group_of, made_list, written_sections
from cuetrack.planning.plantext import PlanText, writable
from cuetrack.planning.section_changes import talks_placed
from cuetrack.planning.section_times import times_written

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

    from cuetrack.documents.places import Place
    from cuetrack.plan.model import Intervals, Movement, Plan, Section
    from cuetrack.planning.parts import WrittenSection

LEFT_OUT = "Left out:"
_PASSES = 4
_HEAD = KeyGroup(table=PLAN)
_ELSEWHERE = ("movements", "stated_ms", "between_rounds")


def rewritten(
    text: str,
    plan: Plan,
    wanted: Plan,
    read: Callable[[str], Plan],
    *,
    note: str | None = LEFT_OUT,
) -> str:
    """Return ``text`` with as little changed as makes it mean ``wanted``.

    Parameters
    ----------
    text, plan
        The file, and the plan that was read from it.
    wanted
        ``plan`` with anything in it otherwise. What has a place is the part that
        was read there, wherever it is wanted now; what has none is new.
    read
        Reads a text as the file was read.
    note
        What stands above a movement that was taken out, as a remark; None to
        leave nothing of it.

    Raises
    ------
    CuetrackError
        When the change cannot be made in this text, or makes no plan.
    """
    wanted = recognised(plan, wanted)
    steps = PlanText(text, plan.file)
    written = tuple(written_sections(steps))
    pairs = _paired_by_place(written, plan, wanted)
    _keys_written(steps, plan, wanted, pairs, _by_place(plan, wanted))
    restructured(steps, written, plan, wanted, note)
    times_written(steps, plan, wanted)
    for _ in range(_PASSES):
        meant = _read(read, steps.text)
        if plainly(meant) == plainly(wanted):
            return steps.text
        before = steps.text
        steps = PlanText(before, plan.file, anew=True)
        pairs = _paired_in_order(steps, meant, wanted)
        _keys_written(steps, meant, wanted, pairs, None)
        talks_placed(steps, meant, wanted)
        times_written(steps, plan, wanted)
        if steps.text == before:
            break
    said = _first_difference(plainly(meant), plainly(wanted))
    what = f"No edit of this text makes it mean the wanted plan: {said}."
    raise CuetrackError(what, "Change it in a text editor.", file=plan.file)


def _first_difference(meant: object, wanted: object) -> str:
    """Return the innermost attribute that differs, with those around it."""
    if isinstance(meant, tuple) and isinstance(wanted, tuple):
        if len(meant) != len(wanted):
            return f"{len(meant)} in place of {len(wanted)}"
        pairs = [
            (f"number {i}", *pair)
            for i, pair in enumerate(zip(meant, wanted, strict=True), start=1)
        ]
    elif is_dataclass(meant) and is_dataclass(wanted):
        pairs = [
            (each.name, getattr(meant, each.name), getattr(wanted, each.name))
            for each in fields(meant)
            if each.compare
        ]
    else:
        return f"{meant!r} in place of {wanted!r}"
    name, was, now = next(pair for pair in pairs if pair[1] != pair[2])
    return f"{name}, {_first_difference(was, now)}"


def _read(read: Callable[[str], Plan], text: str) -> Plan:
    try:
        return read(text)
    except PlanError as error:
        first = error.problems[0]
        what = f"Changed like this it is no plan: {first.what}"
        raise CuetrackError(what, first.remedy) from error


def plainly(plan: Plan) -> Plan:
    """Return a plan without breaks between rounds that never come."""
    sections = tuple(
        replace(section, intervals=replace(section.intervals, between_rounds=None))
        if section.intervals
        and section.intervals.rounds == 1
        and not section.intervals.break_after_last
        else section
        for section in plan.sections
    )
    return replace(plan, sections=sections)


_Pair = tuple["WrittenSection", "Section", "Section"]
_Movements = Mapping["Place", "Movement"]


def _by_place(plan: Plan, wanted: Plan) -> _Movements:
    """Return the movements as wanted by where they stand, if they do as before."""
    own_times = {
        movement.place: section.intervals is None
        for section in plan.sections
        for movement in section.movements
    }
    return {
        movement.place: movement
        for section in wanted.sections
        for movement in section.movements
        if own_times.get(movement.place) is (section.intervals is None)
    }


def _paired_by_place(
    written: Iterable[WrittenSection], plan: Plan, wanted: Plan
) -> list[_Pair]:
    """Return the written sections that stay, each as it was read and as wanted."""
    before = {section.place: section for section in plan.sections}
    after = {section.place: section for section in wanted.sections}
    return [
        (each, before[each.place], after[each.place])
        for each in written
        if each.place in before and each.place in after
    ]


def _paired_in_order(steps: PlanText, meant: Plan, wanted: Plan) -> list[_Pair]:
    """Return the written sections, where there are as many of each kind as wanted."""
    kinds = [[section.kind for section in each.sections] for each in (meant, wanted)]
    if kinds[0] != kinds[1]:
        return []
    places = {section.place: i for i, section in enumerate(meant.sections)}
    return [
        (each, meant.sections[places[each.place]], wanted.sections[places[each.place]])
        for each in written_sections(steps)
        if each.place in places
    ]


def _keys_written(
    steps: PlanText,
    before: Plan,
    after: Plan,
    pairs: Iterable[_Pair],
    movements: _Movements | None,
) -> None:
    """Write the keys of the plan and of paired sections that are to be otherwise.

    ``movements`` are those wanted by their places; None where they are in order.
    """
    steps.edit_group((), _HEAD, before, after, skip=("sections",))
    for written, was, now in pairs:
        _movements_written(steps, written, was, now, movements)
        if was.intervals and now.intervals:
            _break_written(steps, written, was.intervals, now.intervals)
        group = group_of(written.kind)
        steps.edit_group(written.path, group, was, now, skip=_ELSEWHERE)


def _movements_written(
    steps: PlanText,
    written: WrittenSection,
    was: Section,
    now: Section,
    movements: _Movements | None,
) -> None:
    """Write what is otherwise in movements, but for the times of plain sections."""
    skip = () if was.intervals else ("duration_ms", "rest_ms")
    wanted = now.movements
    if movements is not None:
        wanted = tuple(movements.get(one.place, one) for one in was.movements)
    for index, (before, after) in enumerate(zip(was.movements, wanted, strict=False)):
        same = after
        for name in skip:
            same = replace(same, **{name: getattr(before, name)})
        path = made_list(steps, written) if before != same else None
        if path is not None:
            steps.edit_movement((*path, index), before, after, skip=skip)


def _break_written(
    steps: PlanText, written: WrittenSection, was: Intervals, now: Intervals
) -> None:
    """Write the break between rounds: none, its time, and what is done in it."""
    before, after = was.between_rounds, now.between_rounds
    table = group_of(written.kind).table
    told = table.key_of("between_rounds")
    group = told.shape
    if before == after or not isinstance(group, KeyGroup):
        return
    word = steps.word(written.path, told)
    if after is None:
        if now.rounds > 1 or now.break_after_last:
            steps.set_key(written.path, table, told, "none")
        return
    time = writable(group.table.key_of("duration_ms").shape, after.duration_ms)
    if word is None or before is None:
        steps.set_key(written.path, table, told, time)
        return
    path = (*written.path, word)
    steps.edit_group(path, group, before, after, skip=("movement",))
    if before.movement != after.movement:
        steps.edit_group(path, group, before, after, skip=("duration_ms",))
