"""Fewer keys and items; what is left stays as it is."""

from __future__ import annotations

from typing import TYPE_CHECKING

from cuetrack.documents.editing.changes import KeyValues, position, value_of
from cuetrack.documents.editing.layout import (
    begins_line,
    behind_comma,
    content_start,
    is_blank,
    line_above,
    line_end,
    line_start,
    next_line,
    own_start,
    parts_of,
)
from cuetrack.documents.editing.setting import replaced
from cuetrack.documents.editing.source import edit
from cuetrack.documents.tree import ListNode

if TYPE_CHECKING:
    from collections.abc import Sequence

    from cuetrack.documents.editing.changes import (
        Path,
        SetAside,
    )
    from cuetrack.documents.editing.layout import Part
    from cuetrack.documents.editing.source import Collection, Source, TextEdit


def remove(source: Source, path: Path) -> list[TextEdit]:
    """Return what takes a key or item out, with its comma or the remarks above it."""
    parent = source.collection(path[:-1])
    parts = parts_of(source.text, parent)
    index = position(value_of(parent), path[-1])
    if len(parts) == 1:
        return _emptied(source, parent, path[:-1])
    if parent.flow:
        return _remove_flow(source, parent, parts, index)
    return [_remove_block(source, parts, index)]


def set_aside(source: Source, change: SetAside) -> list[TextEdit]:
    """Return what makes remarks of the lines of a part, or else takes it out."""
    parent, part = source.part_at(change.path)
    start = line_start(source.text, part.start)
    alone = len(parts_of(source.text, parent)) == 1
    if parent.flow or alone or not begins_line(source.text, part.start):
        return remove(source, change.path)
    indent = source.text[start : part.start]
    end = line_end(source.text, part.end)
    lines = source.text[start:end].splitlines()
    kept = [f"{indent}# {line[len(indent) :]}" if line else "" for line in lines]
    return [edit(start, end, source.joined([f"{indent}# {change.note}", *kept]))]


def _emptied(source: Source, parent: Collection, path: Path) -> list[TextEdit]:
    """Return what leaves a list or keys with nothing in them."""
    start, end = content_start(source.text, parent), parent.span.end
    empty = "[]" if isinstance(parent, ListNode) else "{}"
    if parent.flow or not path:
        return [edit(start, end, empty)]
    grandparent, part = source.part_at(path)
    return replaced(
        source, grandparent, part, () if isinstance(parent, ListNode) else KeyValues(())
    )


def _remove_block(source: Source, parts: Sequence[Part], index: int) -> TextEdit:
    part = parts[index]
    floor = parts[index - 1].end if index else -1
    end = next_line(source.text, part.end)
    if not begins_line(source.text, part.start):
        following = parts[index + 1].start
        if end <= following and not source.text[end:following].strip(" "):
            return edit(part.start, following, "")
        start = len(source.text[: part.start].rstrip())
        return edit(start, line_end(source.text, part.end), "")
    start = own_start(source.text, part.start, floor)
    if start == line_start(source.text, 0) or is_blank(
        source.text, line_above(source.text, start)
    ):
        while end < len(source.text) and is_blank(source.text, end):
            end = next_line(source.text, end)
    if end == len(source.text) and index:
        above = line_end(source.text, floor)
        if not source.text[above:start].strip():
            start = above
            end -= len(source.text) - len(source.text.rstrip("\r\n"))
            end = max(end, line_end(source.text, part.end))
    return edit(start, end, "")


def _remove_flow(
    source: Source, parent: Collection, parts: Sequence[Part], index: int
) -> list[TextEdit]:
    text, part = source.text, parts[index]
    behind = behind_comma(text, part.end)
    before = parts[index - 1].end if index else content_start(text, parent) + 1
    rest = text[behind : line_end(text, behind)].lstrip()
    last = index == len(parts) - 1
    if begins_line(text, part.start) and rest[:1] in {"", "#"}:
        start = own_start(text, part.start, before)
        edits = [edit(start, next_line(text, behind), "")]
        if last and behind == part.end:
            comma = behind_comma(text, before)
            edits.append(edit(comma - 1, comma, ""))
        return edits
    if not last and parts[index + 1].start <= line_end(text, behind):
        return [edit(part.start, parts[index + 1].start, "")]
    if last and "#" not in text[before : part.start]:
        room = " " if text[before - 1] == ":" else ""
        return [edit(before, part.end, room)]
    start = part.start
    if index and not begins_line(text, start):
        start = len(text[:start].rstrip(" \t"))
    return [edit(start, behind, "")]
