"""Movements of a plan's text added, taken out and put elsewhere."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from cuetrack.documents.editing.changes import (
    InsertItem,
    Move,
    Remove,
    SetAside,
)
from cuetrack.documents.editing.differences import matching
from cuetrack.documents.places import Place
from cuetrack.plan.words import TALKS, SectionKind
from cuetrack.planning.parts import (
    group_of,
    item_nodes,
    made_list,
)
from cuetrack.planning.section_changes import first_form, sections_placed

if TYPE_CHECKING:
    from collections.abc import Sequence

    from cuetrack.documents.editing.changes import Path
    from cuetrack.plan.model import Movement, Plan, Section
    from cuetrack.planning.parts import WrittenSection
    from cuetrack.planning.plantext import PlanText

_NOWHERE = Place()


def recognised(plan: Plan, wanted: Plan) -> Plan:
    """Return the wanted plan with the places of the parts that ``plan`` has too.

    Parts keep places that are those of the plan. Where its sections come from
    elsewhere, they are known by their kind and movements by their name; a part that
    stands twice is new the second time.
    """
    known = {s.place: s.kind for s in plan.sections if s.place.line}
    if any(known.get(s.place) is not s.kind for s in wanted.sections if s.place.line):
        wanted = _by_name(plan, wanted)
    talks = {s.kind: s.place for s in plan.sections if s.kind in TALKS}
    own = {m.place for s in plan.sections for m in s.movements if m.place.line}
    used: set[Place] = set()

    def once(part: Any, places: set[Place]) -> Any:  # noqa: ANN401 - a section or movement
        place = part.place if part.place in places - used else _NOWHERE
        used.add(place)
        return replace(part, place=place)

    sections = []
    for section in wanted.sections:
        place = section.place
        if section.kind in TALKS:
            place = talks.get(section.kind, _NOWHERE)
        whole = once(replace(section, place=place), set(known))
        movements = tuple(once(movement, own) for movement in section.movements)
        sections.append(replace(whole, movements=movements))
    return replace(wanted, sections=tuple(sections))


def _by_name(plan: Plan, wanted: Plan) -> Plan:
    kinds: dict[SectionKind, list[Place]] = defaultdict(list)
    names: dict[tuple[SectionKind, str], list[Place]] = defaultdict(list)
    for section in plan.sections:
        kinds[section.kind].append(section.place)
        for movement in section.movements:
            names[section.kind, movement.name].append(movement.place)

    def first(places: list[Place]) -> Place:
        return places.pop(0) if places else _NOWHERE

    return replace(
        wanted,
        sections=tuple(
            replace(
                section,
                place=first(kinds[section.kind]),
                movements=tuple(
                    replace(m, place=first(names[section.kind, m.name]))
                    for m in section.movements
                ),
            )
            for section in wanted.sections
        ),
    )


def restructured(
    steps: PlanText,
    written: Sequence[WrittenSection],
    plan: Plan,
    wanted: Plan,
    note: str | None,
) -> None:
    """Give the text the sections and movements of ``wanted``, in its order.

    Parameters
    ----------
    steps
        The text of ``plan``, in which nothing was put elsewhere yet.
    written
        Its sections as the plan was read from them.
    plan, wanted
        The plan as it was, and as it is to be; a part is known by its place.
    note
        What stands above a movement that was taken out; None to leave nothing.
    """
    before = {section.place: section for section in plan.sections}
    after = {section.place: section for section in wanted.sections}
    written = [each for each in written if each.place in before]
    at = {each.place: each.path for each in written}
    have = {
        each.path: [m.place for m in before[each.place].movements] for each in written
    }
    lists: dict[Path, Path] = {}
    for each in written:
        now = after.get(each.place)
        if now is None or have[each.path] != [m.place for m in now.movements]:
            items = made_list(steps, each)
            if items is not None:
                lists[each.path] = items
    for each in written:
        now = after.get(each.place)
        if now is not None and each.path in lists:
            _fill(steps, each, now.movements, have, lists)
        elif now is None or item_nodes(steps, each):
            continue
        elif _untimed(before[each.place]) != _untimed(now):
            _movements_written(steps, each, now.movements)
    for each in written:
        if each.place in after and each.path in lists:
            wished = {movement.place for movement in after[each.place].movements}
            _taken_out(steps, lists[each.path], have[each.path], wished, note)
    sections_placed(steps, plan, wanted, at)


def _untimed(section: Section) -> list[Movement]:
    return [replace(movement, duration_ms=None) for movement in section.movements]


def _taken_out(
    steps: PlanText,
    path: Path,
    have: Sequence[Place],
    wished: set[Place],
    note: str | None,
) -> None:
    """Take out of a list what is wished for nowhere, from its end to its start."""
    for index in range(len(have) - 1, -1, -1):
        if have[index].line > 0 and have[index] not in wished:
            gone: Remove | SetAside = Remove(path=(*path, index))
            if note is not None:
                gone = SetAside(path=(*path, index), note=note)
            steps.do(gone)


def _fill(
    steps: PlanText,
    section: WrittenSection,
    movements: Sequence[Movement],
    have: dict[Path, list[Place]],
    lists: dict[Path, Path],
) -> None:
    """Put movements into a list, behind one another; those in order stay."""
    mine, path = have[section.path], lists[section.path]
    wished = [movement.place for movement in movements]
    stay = set()
    for kind, i, j, _, _ in matching(mine, wished):
        if kind == "equal":
            stay.update(mine[i:j])
    index = 0
    for movement in movements:
        place = movement.place
        if place.line and place in stay:
            index = mine.index(place) + 1
            continue
        source = next((p for p, places in have.items() if place in places), None)
        if place.line and source is not None and source in lists:
            at = have[source].index(place)
            if source == section.path and at < index:
                index -= 1
            del have[source][at]
            steps.do(Move(path=(*lists[source], at), to=path, index=index))
        else:
            clocked = section.kind is SectionKind.INTERVALS
            steps.do(
                InsertItem(
                    path=path,
                    value=first_form(movement, own_time=clocked),
                    index=index,
                )
            )
            # A place no text has: it stands for one that is new in its list.
            place = Place(line=-1 - sum(map(len, have.values())))
        mine.insert(index, place)
        index += 1


def _movements_written(
    steps: PlanText, section: WrittenSection, movements: Sequence[Movement]
) -> None:
    """Write the movements of a section that names none."""
    group = group_of(section.kind)
    told = group.table.key_of("movements")
    steps.as_keys(section.path, group)
    names = tuple(movement.name for movement in movements)
    steps.set_key(section.path, group.table, told, names)
