"""Where the parts of a document stand in its text: lines, remarks, commas, dashes."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from cuetrack.documents.tree import ListNode, MappingNode, Scalar

if TYPE_CHECKING:
    from cuetrack.documents.tree import Node

_BREAK: Final = re.compile("\r\n|[\r\n\x85\u2028\u2029]")
_BREAKS: Final = "\r\n\x85\u2028\u2029"
_BETWEEN: Final = re.compile("(?:\\s|\ufeff|#[^\r\n\x85\u2028\u2029]*)*")
_ANCHOR: Final = re.compile(r"&[^\s,\[\]{}]+\s*")
_SPACES: Final = re.compile("[ \t]*")


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """A key with its value, or an item: from its first character to its last.

    An item of a list of lines starts at its dash. ``head`` is where its value can
    be written: behind the colon or the dash, and behind an anchor.
    """

    start: int
    head: int
    end: int
    key: Scalar | None
    value: Node


def content_start(text: str, node: Node) -> int:
    """Return where a node starts behind its anchor."""
    found = _ANCHOR.match(text, node.span.start) if node.anchor else None
    return found.end() if found else node.span.start


def parts_of(text: str, node: ListNode | MappingNode) -> tuple[Part, ...]:
    """Return the keys or items of a node as they stand in the text."""
    if isinstance(node, MappingNode):
        return tuple(
            Part(
                start=entry.key.span.start,
                head=_behind_colon(text, entry.key, entry.value),
                end=max(entry.value.span.end, entry.key.span.end),
                key=entry.key,
                value=entry.value,
            )
            for entry in node.entries
        )
    parts = []
    behind = content_start(text, node)
    for item in node.items:
        start = item.span.start if node.flow else skip_remarks(text, behind)
        parts.append(
            Part(
                start=start,
                head=start if node.flow else start + 1,
                end=item.span.end,
                key=None,
                value=item,
            )
        )
        behind = item.span.end
    return tuple(parts)


def _behind_colon(text: str, key: Scalar, value: Node) -> int:
    colon = text.find(":", key.span.end, max(value.span.start, key.span.end) + 1)
    return key.span.end if colon < 0 else min(colon + 1, value.span.start)


def skip_remarks(text: str, index: int) -> int:
    """Return the first character from ``index`` on that is no space or remark."""
    found = _BETWEEN.match(text, index)
    return found.end() if found else index


def behind_comma(text: str, index: int) -> int:
    """Return what follows the comma that comes next, ``index`` where none does."""
    comma = skip_remarks(text, index)
    return comma + 1 if text[comma : comma + 1] == "," else index


def line_start(text: str, index: int) -> int:
    """Return where the line of a character starts; a byte order mark is before it."""
    start = max(text.rfind(end, 0, index) for end in _BREAKS) + 1
    return start + text.startswith("\ufeff", start)


def line_end(text: str, index: int) -> int:
    """Return where the line of a character ends, its line break not included."""
    found = _BREAK.search(text, index)
    return found.start() if found else len(text)


def next_line(text: str, index: int) -> int:
    """Return where the line after that of a character starts."""
    found = _BREAK.search(text, index)
    return found.end() if found else len(text)


def line_above(text: str, index: int) -> int:
    """Return where the line above that of a character starts; of the first, itself."""
    start = line_start(text, index)
    back = 2 if text[:start].endswith("\r\n") else 1
    return line_start(text, max(start - back, 0))


def column_of(text: str, index: int) -> int:
    """Return how many characters stand before one in its line."""
    return index - line_start(text, index)


def begins_line(text: str, index: int) -> bool:
    """Return whether nothing but spaces stands before a character in its line."""
    return not text[line_start(text, index) : index].strip(" \t")


def is_blank(text: str, index: int) -> bool:
    """Return whether the line of a character holds nothing."""
    return not text[line_start(text, index) : line_end(text, index)].strip()


def own_start(text: str, start: int, floor: int) -> int:
    """Return where the lines of a part start, with the remarks right above it.

    Those stand as far to the right as the part, after ``floor``. Remarks at the very
    top are about the whole document.
    """
    first = line_start(text, start)
    column = start - first
    top = line_start(text, 0)
    while first > top and (above := line_above(text, first)) > floor:
        mark = _spaces_end(text, above)
        if text[mark : mark + 1] != "#" or mark - above != column:
            return first
        first = above
    return first if first > top else line_start(text, start)


def _spaces_end(text: str, index: int) -> int:
    found = _SPACES.match(text, index)
    return found.end() if found else index


def lines_up(text: str, index: int) -> bool:
    """Return whether a word or remark has its like above or below it."""
    column = column_of(text, index)
    word = re.match(r"#|\S+", text[index:])
    for line in (line_above(text, index), next_line(text, index)):
        if word and line != line_start(text, index):
            there = text[line : line_end(text, line)][column - 1 :]
            if there.startswith(f" {word[0]}"):
                return True
    return False
