"""A text with its nodes, where the parts to be changed are found in it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from cuetrack.documents.editing.changes import position, value_of
from cuetrack.documents.editing.layout import parts_of
from cuetrack.documents.editing.writing import style_of
from cuetrack.documents.places import Span
from cuetrack.documents.tree import ListNode, MappingNode, Scalar, read_tree

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from cuetrack.documents.editing.changes import Path, Value
    from cuetrack.documents.editing.layout import Part
    from cuetrack.documents.editing.writing import Style
    from cuetrack.documents.tree import Node

Collection = ListNode | MappingNode


class UnsafeError(Exception):
    """The text has no safe place for a change; never leaves this package."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TextEdit:
    """A stretch of a text and what stands there instead."""

    span: Span
    text: str


def edit(start: int, end: int, text: str) -> TextEdit:
    """Return the edit that puts ``text`` between two indexes."""
    return TextEdit(span=Span(start=start, end=end), text=text)


def applied(text: str, edits: Iterable[TextEdit]) -> str:
    """Return a text with edits made; those at one place in the order given."""
    done, at = [], 0
    for one in sorted(edits, key=lambda one: (one.span.start, one.span.end)):
        done += [text[at : one.span.start], one.text]
        at = one.span.end
    return "".join([*done, text[at:]])


@dataclass(frozen=True, slots=True)
class Remarks:
    """What is remarked of a part: on lines above it, and behind it in its line."""

    above: tuple[str, ...] = ()
    behind: str = ""


NO_REMARKS = Remarks()


@dataclass(frozen=True, slots=True, kw_only=True)
class Source:
    """A text, what was read of it, and how it is laid out."""

    text: str
    root: Node
    style: Style

    @classmethod
    def of(cls, text: str, file: str) -> Source:
        """Return a text with its nodes; raises PlanError where it has none."""
        root = read_tree(text, file)
        return cls(text=text, root=root, style=style_of(text, root))

    def node(self, path: Path) -> Node:
        """Return the node at a path, an alias where the path leads into one."""
        node = self.root
        for step in path:
            if node.alias or isinstance(node, Scalar):
                break
            index = position(value_of(node), step)
            if isinstance(node, MappingNode):
                node = node.entries[index].value
            else:
                node = node.items[index]
        return node

    def collection(self, path: Path) -> Collection:
        """Return the list or keys at a path, written there and not elsewhere."""
        node = self.node(path)
        if isinstance(node, Scalar) or node.alias:
            raise UnsafeError
        return node

    def part_at(self, path: Path) -> tuple[Collection, Part]:
        """Return a key or item, and what it is a part of."""
        parent = self.collection(path[:-1])
        parts = parts_of(self.text, parent)
        return parent, parts[position(value_of(parent), path[-1])]

    def joined(self, lines: Iterable[str], indent: str = "") -> str:
        """Return lines with the line ends of this text between them."""
        return f"{self.style.newline}{indent}".join(lines)


def usual_flow(parts: Sequence[Part], value: Value) -> bool | None:
    """Return whether values of this kind stand in brackets among these parts."""
    kind = ListNode if isinstance(value, tuple) else MappingNode
    found = {
        part.value.flow
        for part in parts
        if isinstance(part.value, kind)
        and not (part.key is None and _short(part.value))
    }
    return None if not found else found == {True}


def _short(node: Node) -> bool:
    """Return whether an item is a name with a single value behind it."""
    if not isinstance(node, MappingNode) or len(node.entries) != 1:
        return False
    return isinstance(node.entries[0].value, Scalar)


def shifted(lines: Iterable[str], columns: int) -> list[str]:
    """Return lines moved to the right, or to the left as far as they have room."""
    shifted = []
    for line in lines:
        room = min(max(-columns, 0), len(line) - len(line.lstrip(" ")))
        shifted.append(" " * max(columns, 0) * bool(line.strip()) + line[room:])
    return shifted
