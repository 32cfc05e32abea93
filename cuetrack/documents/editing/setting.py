"""Values and names changed where they stand."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from cuetrack.documents.editing.changes import KeyValues, value_of
from cuetrack.documents.editing.layout import (
    column_of,
    content_start,
    line_end,
    lines_up,
    own_start,
    parts_of,
)
from cuetrack.documents.editing.source import edit, shifted, usual_flow
from cuetrack.documents.editing.writing import (
    flow_text,
    item_lines,
    item_text,
    key_text,
    pair_lines,
    pair_text,
    scalar_text,
    value_lines,
)
from cuetrack.documents.tree import ListNode, MappingNode, Scalar

if TYPE_CHECKING:
    from collections.abc import Sequence

    from cuetrack.documents.editing.changes import (
        Value,
    )
    from cuetrack.documents.editing.layout import Part
    from cuetrack.documents.editing.source import Collection, Source, TextEdit


def set_value(
    source: Source, parent: Collection, part: Part, value: Value
) -> list[TextEdit]:
    """Return what makes a value another one, keeping what is written of it."""
    old = part.value
    if isinstance(old, Scalar) and isinstance(value, str | None):
        return _set_scalar(source, parent, part, old, value)
    if old.alias or old.anchor:
        return replaced(source, parent, part, value)
    match value:
        case KeyValues(entries=((key, inner),)) if part.key is None:
            if isinstance(old, Scalar) and old.text == key:
                return _lengthened(source, parent, part, inner)
        case str() if part.key is None and isinstance(old, MappingNode):
            if [entry.key.text for entry in old.entries] == [value]:
                return _shortened(part, old)
    if isinstance(old, ListNode) and isinstance(value, KeyValues):
        names = [k for k, inner in value.entries if inner == value_of(old)]
        if len(names) == 1 and (old.flow or part.key):
            return _wrapped(source, part, old, value, names[0])
    return replaced(source, parent, part, value)


def _set_scalar(
    source: Source,
    parent: Collection,
    part: Part,
    old: Scalar,
    value: str | None,
) -> list[TextEdit]:
    quote = "" if old.alias else _quote(source, old)
    new = ""
    if value is not None:
        new = scalar_text(value, flow=parent.flow, like=quote)
    start, end = old.span.start, old.span.end
    if not old.alias:
        start = min(content_start(source.text, old), end)
    if start == end:
        colon = part.key is not None and source.text[start - 1] != ":"
        return [edit(end, end, f"{':' if colon else ''} {new}".rstrip())]
    if not new:
        return [edit(start if parent.flow else part.head, end, "")]
    return [_in_column(source, start, end, new)]


def _quote(source: Source, scalar: Scalar) -> str:
    sign = source.text[content_start(source.text, scalar) :][:1]
    return sign if scalar.quoted and sign in {"'", '"'} else ""


def _in_column(source: Source, start: int, end: int, new: str) -> TextEdit:
    """Return an edit after which what follows keeps its column, if it had one."""
    rest = source.text[end : line_end(source.text, end)]
    room = re.match(r"([:,]?)( +)(?=\S)", rest)
    if room is None:
        return edit(start, end, new)
    follows = end + room.end()
    remark = source.text[follows] == "#"
    if remark or not (len(room[2]) > 1 or lines_up(source.text, follows)):
        return edit(start, end, new)
    left = max(1, len(room[2]) - len(new) + end - start)
    return edit(start, follows, new + room[1] + " " * left)


def _lengthened(
    source: Source, parent: Collection, part: Part, value: Value
) -> list[TextEdit]:
    """Return what makes the item ``name`` an item ``name: value``."""
    start, end = part.value.span.start, part.end
    if parent.flow:
        return [edit(end, end, f": {flow_text(value)}")]
    column = column_of(source.text, start)
    lines = value_lines(value, column, end - start + 1, source.style)
    return [
        edit(end, end, ":" + lines[0]),
        _below(source, line_end(source.text, end), lines[1:]),
    ]


def _shortened(part: Part, old: MappingNode) -> list[TextEdit]:
    """Return what makes the item ``name: value`` an item ``name``."""
    key = old.entries[0].key.span
    braces = edit(part.value.span.start, key.start, "")
    return [braces, edit(key.end, part.end, "")]


def _below(source: Source, index: int, lines: Sequence[str]) -> TextEdit:
    return edit(index, index, source.joined(["", *lines]) if lines else "")


def _wrapped(
    source: Source, part: Part, old: ListNode, value: KeyValues, name: str
) -> list[TextEdit]:
    """Return what puts a list, as it is, under a key of a group of keys."""
    at = [key for key, _ in value.entries].index(name)
    before, behind = value.entries[:at], value.entries[at + 1 :]
    if old.flow:
        first = "".join(f"{pair_text(*pair)}, " for pair in before)
        last = "".join(f", {pair_text(*pair)}" for pair in behind)
        return [
            edit(old.span.start, old.span.start, f"{{{first}{key_text(name)}: "),
            edit(part.end, part.end, f"{last}}}"),
        ]
    dash = parts_of(source.text, old)[0].start
    column = column_of(source.text, dash)
    shift = 0 if column > column_of(source.text, part.start) else source.style.step
    start, end = own_start(source.text, dash, -1), line_end(source.text, part.end)
    column += shift
    lines = [line for p in before for line in _pair(source, p, column)]
    lines.append(f"{' ' * column}{key_text(name)}:")
    lines += shifted(source.text[start:end].splitlines(), shift)
    lines += [line for p in behind for line in _pair(source, p, column)]
    return [edit(start, end, source.joined(lines))]


def _pair(source: Source, pair: tuple[str, Value], column: int) -> list[str]:
    first, *more = pair_lines(*pair, column, source.style)
    return [" " * column + first, *more]


def replaced(
    source: Source, parent: Collection, part: Part, value: Value
) -> list[TextEdit]:
    """Return what writes a value anew, whatever stood there."""
    start, end = part.value.span.start, part.end
    if parent.flow:
        new = flow_text(value) if part.key else item_text(value)
        colon = part.key is not None and start == part.key.span.end
        lead = ": " if colon else " " * (start == part.head and part.key is not None)
        return [edit(start, end, lead + new)]
    lines = _value_lines(source, parent, part, value)
    last = line_end(source.text, end)
    below = _below(source, last, lines[1:])
    if start > line_end(source.text, part.head):
        return [
            edit(part.head, part.head, lines[0]),
            edit(line_end(source.text, part.head), last, ""),
            below,
        ]
    if len(lines) == 1 and start > part.head:
        return [edit(start, end, lines[0].strip())]
    return [edit(part.head, end, lines[0]), below]


def _value_lines(
    source: Source, parent: Collection, part: Part, value: Value
) -> list[str]:
    """Return what follows a colon or a dash."""
    column = column_of(source.text, part.start)
    flow = usual_flow([part], value)
    if flow is None:
        flow = usual_flow(parts_of(source.text, parent), value)
    if part.key is not None:
        head = part.head - part.start
        return value_lines(value, column, head, source.style, flow=flow)
    first, *more = item_lines(value, column, source.style, flow=flow)
    return [first[1:], *more]


def renamed(source: Source, part: Part, key: str) -> list[TextEdit]:
    """Return what calls a key by another name, in the quotes it had."""
    if part.key is None:
        raise LookupError("an item of a list has no key")
    start, end = content_start(source.text, part.key), part.key.span.end
    new = key_text(key, like=_quote(source, part.key))
    return [_in_column(source, start, end, new)]
