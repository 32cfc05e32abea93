"""A plan's file changed as wanted: comments, order and layout stay as they were.

The plan as read and the plan as wanted are compared; what differs is changed in
the text, at the places the plan remembers. The new text is then read again, and
only when it means exactly the wanted plan is it handed out.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from yaml.nodes import MappingNode, Node, ScalarNode, SequenceNode

from cuetrack.documents.durations import parse_duration
from cuetrack.errors import CuetrackError, PlanError
from cuetrack.plan.lengths import share_out
from cuetrack.plan.model import PLAN, SectionKind
from cuetrack.planning.yamltext import YamlText, find_pair, pair_at, quoted, stands_at
from cuetrack.times import duration

if TYPE_CHECKING:
    from collections.abc import Callable

    from cuetrack.documents.places import Place
    from cuetrack.plan.model import Intervals, Movement, Plan, Section

LEFT_OUT = "Left out:"
_CANNOT = (
    "This plan is written in a way that cannot be changed safely (for example with "
    "anchors, & and *). Write its times out in full, then try again."
)


def rewritten(
    text: str,
    plan: Plan,
    wanted: Plan,
    read: Callable[[str], Plan],
    *,
    note: str = LEFT_OUT,
) -> str:
    """Return ``text`` with as little changed as makes it mean ``wanted``.

    Parameters
    ----------
    text, plan
        The file, and the plan that was read from it.
    wanted
        ``plan`` with other times, rounds, title, pace or stated length, or with
        movements of its intervals taken out.
    read
        Reads a text as the file was read.
    note
        What stands above a movement that was taken out, as a comment.

    Raises
    ------
    CuetrackError
        When the change cannot be made in this text.
    """
    edit = YamlText(text)
    root = edit.root
    if not isinstance(root, MappingNode):
        raise CuetrackError(_CANNOT)
    _head(edit, root, plan, wanted)
    for before, after in zip(plan.sections, wanted.sections, strict=True):
        if before != after:
            _section(edit, root, before, after, note)
    new = edit.changed()
    try:
        meant = read(new)
    except PlanError as error:
        raise CuetrackError(_CANNOT) from error
    if plainly(meant) != plainly(wanted):
        raise CuetrackError(_CANNOT)
    return new


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


def sharing(text: str, plan: Plan) -> frozenset[Place]:
    """Return the places of movements that have no time of their own.

    In a section without intervals they share what the others leave.
    """
    root = YamlText(text).root
    return frozenset(
        movement.place
        for section in plan.sections
        if section.intervals is None
        for movement in section.movements
        if movement.place.line and not _own_time(root, section, movement)
    )


def _words(table: str, key: str) -> tuple[str, ...]:
    keys = next(t.keys for t in PLAN.reachable() if t.name == table)
    return next(k.words for k in keys if k.word == key)


def _head(edit: YamlText, root: MappingNode, plan: Plan, wanted: Plan) -> None:
    if plan.title != wanted.title:
        edit.set_key(root, _words("plan", "title"), quoted(wanted.title))
    if plan.lasts_ms != wanted.lasts_ms and wanted.lasts_ms is not None:
        edit.set_key(root, _words("plan", "lasts"), duration(wanted.lasts_ms))

    for key, was, now in (
        ("pace", plan.pace, wanted.pace),
        ("options", plan.options, wanted.options),
    ):
        if was is not now:
            after = _words("plan", "title")
            edit.set_key(root, _words("plan", key), now.value, after=after)


def _section(
    edit: YamlText, root: MappingNode, before: Section, after: Section, note: str
) -> None:
    if before.kind in {SectionKind.WELCOME, SectionKind.CLOSE}:
        _talk(edit, root, before, after)
        return
    key, value = _found(root, before)
    if before.intervals and after.intervals and isinstance(value, MappingNode):
        _clock(edit, value, before.intervals, after.intervals)
        _movements_left(edit, value, before, after, note)
    else:
        _plain(edit, key, value, before, after)


def _found(root: MappingNode, section: Section) -> tuple[ScalarNode, Node]:
    pair = pair_at(root, section.place)
    if pair is None:
        raise CuetrackError(_CANNOT)
    return pair


def _talk(edit: YamlText, root: MappingNode, before: Section, after: Section) -> None:
    time = duration(after.duration_ms or 0)
    if before.place.line:
        _, value = _found(root, before)
        if isinstance(value, MappingNode):
            edit.set_key(value, _words("talk", "for"), time)
        else:
            edit.replace(value, time)
        return
    line = f"{before.kind.value}: {time}"
    opening = before.kind is SectionKind.WELCOME
    listed = find_pair(root, ["sections"])
    if listed and isinstance(listed[1], SequenceNode):
        _new_item(edit, listed[1], line, opening=opening)
    elif root.flow_style:
        edit.insert(root.start_mark.index + 1, f"{line}, ")
    elif opening:
        kinds = [kind.value for kind in SectionKind]
        first = next(k for k, _ in root.value if find_pair(_only(k), kinds))
        edit.add_before(first, line)
    else:
        room = "\n" if "\n\n" in edit.text.rstrip() else ""
        edit.add_after(root.value[-1][1], f"{room}{line}")


def _new_item(edit: YamlText, items: SequenceNode, line: str, *, opening: bool) -> None:
    """Add a section at the start or the end of the list of sections."""
    first, last = items.value[0], items.value[-1]
    if items.flow_style:
        index = first.start_mark.index if opening else edit.end_of(last)
        edit.insert(index, f"{line}, " if opening else f", {line}")
    elif opening:
        edit.add_before(first, f"- {line}")
    else:
        dash = edit.dash_of(last)
        column = dash - (edit.text.rfind("\n", 0, dash) + 1)
        edit.add_after(last, f"{' ' * column}- {line}")


def _only(key: ScalarNode) -> MappingNode:
    return MappingNode(tag="", value=[(key, key)])


def _clock(
    edit: YamlText, block: MappingNode, before: Intervals, after: Intervals
) -> None:
    if before.work_ms != after.work_ms:
        edit.set_key(block, _words("intervals", "work"), duration(after.work_ms))
    if before.rest_ms != after.rest_ms:
        edit.set_key(block, _words("intervals", "rest"), duration(after.rest_ms))
    if before.rounds != after.rounds:
        edit.set_key(block, _words("intervals", "rounds"), str(after.rounds))
    was, now = before.between_rounds, after.between_rounds
    words = _words("intervals", "between rounds")
    pair = find_pair(block, words)
    if was != now and now is not None:
        time = duration(now.duration_ms)
        if pair and isinstance(pair[1], MappingNode):
            edit.set_key(pair[1], _words("break", "for"), time)
        else:
            edit.set_key(block, words, time, after=["rounds", "rest", "work"])


def _movement_list(value: Node) -> Node:
    if isinstance(value, MappingNode):
        pair = find_pair(value, _words("plain", "movements"))
        return pair[1] if pair else value
    return value


def _movements_left(
    edit: YamlText, block: MappingNode, before: Section, after: Section, note: str
) -> None:
    kept = {movement.place: movement for movement in after.movements}
    gone = [m for m in before.movements if m.place not in kept]
    added = [m for m in after.movements if m.place not in _places(before)]
    items = _movement_list(block)
    for was in before.movements:
        now = kept.get(was.place, was)
        if (was.duration_ms, was.rest_ms) != (now.duration_ms, now.rest_ms):
            _times_of(edit, _item(block, was), now)
    if not (gone or added):
        return
    if not isinstance(items, SequenceNode):
        raise CuetrackError(_CANNOT)
    for movement in added:
        _new_item(edit, items, quoted(movement.name), opening=False)
    if not gone:
        return
    positions = {
        position
        for position, item in enumerate(items.value)
        for movement in gone
        if stands_at(item, movement.place)
    }
    edit.take_out(items, positions, note)


def _places(section: Section) -> set[Place]:
    return {movement.place for movement in section.movements}


def _times_of(edit: YamlText, node: Node, movement: Movement) -> None:
    """Give a movement of the intervals a work and a rest of its own."""
    times = {
        key: duration(time_ms)
        for key, time_ms in (("for", movement.duration_ms), ("rest", movement.rest_ms))
        if time_ms is not None
    }
    details = _details(node) if isinstance(node, MappingNode) else None
    if isinstance(details, MappingNode):
        for key, time in times.items():
            edit.set_key(details, _words("movement", key), time)
        return
    group = ", ".join(f"{key}: {time}" for key, time in times.items())
    if details is None:
        edit.insert(edit.end_of(node), f": {{{group}}}")
    else:
        edit.replace(details, f"{{{group}}}")


def _item(value: Node, movement: Movement) -> Node:
    """Return the node a movement of a section was read from."""
    listed = _movement_list(value)
    nodes = listed.value if isinstance(listed, SequenceNode) else [listed]
    for node in nodes:
        if stands_at(node, movement.place):
            return node
    raise CuetrackError(_CANNOT)


def _own_time(root: Node, section: Section, movement: Movement) -> bool:
    pair = pair_at(root, section.place)
    if pair is None or isinstance(pair[1], ScalarNode):
        return False
    return _states_time(_item(pair[1], movement))


def _states_time(node: Node) -> bool:
    """Return whether an item of a list says how long its movement is done."""
    if not isinstance(node, MappingNode):
        return False
    details = _details(node)
    if isinstance(details, MappingNode):
        held = find_pair(details, _words("movement", "hold"))
        timed = find_pair(details, _words("movement", "for"))
        return timed is not None or (held is not None and _is_time(held[1]))
    return _is_time(details)


def _is_time(node: Node | None) -> bool:
    try:
        parse_duration(str(node.value) if node else "")
    except ValueError:
        return False
    return isinstance(node, ScalarNode)


def _details(node: MappingNode) -> Node:
    """Return what holds the keys of a movement, or its only value."""
    named = find_pair(node, _words("movement", "movement"))
    if named is None and len(node.value) == 1:
        value: Node = node.value[0][1]
        return value
    return node


def _plain(
    edit: YamlText, key: Node, value: Node, before: Section, after: Section
) -> None:
    """Change the times of a section without intervals, its own time if that does."""
    total_ms = sum(movement.duration_ms or 0 for movement in after.movements)
    only_time = _is_time(value)
    block = value if isinstance(value, MappingNode) else None
    stated = find_pair(block, _words("plain", "for")) if block else None
    if only_time:
        edit.replace(value, duration(total_ms))
        return
    shared = not _told_one_by_one(value, before, after, total_ms)
    if not shared:
        for was, now in zip(before.movements, after.movements, strict=True):
            if was.duration_ms != now.duration_ms:
                _time_of(edit, _item(value, was), now)
    if block is not None and (shared or stated):
        edit.set_key(block, _words("plain", "for"), duration(total_ms))
    elif shared and isinstance(value, SequenceNode):
        edit.wrap_list(key, value, f"for: {duration(total_ms)}", "movements")
    elif shared:
        edit.insert(
            value.start_mark.index, f"{{for: {duration(total_ms)}, movements: ["
        )
        edit.insert(edit.end_of(value), "]}")


def _told_one_by_one(
    value: Node, before: Section, after: Section, total_ms: int
) -> bool:
    """Return whether the new times need more than the time of the whole section."""
    silent, others_ms = [], 0
    for was, now in zip(before.movements, after.movements, strict=True):
        node = _item(value, was) if not isinstance(value, ScalarNode) else value
        if _states_time(node):
            if was.duration_ms != now.duration_ms:
                return True
            others_ms += now.duration_ms or 0
        else:
            silent.append(now.duration_ms)
    if not silent:
        return True
    return tuple(silent) != share_out(total_ms - others_ms, len(silent))


def _time_of(edit: YamlText, node: Node, movement: Movement) -> None:
    """Give one movement of a list a time of its own."""
    time = duration(movement.duration_ms or 0)
    if isinstance(node, ScalarNode):
        edit.insert(edit.end_of(node), f": {time}")
        return
    if isinstance(node, MappingNode):
        details = _details(node)
        if isinstance(details, MappingNode):
            edit.set_key(details, _words("movement", "for"), time)
        elif _is_time(details):
            edit.replace(details, time)
        else:
            edit.insert(edit.end_of(details), f" {time}")
