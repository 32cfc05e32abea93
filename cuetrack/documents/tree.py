"""A bounded reading of YAML into plain texts, lists and mappings with places.

A node keeps its `Place`, for people, and its `Span` in the text, for edits: from
its first character, an anchor included, to its last; nothing at all stands right
behind its colon or dash. An alias is the node it stands for, with a span of its own.

Nothing is interpreted: every scalar is the text the writer typed, so that
``no``, ``on``, ``1:30`` and ``08`` reach the plan as written. No object is ever
constructed, the events of the parser are read one by one, and size, depth,
number of nodes and what aliases expand to all have a limit.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, Final

import yaml

from cuetrack.documents.places import Place, Span
from cuetrack.documents.problems import refusal, shown
from cuetrack.documents.syntax import DEPTH_LIMIT, mark_place, syntax_error

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    from cuetrack.errors import PlanError

SIZE_LIMIT: Final = 256 * 1024
"""The longest plan, in bytes of its file."""

NODE_LIMIT: Final = 20_000

_BOM: Final = "\ufeff"
_KEEPS_BLANKS: Final = re.compile(r"(?:&\S+\s+)?[|>][0-9]?\+")
_LAST_BREAK: Final = re.compile(r"(?:\r\n|[\r\n])\Z")
_COLON: Final = re.compile(r"\s*:")
LOADER: Final = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
_UNPRINTABLE: Final = re.compile(
    "[^\t\n\r\x20-\x7e\x85\xa0-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]"
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Scalar:
    """A single value as typed; ``quoted`` when quotes or a block mark it as text."""

    text: str
    quoted: bool
    place: Place
    span: Span = field(default_factory=Span)
    size: int = 1
    anchor: str = ""
    alias: bool = False

    @property
    def empty(self) -> bool:
        """Nothing was written here, not even quotes."""
        return not self.text and not self.quoted


@dataclass(frozen=True, slots=True, kw_only=True)
class ListNode:
    """A list, in brackets when ``flow``; ``size`` counts it and all below."""

    items: tuple[Node, ...]
    flow: bool
    place: Place
    span: Span
    size: int
    anchor: str = ""
    alias: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """One key of a mapping with its value."""

    key: Scalar
    value: Node


@dataclass(frozen=True, slots=True, kw_only=True)
class MappingNode:
    """Keys with values in the order written, doubles included.

    ``flow`` is a mapping in braces, or a pair inside of brackets without them.
    """

    entries: tuple[Entry, ...]
    flow: bool
    place: Place
    span: Span
    size: int
    anchor: str = ""
    alias: bool = False


Node = Scalar | ListNode | MappingNode


@dataclass(slots=True, kw_only=True)
class _Open:
    """A list or mapping whose end has not been read yet."""

    is_mapping: bool
    flow: bool
    place: Place
    start: int
    anchor: str
    children: list[Node] = field(default_factory=list)


def spans_of(root: Node) -> Mapping[Place, Span]:
    """Return where each key with its value, and each item, stands in the text.

    They are known by the places they start at, and so beside whatever was read.
    """
    found: dict[Place, Span] = {}
    waiting = [root]
    while waiting:
        node = waiting.pop()
        if isinstance(node, Scalar) or node.alias:
            continue
        if isinstance(node, ListNode):
            for item in node.items:
                found.setdefault(item.place, item.span)
            waiting += node.items
        else:
            for entry in node.entries:
                span = Span(start=entry.key.span.start, end=entry.value.span.end)
                found.setdefault(entry.key.place, span)
            waiting += [entry.value for entry in node.entries]
    return found


def place_at(text: str, index: int) -> Place:
    """Return the place of the character at ``index``; a byte order mark has none."""
    before = text[:index].removeprefix(_BOM)
    last_break = max(before.rfind("\n"), before.rfind("\r"))
    line = len(re.findall(r"\r\n|\r|\n", before)) + 1
    return Place(line=line, column=len(before) - last_break)


class _Builder:
    """Puts events together to nodes, iteratively, within the limits."""

    def __init__(self, file: str, text: str) -> None:
        self._file = file
        self._text = text
        self._first = len(text) - len(text.removeprefix(_BOM))
        self._open: list[_Open] = []
        self._anchored: dict[str, Node] = {}
        self._count = 0
        self.roots: list[Node] = []

    def take(self, event: yaml.Event) -> None:
        """Add one event."""
        place = mark_place(event.start_mark)
        match event:
            case yaml.ScalarEvent():
                self._refuse_tag(event.tag, place)
                self._add(
                    Scalar(
                        text=event.value,
                        quoted=bool(event.style),
                        place=place,
                        span=self._scalar_span(event),
                        anchor=event.anchor or "",
                    )
                )
            case yaml.AliasEvent():
                meant = self._meant(event.anchor or "", place)
                self._add(replace(meant, span=self._span(event), anchor="", alias=True))
            case yaml.SequenceStartEvent() | yaml.MappingStartEvent():
                self._refuse_tag(event.tag, place)
                self._begin(event, place)
            case yaml.SequenceEndEvent() | yaml.MappingEndEvent():
                self._end(event)
            case yaml.DocumentStartEvent() if self.roots:
                raise self._refusal(
                    place,
                    "A second plan starts here.",
                    'Keep one plan a file, and take out the line "---".',
                )
            case _:
                pass

    def _refuse_tag(self, tag: str | None, place: Place) -> None:
        if tag:
            raise self._refusal(
                place,
                f"{shown(tag)} is a tag, and a plan has none.",
                "Take it out, or put a text that starts with ! in quotes.",
            )

    def _begin(
        self, event: yaml.SequenceStartEvent | yaml.MappingStartEvent, place: Place
    ) -> None:
        if len(self._open) >= DEPTH_LIMIT:
            raise self._refusal(
                place,
                f"The plan is nested more than {DEPTH_LIMIT} levels deep.",
                "Check its brackets and its spaces at the start of lines.",
            )
        is_mapping = isinstance(event, yaml.MappingStartEvent)
        self._open.append(
            _Open(
                is_mapping=is_mapping,
                flow=bool(event.flow_style),
                place=place,
                start=self._span(event).start,
                anchor=event.anchor or "",
            )
        )

    def _end(self, event: yaml.Event) -> None:
        done = self._open.pop()
        size = 1 + sum(child.size for child in done.children)
        self._count -= size - 1
        node: Node
        if done.is_mapping:
            pairs = zip(done.children[::2], done.children[1::2], strict=True)
            entries = tuple(self._entry(key, value) for key, value in pairs)
            node = MappingNode(
                entries=entries,
                flow=done.flow,
                place=done.place,
                span=self._end_behind(event, done, [e.value for e in entries]),
                size=size,
                anchor=done.anchor,
            )
        else:
            node = ListNode(
                items=tuple(done.children),
                flow=done.flow,
                place=done.place,
                span=self._end_behind(event, done, done.children),
                size=size,
                anchor=done.anchor,
            )
        self._add(node)

    def _span(self, event: yaml.Event) -> Span:
        start, end = event.start_mark, event.end_mark
        if start is None or end is None:
            return Span()
        return Span(start=start.index + self._first, end=end.index + self._first)

    def _scalar_span(self, event: yaml.ScalarEvent) -> Span:
        """Return where a scalar stands; blank lines behind it count if they must."""
        span = self._span(event)
        raw = self._text[span.start : span.end]
        if event.style and _KEEPS_BLANKS.match(raw):
            return replace(span, end=span.start + len(_LAST_BREAK.sub("", raw)))
        return replace(span, end=span.start + len(raw.rstrip()))

    def _end_behind(
        self, event: yaml.Event, done: _Open, values: Sequence[Node]
    ) -> Span:
        """Return the span of a list or mapping: to its bracket, or its last value."""
        span = self._span(event)
        bare = span.start == span.end
        end = values[-1].span.end if bare and values else span.end
        return Span(start=done.start, end=end)

    def _entry(self, key: Node, value: Node) -> Entry:
        """Return a key with its value; where that is nothing, behind its colon."""
        word = self._key(key)
        if isinstance(value, Scalar) and value.empty and not value.anchor:
            colon = _COLON.match(self._text, word.span.end)
            end = word.span.end
            if colon and colon.end() <= value.span.start:
                end = colon.end()
            value = replace(value, span=Span(start=end, end=end))
        return Entry(key=word, value=value)

    def _key(self, node: Node) -> Scalar:
        if isinstance(node, Scalar):
            return node
        raise self._refusal(
            node.place,
            "A list or a group stands where a key should be.",
            "Write a word before the colon, or put the text in quotes.",
        )

    def _meant(self, anchor: str, place: Place) -> Node:
        if anchor in self._anchored:
            return self._anchored[anchor]
        raise self._refusal(
            place,
            f"{shown('*' + anchor)} refers to something that is not there yet.",
            "Put a text that starts with * in quotes.",
        )

    def _add(self, node: Node) -> None:
        self._count += node.size
        if self._count > NODE_LIMIT:
            raise self._refusal(
                node.place,
                f"The plan holds more than {NODE_LIMIT} values.",
                "Split it into several plans, and do without aliases (*).",
            )
        if node.anchor:
            self._anchored[node.anchor] = node
        (self._open[-1].children if self._open else self.roots).append(node)

    def _refusal(self, place: Place, what: str, remedy: str) -> PlanError:
        return refusal(self._file, place, what, remedy)


def _events(text: str) -> Iterator[yaml.Event]:
    yield from yaml.parse(text, Loader=LOADER)


def read_tree(text: str, file: str) -> Node:
    """Return the one YAML document in ``text`` as nodes with places.

    Raises
    ------
    PlanError
        When it is not YAML, is empty, or goes beyond a limit.
    """
    if len(text) > SIZE_LIMIT:
        raise refusal(
            file,
            Place(),
            f"The plan is longer than {SIZE_LIMIT // 1024} kB.",
            "A plan of one class is a few kB; check that this is the right file.",
        )
    bare = text.removeprefix(_BOM)
    if odd := _UNPRINTABLE.search(bare):
        place = place_at(bare, odd.start())
        raise refusal(
            file,
            place,
            f"An invisible character (code {ord(odd[0])}) stands here.",
            "Delete it, or save the file again as plain text in UTF-8.",
        )
    builder = _Builder(file, text)
    try:
        for event in _events(bare):
            builder.take(event)
    except yaml.MarkedYAMLError as error:
        raise syntax_error(error, bare, file) from error
    if not builder.roots or _is_nothing(builder.roots[0]):
        raise refusal(
            file,
            Place(line=1, column=1),
            "The plan is empty.",
            'Start with a line such as "title: Ten gentle minutes".',
        )
    return builder.roots[0]


def _is_nothing(node: Node) -> bool:
    return isinstance(node, Scalar) and node.empty
