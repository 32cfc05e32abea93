"""Small changes to a YAML text that leave every other character as it was.

A text is composed into nodes that know where they stand, changes are gathered as
stretches to be replaced, and all of them are made at once. No library that writes
YAML is used: all of those set lines, quotes and indentation their own way.
"""

from __future__ import annotations

import json
import re
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Final

import yaml
from yaml.nodes import CollectionNode, MappingNode, Node, ScalarNode, SequenceNode

from cuetrack.documents.names import key_form

if TYPE_CHECKING:
    from collections.abc import Iterable

    from cuetrack.documents.places import Place

_PLAIN: Final = re.compile(r"[^\W_](?:[^:#\[\]{},\n\"'`|>&*!%@]*[^\s:#\[\]{},\"'`])?")
_STEP: Final = "  "

NodePair = tuple[ScalarNode, Node]


def quoted(text: str) -> str:
    """Return a text as a YAML value, in quotes only where it needs them.

    >>> quoted("Easy Thursday"), quoted("Stop: now")
    ('Easy Thursday', '"Stop: now"')
    """
    return text if _PLAIN.fullmatch(text) else json.dumps(text, ensure_ascii=False)


@dataclass(slots=True)
class YamlText:
    """A YAML text and the changes wanted in it."""

    text: str
    _changes: list[tuple[int, int, str]] = field(default_factory=list)

    @property
    def root(self) -> Node:
        """The one document of the text as nodes with marks."""
        root = yaml.compose(self.text, Loader=yaml.SafeLoader)
        if root is None:
            raise ValueError("an empty text has no nodes")
        return root

    def changed(self) -> str:
        """Return the text with every change made, in the order they were asked for."""
        text = self.text
        ordered = sorted(enumerate(self._changes), key=lambda c: (c[1][0], c[0]))
        for _, (start, end, new) in reversed(ordered):
            text = text[:start] + new + text[end:]
        return text

    def replace(self, node: Node, new: str) -> None:
        """Put ``new`` where a node stands."""
        self._put(node.start_mark.index, self.end_of(node), new)

    def insert(self, index: int, new: str) -> None:
        """Put ``new`` before the character at ``index``."""
        self._put(index, index, new)

    def _put(self, start: int, end: int, new: str) -> None:
        self._changes.append((start, end, new))

    def end_of(self, node: Node) -> int:
        """Return where the last written character of a node ends."""
        bare = self.text[node.start_mark.index : node.start_mark.index + 1] not in "{["
        if isinstance(node, CollectionNode) and node.value and bare:
            last = node.value[-1]
            return self.end_of(last[1] if isinstance(last, tuple) else last)
        start, end = node.start_mark.index, node.end_mark.index
        return int(start + len(self.text[start:end].rstrip()))

    def _line_start(self, index: int) -> int:
        return self.text.rfind("\n", 0, index) + 1

    def _line_end(self, index: int) -> int:
        end = self.text.find("\n", index)
        return len(self.text) if end < 0 else end

    def set_key(
        self,
        mapping: MappingNode,
        words: Iterable[str],
        value: str,
        *,
        after: Iterable[str] = (),
    ) -> None:
        """Give a key a value.

        If none of ``words`` is there yet, the first is written, behind a key of
        ``after`` or else the first one.
        """
        words = tuple(words)
        pair = find_pair(mapping, words)
        if pair is None:
            beside = find_pair(mapping, after) or next(iter(mapping.value), None)
            self._add_key(mapping, beside, f"{words[0]}: {value}")
        else:
            self.replace(pair[1], value)

    def _add_key(
        self, mapping: MappingNode, beside: NodePair | None, line: str
    ) -> None:
        if beside is None:
            self.insert(mapping.start_mark.index + 1, line)
            return
        key, value = beside
        indent = " " * key.start_mark.column
        if mapping.flow_style:
            self.insert(self.end_of(value), f", {line}")
        elif isinstance(value, ScalarNode) and value.style not in {"|", ">"}:
            end = self._line_end(self.end_of(value))
            self.insert(end, f"\n{indent}{line}")
        else:
            self.insert(key.start_mark.index, f"{line}\n{indent}")

    def add_before(self, node: Node, line: str) -> None:
        """Add a line before a key or item, and before the comment right above it."""
        start = self._line_start(node.start_mark.index)
        indent = " " * self._dash_or_column(node)
        while start:
            above = self.text[self._line_start(start - 1) : start]
            if not above.lstrip().startswith("#"):
                break
            start = self._line_start(start - 1)
        room = "\n" if self.text[:start].endswith("\n\n") else ""
        self.insert(start, f"{indent}{line}\n{room}")

    def add_after(self, node: Node, line: str) -> None:
        """Add a line after the last one of a key's value or of an item."""
        end = self._line_end(self.end_of(node))
        self.insert(end, f"\n{line}")

    def dash_of(self, item: Node) -> int:
        """Return where the dash of a list item stands, -1 where there is none."""
        before = self.text[: item.start_mark.index].rstrip()
        return len(before) - 1 if before.endswith("-") else -1

    def _dash_or_column(self, node: Node) -> int:
        dash = self.dash_of(node)
        if dash < 0:
            return int(node.start_mark.column)
        return dash - self._line_start(dash)

    def take_out(self, items: SequenceNode, gone: set[int], why: str) -> None:
        """Take items out of a list; those on lines of their own stay as comments."""
        if items.flow_style:
            self._cut(items, gone)
            return
        for position in sorted(gone):
            item = items.value[position]
            dash = self.dash_of(item)
            start, end = self._line_start(dash), self._line_end(self.end_of(item))
            space = " " * (dash - start)
            kept = [
                f"{space}# {line[dash - start :]}" if line.strip() else line
                for line in self.text[start:end].split("\n")
            ]
            self._put(start, end, "\n".join([f"{space}# {why}", *kept]))

    def _cut(self, items: SequenceNode, gone: set[int]) -> None:
        """Cut items from a list on one line, each with the comma behind it.

        Those after the last one that stays go with the comma before them.
        """
        last = max(set(range(len(items.value))) - gone, default=-1)
        for position in sorted(gone):
            if position < last:
                start = items.value[position].start_mark.index
                self._put(start, items.value[position + 1].start_mark.index, "")
        if last + 1 < len(items.value):
            end = self.end_of(items.value[-1])
            self._put(self.end_of(items.value[last]), end, "")

    def wrap_list(self, key: Node, items: SequenceNode, line: str, name: str) -> None:
        """Turn a list into a group of two: ``line``, and the list as ``name``."""
        if items.flow_style:
            self.insert(items.start_mark.index, f"{{{line}, {name}: ")
            self.insert(self.end_of(items), "}")
            return
        dash = self.dash_of(items.value[0])
        start = self._line_start(dash)
        column = dash - start
        step = "" if column > key.start_mark.column else _STEP
        indent = " " * column + step
        self.insert(start, f"{indent}{line}\n{indent}{name}:\n")
        if step:
            end = self.end_of(items)
            while 0 <= start < end:
                self.insert(start, step)
                start = self.text.find("\n", start) + 1 or end


def find_pair(mapping: MappingNode, words: Iterable[str]) -> NodePair | None:
    """Return the key that is one of ``words`` however spelt, with its value."""
    forms = {key_form(word) for word in words}
    for key, value in mapping.value:
        if isinstance(key, ScalarNode) and key_form(key.value) in forms:
            return key, value
    return None


def stands_at(node: Node, place: Place) -> bool:
    """Return whether a node starts at a place of the plan."""
    mark = node.start_mark
    return bool(mark.line + 1 == place.line and mark.column + 1 == place.column)


def pair_at(node: Node, place: Place) -> NodePair | None:
    """Return the key that stands at a place, with its value, wherever it is."""
    if isinstance(node, MappingNode):
        for key, value in node.value:
            if isinstance(key, ScalarNode) and stands_at(key, place):
                return key, value
    children = node.value if not isinstance(node, ScalarNode) else []
    for child in children:
        for part in child if isinstance(child, tuple) else (child,):
            found = pair_at(part, place)
            if found is not None:
                return found
    return None
