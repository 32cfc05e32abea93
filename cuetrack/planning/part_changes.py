"""Sections and movements of a plan's text added, taken out and put elsewhere."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from cuetrack.documents.editing.changes import (
    AddKey,
    InsertItem,
    KeyValues,
    Move,
    Remove,
    SetAside,
    SetValue,
)
from cuetrack.documents.editing.differences import matching
from cuetrack.documents.places import Place
from cuetrack.documents.tree import ListNode, MappingNode
from cuetrack.errors import CuetrackError
from cuetrack.movements.model import MOVEMENT
from cuetrack.plan.words import SectionKind
from cuetrack.planning.parts import (
    TALKS,
    group_of,
    item_nodes,
    list_path,
    section_list,
    written_sections,
)
from cuetrack.planning.plantext import writable

if TYPE_CHECKING:
    from collections.abc import Sequence

    from cuetrack.documents.editing.changes import Path, Value
    from cuetrack.plan.model import Movement, Plan, Section
    from cuetrack.planning.parts import WrittenSection
    from cuetrack.planning.plantext import PlanText

_NOWHERE = Place()
_NONE = "none"
_TIME = MOVEMENT.key_of("duration_ms")


# --- which part is which ----------------------------------------------------------


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


# --- what goes where --------------------------------------------------------------


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
            items = _list_of(steps, each)
            if items is not None:
                lists[each.path] = items
    for each in written:
        now = after.get(each.place)
        if now is not None and each.path in lists:
            _fill(steps, each, now.movements, have, lists)
        elif now is not None and _untimed(before[each.place]) != _untimed(now):
            _movements_written(steps, each, now.movements)
    for each in written:
        if each.place in after and each.path in lists:
            wished = {movement.place for movement in after[each.place].movements}
            _taken_out(steps, lists[each.path], have[each.path], wished, note)
    _sections_placed(steps, plan, wanted, at)


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


def _list_of(steps: PlanText, section: WrittenSection) -> Path | None:
    """Return where the list of movements stands, a single one made a list."""
    nodes = item_nodes(steps, section)
    if list_path(steps, section) is None and nodes:
        steps.do(SetValue(path=section.path, value=(steps.value(section.path),)))
    return list_path(steps, section) if nodes else None


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
                    value=_first_form(movement, own_time=clocked),
                    index=index,
                )
            )
            # A place no text has: it stands for one that is new in its list.
            place = Place(line=-1 - sum(map(len, have.values())))
        mine.insert(index, place)
        index += 1


def _first_form(movement: Movement, *, own_time: bool) -> Value:
    """Return a movement by its name, in intervals with the time it has of its own."""
    if movement.duration_ms is None or not own_time:
        return movement.name
    time = writable(_TIME.shape, movement.duration_ms)
    return KeyValues(((movement.name, time),))


def _movements_written(
    steps: PlanText, section: WrittenSection, movements: Sequence[Movement]
) -> None:
    """Write the movements of a section that names none."""
    group = group_of(section.kind)
    told = group.table.key_of("movements")
    steps.as_keys(section.path, group)
    names = tuple(movement.name for movement in movements)
    steps.set_key(section.path, group.table, told, names)


# --- sections ---------------------------------------------------------------------


def _sections_placed(
    steps: PlanText, plan: Plan, wanted: Plan, at: dict[Place, Path]
) -> None:
    """Take out, put elsewhere and add whole sections; ``at`` is where they stand."""
    others = [section for section in wanted.sections if section.kind not in TALKS]
    above = section_list(steps)
    if above is None:
        _placed_as_keys(steps, others, {p: str(path[0]) for p, path in at.items()})
    else:
        _placed_in_list(steps, above, others, {p: path[1] for p, path in at.items()})
    talks_placed(steps, plan, wanted)


def talks_placed(steps: PlanText, plan: Plan, wanted: Plan) -> None:
    """Add a welcome or close that is to be otherwise than it is unsaid."""
    for kind in (SectionKind.WELCOME, SectionKind.CLOSE):
        _talk_placed(steps, plan, wanted, kind)


def _talk_placed(steps: PlanText, plan: Plan, wanted: Plan, kind: SectionKind) -> None:
    """Add the welcome or close where it is to be otherwise than unsaid, or none."""
    was, now = (
        next((s for s in each.sections if s.kind is kind), None)
        for each in (plan, wanted)
    )
    written = next((w for w in written_sections(steps) if w.kind is kind), None)
    if (was is None) == (now is None) and (written is not None or was == now):
        return
    value = _NONE if now is None else section_value(now)
    above = section_list(steps)
    if written is not None:
        steps.do(SetValue(path=written.path, value=value))
    elif above is not None:
        node = steps.node(above)
        last = len(node.items) if isinstance(node, ListNode) else 0
        index = 0 if kind is SectionKind.WELCOME else last
        item = KeyValues(((kind.value, value),))
        steps.do(InsertItem(path=above, value=item, index=index))
    else:
        _add_section(steps, kind, value, opening=kind is SectionKind.WELCOME)


def _add_section(
    steps: PlanText,
    kind: SectionKind,
    value: Value,
    *,
    behind: str = "",
    opening: bool = False,
) -> None:
    """Add a section as a key: first of all sections, behind one, or last."""
    keys = _root_keys(steps)
    index = len(keys)
    if behind:
        index = keys.index(behind) + 1
    elif opening:
        index = min(map(keys.index, _section_keys(steps)), default=index)
    steps.do(AddKey(path=(), key=kind.value, value=value, index=index, apart=True))


def _root_keys(steps: PlanText) -> list[str]:
    root = steps.root
    entries = root.entries if isinstance(root, MappingNode) else ()
    return [entry.key.text for entry in entries]


def _section_keys(steps: PlanText) -> list[str]:
    return [str(each.path[0]) for each in written_sections(steps)]


def _placed_as_keys(
    steps: PlanText, sections: Sequence[Section], at: dict[Place, str]
) -> None:
    wished = {section.place for section in sections}
    new = {section.kind for section in sections if section.place not in at}
    for each in list(written_sections(steps)):
        key = str(each.path[0])
        known = key in {at[place] for place in wished if place in at}
        if not known and each.kind not in TALKS and each.kind not in new:
            steps.do(Remove(path=each.path))
    order = [key for key in _section_keys(steps) if key in at.values()]
    target = [at.get(section.place, "") for section in sections]
    stay = {
        key
        for kind, i, j, _, _ in matching(order, target)
        if kind == "equal"
        for key in order[i:j]
    }
    behind = ""
    for section, key in zip(sections, target, strict=True):
        if not key:
            behind = _new_section(steps, section, behind, set(target))
            continue
        if key not in stay:
            left = [k for k in _root_keys(steps) if k != key]
            others = [k for k in _section_keys(steps) if k != key]
            index = min(map(left.index, others), default=len(left))
            index = left.index(behind) + 1 if behind else index
            steps.do(Move(path=(key,), to=(), index=index))
        behind = key


def _new_section(
    steps: PlanText, section: Section, behind: str, taken: set[str]
) -> str:
    """Add a section as a key, in place of one of its kind that is to go."""
    value = section_value(section)
    for each in written_sections(steps):
        if each.kind is section.kind:
            key = str(each.path[0])
            if key in taken:
                what = f"A second {section.kind} needs the sections in a list."
                remedy = 'Write them under "sections:", each after "- ", and try again.'
                raise CuetrackError(what, remedy)
            steps.do(SetValue(path=each.path, value=value))
            return key
    _add_section(steps, section.kind, value, behind=behind, opening=not behind)
    return section.kind.value


def _placed_in_list(
    steps: PlanText,
    above: Path,
    sections: Sequence[Section],
    at: dict[Place, str | int],
) -> None:
    """Order the items of the list of sections; a talk stays at its end."""
    placed = {index: place for place, index in at.items()}
    items: list[Place | SectionKind] = [
        each.kind if each.kind in TALKS else placed.get(number, _NOWHERE)
        for number, each in enumerate(written_sections(steps))
    ]
    target = [section.place for section in sections]
    stay = {
        place
        for kind, i, j, _, _ in matching(items, target)
        if kind == "equal"
        for place in items[i:j]
    }
    index = int(bool(items) and items[0] is SectionKind.WELCOME)
    for section in sections:
        place = section.place
        if place in stay:
            index = items.index(place) + 1
            continue
        if place in items:
            source = items.index(place)
            items.pop(source)
            index -= source < index
            steps.do(Move(path=(*above, source), to=above, index=index))
        else:
            value = KeyValues(((section.kind.value, section_value(section)),))
            steps.do(InsertItem(path=above, value=value, index=index))
            place = Place(line=-1 - len(items))
        items.insert(index, place)
        index += 1
    for number in range(len(items) - 1, -1, -1):
        item = items[number]
        if isinstance(item, Place) and item.line > 0 and item not in target:
            steps.do(Remove(path=(*above, number)))


def section_value(section: Section) -> Value:
    """Return a new section in its shortest form; what that lacks is written later."""
    if section.kind in TALKS:
        told = group_of(section.kind).table.key_of("duration_ms")
        return writable(told.shape, section.duration_ms)
    clock = section.intervals
    movements = tuple(
        _first_form(movement, own_time=clock is not None)
        for movement in section.movements
    )
    if clock is None:
        return movements
    keys = group_of(section.kind).table
    times = tuple(
        (told.word, writable(told.shape, getattr(clock, told.attribute)))
        for told in map(keys.key_of, ("work_ms", "rest_ms", "rounds"))
    )
    told = keys.key_of("movements")
    return KeyValues((*times, (told.word, movements)))
