"""More keys and items, among their neighbours and like them."""

from __future__ import annotations

import re
from collections import Counter
from itertools import pairwise
from typing import TYPE_CHECKING

from cuetrack.documents.editing.layout import (
    begins_line,
    behind_comma,
    column_of,
    content_start,
    line_end,
    line_start,
    own_start,
    parts_of,
)
from cuetrack.documents.editing.source import NO_REMARKS, Remarks, edit, usual_flow
from cuetrack.documents.editing.writing import (
    item_lines,
    item_text,
    key_text,
    pair_lines,
    pair_text,
)

if TYPE_CHECKING:
    from collections.abc import Sequence

    from cuetrack.documents.editing.changes import (
        AddKey,
        InsertItem,
    )
    from cuetrack.documents.editing.layout import Part
    from cuetrack.documents.editing.source import Collection, Source, TextEdit


def add_key(source: Source, change: AddKey) -> list[TextEdit]:
    """Return what writes one more key, lined up with values that are by hand."""
    parent = source.collection(change.path)
    parts = parts_of(source.text, parent)
    if parent.flow:
        new = pair_text(change.key, change.value)
        return insert_flow(source, parent, parts, change.index, new)
    column = column_of(source.text, parts[0].start)
    flow = usual_flow(parts, change.value)
    lines = pair_lines(change.key, change.value, column, source.style, flow=flow)
    if isinstance(change.value, str):
        head = f"{key_text(change.key)}:"
        room = _value_column(source, parts, change.index) - 1
        lines = [head.ljust(room) + lines[0][len(head) :]]
    return insert_block(source, parts, change.index, column, lines, apart=change.apart)


def _value_column(source: Source, parts: Sequence[Part], index: int) -> int:
    """Return how far behind its key a value stands next to ``index``, if by hand."""
    inline = [part if _is_inline(source, part) else None for part in parts]
    offsets = Counter(part.value.span.start - part.start for part in inline if part)
    for part in inline[max(index - 1, 0) : index + 1]:
        if part and part.value.span.start - part.head > 1:
            offset = part.value.span.start - part.start
            return offset if offsets[offset] > 1 else 0
    return 0


def _is_inline(source: Source, part: Part) -> bool:
    start = part.value.span.start
    return part.head < start <= line_end(source.text, part.head)


def insert_item(source: Source, change: InsertItem) -> list[TextEdit]:
    """Return what writes one more item, in brackets or on lines as its neighbours."""
    parent = source.collection(change.path)
    parts = parts_of(source.text, parent)
    if parent.flow:
        new = item_text(change.value)
        return insert_flow(source, parent, parts, change.index, new)
    column = column_of(source.text, parts[0].start)
    flow = usual_flow(parts, change.value)
    lines = item_lines(change.value, column, source.style, flow=flow)
    return insert_block(source, parts, change.index, column, lines)


def insert_block(
    source: Source,
    parts: Sequence[Part],
    index: int,
    column: int,
    lines: Sequence[str],
    *,
    apart: bool = False,
    like: Sequence[Part] = (),
) -> list[TextEdit]:
    """Return what puts lines before or behind the lines of the other parts.

    ``like`` are parts with the blank lines that count, if these are not all.
    """
    newline, indent = source.style.newline, " " * column
    gaps = [_gap(source, *pair) for pair in pairwise(like or parts)]
    blank = newline if gaps and (all(gaps) or (apart and any(gaps))) else ""
    new = indent + source.joined(lines)
    if index:
        end = line_end(source.text, parts[index - 1].end)
        return [edit(end, end, newline + blank + new)]
    first = parts[0].start
    if not begins_line(source.text, first):
        return [edit(first, first, source.joined([*lines, indent]))]
    start = own_start(source.text, first, -1)
    return [edit(start, start, new + newline + blank)]


def _gap(source: Source, part: Part, following: Part) -> bool:
    """Return whether a blank line stands between two parts."""
    between = source.text[part.end : following.start].replace("\r\n", "\n")
    return re.search(r"[\r\n][ \t]*[\r\n]", between) is not None


def insert_flow(
    source: Source,
    parent: Collection,
    parts: Sequence[Part],
    index: int,
    new: str,
    *,
    remarks: Remarks = NO_REMARKS,
) -> list[TextEdit]:
    """Return what puts a part between the commas of the others.

    Its remarks come with it where the others stand on lines of their own.
    """
    opening = content_start(source.text, parent)
    if source.text[opening] not in "[{":
        first, last = (f"{{{new}, ", "") if not index else ("{", f", {new}")
        end = parent.span.end
        room = " " if source.text[end - 1] == ":" else ""
        return [edit(opening, opening, first), edit(end, end, room + last + "}")]
    if not parts:
        return [edit(opening + 1, opening + 1, new)]
    if index < len(parts):
        start = parts[index].start
        if not begins_line(source.text, start):
            return [edit(start, start, f"{new}, ")]
        indent = source.text[line_start(source.text, start) : start]
        floor = parts[index - 1].end if index else opening
        above = own_start(source.text, start, floor)
        lines = [*remarks.above, f"{new},{remarks.behind}"]
        rows = (f"{indent}{line}{source.style.newline}" for line in lines)
        return [edit(above, above, "".join(rows))]
    return _append_flow(source, parent, parts[-1], new, remarks)


def _append_flow(
    source: Source, parent: Collection, last: Part, new: str, remarks: Remarks
) -> list[TextEdit]:
    lead = " " if source.text[last.end - 1] == ":" else ""
    behind = behind_comma(source.text, last.end)
    closes = line_start(source.text, parent.span.end - 1)
    if not begins_line(source.text, last.start) or closes <= last.end:
        return [edit(last.end, last.end, f"{lead}, {new}")]
    indent = source.text[line_start(source.text, last.start) : last.start]
    comma = "," if behind > last.end else ""
    end = line_end(source.text, behind)
    lines = ["", *remarks.above, f"{new}{comma}{remarks.behind}"]
    return [
        edit(last.end, last.end, "" if comma else f"{lead},"),
        edit(end, end, source.joined(lines, indent)),
    ]
