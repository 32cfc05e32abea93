"""Keys and items put elsewhere as they are written."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from cuetrack.documents.editing.changes import value_of
from cuetrack.documents.editing.inserting import insert_block, insert_flow
from cuetrack.documents.editing.layout import (
    begins_line,
    behind_comma,
    column_of,
    line_end,
    line_start,
    next_line,
    own_start,
    parts_of,
)
from cuetrack.documents.editing.removing import remove
from cuetrack.documents.editing.source import (
    NO_REMARKS,
    Remarks,
    UnsafeError,
    edit,
    shifted,
)
from cuetrack.documents.editing.writing import (
    item_text,
    key_text,
    pair_text,
)

if TYPE_CHECKING:
    from cuetrack.documents.editing.changes import ListKeys, Move
    from cuetrack.documents.editing.layout import Part
    from cuetrack.documents.editing.source import Collection, Source, TextEdit


def move(source: Source, change: Move) -> list[TextEdit]:
    """Return what takes a part out and puts it, with its remarks, elsewhere."""
    parent, part = source.part_at(change.path)
    target = source.collection(change.to)
    parts = parts_of(source.text, target)
    like = parts
    if parent is target:
        if parts.index(part) == change.index:
            return []
        parts = tuple(p for p in parts if p != part)
    edits = remove(source, change.path)
    if target.flow:
        new = _in_brackets(source, part) if parent.flow else _flow_part(part)
        remarks = _remarks(source, parent, part)
        return [
            *edits,
            *insert_flow(source, target, parts, change.index, new, remarks=remarks),
        ]
    column = column_of(source.text, parts[0].start)
    lines = _own_lines(source, parent, part, column)
    apart = part.key is not None and len(lines) > 1
    return [
        *edits,
        *insert_block(
            source, parts, change.index, column, lines, apart=apart, like=like
        ),
    ]


def listed(source: Source, change: ListKeys) -> list[TextEdit]:
    """Return what makes items of keys, which go as far in as the list needs."""
    text, parent = source.text, source.collection(change.path)
    parts = [p for p in parts_of(text, parent) if p.key and p.key.text in change.keys]
    first, last = parts[0], parts[-1]
    if parent.flow:
        room = " " if text[last.end - 1] == ":" else ""
        opening = edit(first.start, first.start, f"{key_text(change.name)}: [")
        return [opening, edit(last.end, last.end, f"{room}]")]
    if not begins_line(text, first.start):
        raise UnsafeError
    column, dash = column_of(text, first.start), source.style.dash
    start = own_start(text, first.start, _end_before(source, parent, first))
    lines = [" " * column + key_text(change.name) + ":"]
    behind = start
    for part in parts:
        head = line_start(text, part.start)
        lines += shifted(text[behind:head].splitlines(), dash)
        behind = next_line(text, part.end)
        key, *more = text[head : line_end(text, part.end)].splitlines()
        lines.append(" " * (column + dash) + f"- {key[column:]}")
        lines += shifted(more, dash + 2)
    return [edit(start, line_end(text, last.end), source.joined(lines))]


def _in_brackets(source: Source, part: Part) -> str:
    """Return a part of a list or keys in brackets as it is written there."""
    new = source.text[part.start : part.end]
    new += " " if new.endswith(":") else ""
    return _flow_part(part) if re.search(r"[\r\n]", new) else new


def _own_lines(
    source: Source, parent: Collection, part: Part, column: int
) -> list[str]:
    """Return the lines of a part with its remarks as they stand at a column."""
    if parent.flow:
        remarks = _remarks(source, parent, part)
        new = ("" if part.key else "- ") + _in_brackets(source, part)
        lines = [*remarks.above, new + remarks.behind]
        return [lines[0], *(" " * column + line for line in lines[1:])]
    start = part.start
    if begins_line(source.text, start):
        start = own_start(source.text, start, _end_before(source, parent, part))
    end = line_end(source.text, part.end)
    lines = source.text[start:end].splitlines()
    first, *more = shifted(lines, column - column_of(source.text, part.start))
    return [first.lstrip(" "), *more]


def _remarks(source: Source, parent: Collection, part: Part) -> Remarks:
    """Return the remarks of a part that has its lines to itself."""
    text = source.text
    behind = behind_comma(text, part.end) if parent.flow else part.end
    rest = text[behind : line_end(text, behind)].rstrip()
    if not begins_line(text, part.start) or rest.strip()[:1] not in {"", "#"}:
        return NO_REMARKS
    floor = max(_end_before(source, parent, part), parent.span.start - 1)
    start = own_start(text, part.start, floor)
    above = text[start : line_start(text, part.start)].splitlines()
    return Remarks(tuple(line.strip() for line in above), rest)


def _end_before(source: Source, parent: Collection, part: Part) -> int:
    ends = [p.end for p in parts_of(source.text, parent) if p.start < part.start]
    return ends[-1] if ends else -1


def _flow_part(part: Part) -> str:
    value = value_of(part.value)
    return item_text(value) if part.key is None else pair_text(part.key.text, value)
