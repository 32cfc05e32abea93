"""Keys and items put elsewhere as they are written."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from cuetrack.documents.editing.changes import value_of
from cuetrack.documents.editing.inserting import insert_block, insert_flow
from cuetrack.documents.editing.layout import (
    begins_line,
    column_of,
    line_end,
    own_start,
    parts_of,
)
from cuetrack.documents.editing.removing import remove
from cuetrack.documents.editing.source import shifted
from cuetrack.documents.editing.writing import (
    item_text,
    pair_text,
)

if TYPE_CHECKING:
    from cuetrack.documents.editing.changes import (
        Move,
    )
    from cuetrack.documents.editing.layout import Part
    from cuetrack.documents.editing.source import Collection, Source, TextEdit


def move(source: Source, change: Move) -> list[TextEdit]:
    """Return what takes a part out and puts it, with its remarks, elsewhere."""
    parent, part = source.part_at(change.path)
    target = source.collection(change.to)
    parts = parts_of(source.text, target)
    if parent is target:
        if parts.index(part) == change.index:
            return []
        parts = tuple(p for p in parts if p != part)
    edits = remove(source, change.path)
    if target.flow:
        new = _in_brackets(source, part) if parent.flow else _flow_part(part)
        return [*edits, *insert_flow(source, target, parts, change.index, new)]
    column = column_of(source.text, parts[0].start)
    lines = _own_lines(source, parent, part, column)
    apart = part.key is not None and len(lines) > 1
    return [
        *edits,
        *insert_block(source, parts, change.index, column, lines, apart=apart),
    ]


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
        dash = "" if part.key else "- "
        return [dash + _in_brackets(source, part)]
    start = part.start
    if begins_line(source.text, start):
        start = own_start(source.text, start, _end_before(source, parent, part))
    end = line_end(source.text, part.end)
    lines = source.text[start:end].splitlines()
    first, *more = shifted(lines, column - column_of(source.text, part.start))
    return [first.lstrip(" "), *more]


def _end_before(source: Source, parent: Collection, part: Part) -> int:
    ends = [p.end for p in parts_of(source.text, parent) if p.start < part.start]
    return ends[-1] if ends else -1


def _flow_part(part: Part) -> str:
    value = value_of(part.value)
    return item_text(value) if part.key is None else pair_text(part.key.text, value)
