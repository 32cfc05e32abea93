"""A bounded reading of YAML into plain texts, lists and mappings with places.

Nothing is interpreted: every scalar is the text the writer typed, so that
``no``, ``on``, ``1:30`` and ``08`` reach the plan as written. No object is ever
constructed, the events of the parser are read one by one, and size, depth,
number of nodes and what aliases expand to all have a limit.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Final, Protocol

import yaml

from cuetrack.documents.places import Place
from cuetrack.documents.problems import refusal, shown

if TYPE_CHECKING:
    from collections.abc import Iterator

    from cuetrack.errors import PlanError

SIZE_LIMIT: Final = 256 * 1024
"""The longest plan, in bytes of its file."""

DEPTH_LIMIT: Final = 20
NODE_LIMIT: Final = 20_000

_LOADER: Final = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
_UNPRINTABLE: Final = re.compile(
    "[^\t\n\r\x20-\x7e\x85\xa0-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]"
)

_UNCLOSED: Final = (
    (
        "mapping values are not allowed",
        "A colon stands where no key can be.",
        'Put a text that holds ": " in quotes, and check how the line is indented.',
    ),
    (
        "',' or ']'",
        "A list that was opened with [ does not end.",
        "Put a comma between its items and ] at its end.",
    ),
    (
        "',' or '}'",
        "A group that was opened with { does not end.",
        "Put a comma between its parts and } at its end.",
    ),
    (
        "end of stream",
        "A text that was opened with a quote does not end.",
        "Put the same quote at its end.",
    ),
)
_SYNTAX: Final = (
    (
        "nesting depth",
        f"The plan is nested more than {DEPTH_LIMIT} levels deep.",
        "Check its brackets and its spaces at the start of lines.",
    ),
    (
        "undefined alias",
        "A text starts with * and names nothing.",
        "Put it in quotes.",
    ),
    (
        "could not find expected ':'",
        "This line is neither a key with a colon nor part of a list.",
        'Write "key: value", or start a list item with "- ".',
    ),
    (
        "block sequence entries are not allowed",
        'A list item "- " stands where no list can start.',
        "Start the list on a line of its own below its key.",
    ),
    (
        "expected key",
        "This line does not line up with the keys above it.",
        "Start it with as many spaces as its neighbours.",
    ),
    (
        "expected <block end>",
        "This line does not line up with the lines above it.",
        "Start it with as many spaces as its neighbours.",
    ),
    (
        "expected '-' indicator",
        "This line does not line up with the list above it.",
        'Start it with "- " and as many spaces as its neighbours.',
    ),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Scalar:
    """A single value as typed; ``quoted`` when quotes or a block mark it as text."""

    text: str
    quoted: bool
    place: Place
    size: int = 1

    @property
    def empty(self) -> bool:
        """Nothing was written here, not even quotes."""
        return not self.text and not self.quoted


@dataclass(frozen=True, slots=True, kw_only=True)
class ListNode:
    """A list; ``size`` counts it and everything below."""

    items: tuple[Node, ...]
    place: Place
    size: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """One key of a mapping with its value."""

    key: Scalar
    value: Node


@dataclass(frozen=True, slots=True, kw_only=True)
class MappingNode:
    """Keys with values in the order written, doubles included."""

    entries: tuple[Entry, ...]
    place: Place
    size: int


class _Mark(Protocol):
    """Where the parser is; both of its implementations count from 0."""

    @property
    def line(self) -> int: ...
    @property
    def column(self) -> int: ...


Node = Scalar | ListNode | MappingNode


@dataclass(slots=True, kw_only=True)
class _Open:
    """A list or mapping whose end has not been read yet."""

    is_mapping: bool
    place: Place
    anchor: str | None
    children: list[Node] = field(default_factory=list)


def _place(mark: _Mark | None) -> Place:
    if mark is None:
        return Place(line=1, column=1)
    return Place(line=mark.line + 1, column=mark.column + 1)


def _place_at(text: str, index: int) -> Place:
    before = text[:index]
    last_break = max(before.rfind("\n"), before.rfind("\r"))
    line = len(re.findall(r"\r\n|\r|\n", before)) + 1
    return Place(line=line, column=index - last_break)


class _Builder:
    """Puts events together to nodes, iteratively, within the limits."""

    def __init__(self, file: str) -> None:
        self._file = file
        self._open: list[_Open] = []
        self._anchored: dict[str, Node] = {}
        self._count = 0
        self.roots: list[Node] = []

    def take(self, event: yaml.Event) -> None:
        """Add one event."""
        place = _place(event.start_mark)
        match event:
            case yaml.ScalarEvent():
                self._refuse_tag(event.tag, place)
                quoted = bool(event.style)
                node = Scalar(text=event.value, quoted=quoted, place=place)
                self._add(node, event.anchor)
            case yaml.AliasEvent():
                self._add(self._meant(event.anchor or "", place), None)
            case yaml.SequenceStartEvent() | yaml.MappingStartEvent():
                self._refuse_tag(event.tag, place)
                self._begin(event, place)
            case yaml.SequenceEndEvent() | yaml.MappingEndEvent():
                self._end()
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
            _Open(is_mapping=is_mapping, place=place, anchor=event.anchor)
        )

    def _end(self) -> None:
        done = self._open.pop()
        size = 1 + sum(child.size for child in done.children)
        node: Node
        if done.is_mapping:
            pairs = zip(done.children[::2], done.children[1::2], strict=True)
            entries = tuple(
                Entry(key=self._key(key), value=value) for key, value in pairs
            )
            node = MappingNode(entries=entries, place=done.place, size=size)
        else:
            node = ListNode(items=tuple(done.children), place=done.place, size=size)
        self._count -= size - 1
        self._add(node, done.anchor)

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

    def _add(self, node: Node, anchor: str | None) -> None:
        self._count += node.size
        if self._count > NODE_LIMIT:
            raise self._refusal(
                node.place,
                f"The plan holds more than {NODE_LIMIT} values.",
                "Split it into several plans, and do without aliases (*).",
            )
        if anchor:
            self._anchored[anchor] = node
        (self._open[-1].children if self._open else self.roots).append(node)

    def _refusal(self, place: Place, what: str, remedy: str) -> PlanError:
        return refusal(self._file, place, what, remedy)


def _events(text: str) -> Iterator[yaml.Event]:
    yield from yaml.parse(text, Loader=_LOADER)


def _syntax_error(error: yaml.MarkedYAMLError, text: str, file: str) -> PlanError:
    place = _place(error.problem_mark or error.context_mark)
    lines = text.splitlines()
    line = lines[place.line - 1] if place.line <= len(lines) else ""
    if re.match(r" *\t", line):
        return refusal(
            file,
            place,
            "A tab stands at the start of this line.",
            "Indent with spaces; two for each step read well.",
        )
    said = f"{error.problem}"
    for sign, what, remedy in _UNCLOSED:
        if sign in said:
            opened = _place(error.context_mark) if error.context_mark else place
            return refusal(file, opened, what, remedy)
    for sign, what, remedy in _SYNTAX:
        if sign in said:
            return refusal(file, place, what, remedy)
    return refusal(
        file,
        place,
        f"This is not YAML here ({said}).",
        "Put a text with special signs in quotes, and check the line above too.",
    )


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
    if odd := _UNPRINTABLE.search(text.removeprefix("\ufeff")):
        place = _place_at(text.removeprefix("\ufeff"), odd.start())
        raise refusal(
            file,
            place,
            f"An invisible character (code {ord(odd[0])}) stands here.",
            "Delete it, or save the file again as plain text in UTF-8.",
        )
    builder = _Builder(file)
    try:
        for event in _events(text):
            builder.take(event)
    except yaml.MarkedYAMLError as error:
        raise _syntax_error(error, text, file) from error
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
