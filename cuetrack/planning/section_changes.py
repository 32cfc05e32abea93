"""Sections of a plan's text added, taken out and put elsewhere."""

from __future__ import annotations

from typing import TYPE_CHECKING

from cuetrack.documents.editing.changes import (
    AddKey,
    InsertItem,
    KeyValues,
    ListKeys,
    Move,
    Remove,
    SetValue,
)
from cuetrack.documents.editing.differences import matching
from cuetrack.documents.places import Place
from cuetrack.documents.tree import ListNode, MappingNode
from cuetrack.movements.model import MOVEMENT
from cuetrack.plan.words import TALKS, SectionKind
from cuetrack.planning.parts import (
    SECTION_LIST,
    group_of,
    section_list,
    written_sections,
)
from cuetrack.planning.plantext import writable

if TYPE_CHECKING:
    from collections.abc import Sequence

    from cuetrack.documents.editing.changes import Path, Value
    from cuetrack.plan.model import Movement, Plan, Section
    from cuetrack.planning.plantext import PlanText

_NOWHERE = Place()
_NONE = "none"
_TIME = MOVEMENT.key_of("duration_ms")


def first_form(movement: Movement, *, own_time: bool) -> Value:
    """Return a movement by its name, in intervals with the time it has of its own."""
    if movement.duration_ms is None or not own_time:
        return movement.name
    time = writable(_TIME.shape, movement.duration_ms)
    return KeyValues(((movement.name, time),))


def sections_placed(
    steps: PlanText, plan: Plan, wanted: Plan, at: dict[Place, Path]
) -> None:
    """Take out, put elsewhere and add whole sections; ``at`` is where they stand."""
    others = [section for section in wanted.sections if section.kind not in TALKS]
    if len({section.kind for section in others}) < len(others):
        at = _as_list(steps, at)
    above = section_list(steps)
    if above is None:
        _placed_as_keys(steps, others, {p: str(path[0]) for p, path in at.items()})
    else:
        _placed_in_list(steps, above, others, {p: path[1] for p, path in at.items()})
    talks_placed(steps, plan, wanted)


def _as_list(steps: PlanText, at: dict[Place, Path]) -> dict[Place, Path]:
    """Return where sections stand, in a list from now on: a kind can come twice."""
    if section_list(steps) is not None:
        return at
    written = list(written_sections(steps))
    order = {SectionKind.WELCOME: -1, SectionKind.CLOSE: 1}
    keys = [
        str(each.path[0])
        for each in sorted(written, key=lambda each: order.get(each.kind, 0))
    ]
    first = min(map(_root_keys(steps).index, keys))
    for index, key in enumerate(keys):
        left = [other for other in _root_keys(steps) if other != key]
        behind = left.index(keys[index - 1]) + 1 if index else min(first, len(left))
        steps.do(Move(path=(key,), to=(), index=behind))
    name = SECTION_LIST.word
    steps.do(ListKeys(path=(), keys=tuple(keys), name=name))
    moved: dict[Path, Path] = {
        (key,): (name, index, key) for index, key in enumerate(keys)
    }
    return {place: moved[path] for place, path in at.items()}


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


def _moving_keys(steps: PlanText, key: str) -> list[str]:
    """Return the other sections in which people move: a welcome stays before them."""
    keys = (str(s.path[0]) for s in written_sections(steps) if s.kind not in TALKS)
    return [other for other in keys if other != key]


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
            behind = _new_section(steps, section, behind)
            continue
        if key not in stay:
            left = [k for k in _root_keys(steps) if k != key]
            index = min(map(left.index, _moving_keys(steps, key)), default=len(left))
            index = left.index(behind) + 1 if behind else index
            steps.do(Move(path=(key,), to=(), index=index))
        behind = key


def _new_section(steps: PlanText, section: Section, behind: str) -> str:
    """Add a section as a key, in place of one of its kind that is to go."""
    value = section_value(section)
    for each in written_sections(steps):
        if each.kind is section.kind:
            steps.do(SetValue(path=each.path, value=value))
            return str(each.path[0])
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
        first_form(movement, own_time=clock is not None)
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
