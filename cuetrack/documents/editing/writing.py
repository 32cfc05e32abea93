"""Values written as YAML, in the style of what stands around them."""

from __future__ import annotations

import json
import re
from collections import Counter
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from cuetrack.documents.editing.changes import KeyValues
from cuetrack.documents.tree import ListNode, MappingNode, Scalar, read_tree
from cuetrack.errors import PlanError

if TYPE_CHECKING:
    from collections.abc import Iterator

    from cuetrack.documents.editing.changes import Value
    from cuetrack.documents.tree import Node

WIDTH: Final = 80
"""How far a list or keys in brackets may reach; wider ones stand on lines."""

_STEP: Final = 2
_ODD: Final = re.compile("[\x7f-\x9f\u2028\u2029\ufeff]")
_SIMPLE: Final = re.compile(r"[^\W_](?:[\w .()/+;-]*[\w.()/+;])?")
_ENDS_DOCUMENT: Final = re.compile(r"---|\.\.\.|%")
_READ_AS_NOTHING: Final = frozenset({"", "null", "~"})


@dataclass(frozen=True, slots=True, kw_only=True)
class Style:
    """How a document is laid out.

    ``step`` is how far keys below a key stand to its right, ``dash`` how far the
    dashes of a list do; ``newline`` ends its lines.
    """

    step: int = _STEP
    dash: int = _STEP
    newline: str = "\n"


def style_of(text: str, root: Node) -> Style:
    """Return the layout that most of a document has."""
    steps: Counter[int] = Counter()
    dashes: Counter[int] = Counter()
    for key, value in _block_values(root):
        right = value.place.column - key.place.column
        (dashes if isinstance(value, ListNode) else steps)[right] += 1
    step = _most(steps, _STEP)
    found = re.search(r"\r\n|\r|\n", text)
    return Style(
        step=step, dash=_most(dashes, step), newline=found[0] if found else "\n"
    )


def _block_values(node: Node) -> Iterator[tuple[Scalar, ListNode | MappingNode]]:
    """Yield every key whose list or keys stand on lines below it."""
    if isinstance(node, Scalar) or node.alias or node.flow:
        return
    if isinstance(node, MappingNode):
        for entry in node.entries:
            value = entry.value
            if not (isinstance(value, Scalar) or value.flow or value.anchor):
                yield entry.key, value
            yield from _block_values(value)
    else:
        for item in node.items:
            yield from _block_values(item)


def _most(counts: Counter[int], usual: int) -> int:
    return counts.most_common(1)[0][0] if counts else usual


def scalar_text(text: str, *, flow: bool = True, like: str = "") -> str:
    """Return a text as a YAML value, in quotes only where it needs them.

    ``like`` is the quote it had before, which it keeps; ``flow`` says that it stands
    inside of brackets, where a comma would end it.

    >>> scalar_text("Easy Thursday"), scalar_text("Stop: now")
    ('Easy Thursday', '"Stop: now"')
    >>> scalar_text("Sit, then rest", flow=False), scalar_text("it's", like="'")
    ('Sit, then rest', "'it''s'")
    """
    if like == "'" and text.isprintable():
        return "'" + text.replace("'", "''") + "'"
    if like != '"' and _plain(text, flow=flow):
        return text
    escaped = json.dumps(text, ensure_ascii=False)
    return _ODD.sub(lambda odd: f"\\u{ord(odd[0]):04x}", escaped)


def key_text(key: str, *, like: str = "") -> str:
    """Return a text as a YAML key, in quotes only where it needs them."""
    if not like and _ENDS_DOCUMENT.match(key):
        like = '"'
    return scalar_text(key, like=like)


def _plain(text: str, *, flow: bool) -> bool:
    """Return whether a text without quotes is read as itself."""
    if text.casefold() in _READ_AS_NOTHING or not text.isprintable():
        return False
    if _SIMPLE.fullmatch(text):
        return True
    try:
        root = read_tree(f"[{text}, x]" if flow else f"- {text}", "")
    except PlanError:
        return False
    match root:
        case ListNode(items=(Scalar(quoted=False, anchor="", text=found), *others)):
            return found == text and len(others) == flow
    return False


def flow_text(value: Value) -> str:
    """Return a value as it stands inside of brackets."""
    match value:
        case None:
            return ""
        case str():
            return scalar_text(value)
        case KeyValues():
            return "{" + ", ".join(pair_text(*pair) for pair in value.entries) + "}"
        case _:
            return "[" + ", ".join(item_text(item) for item in value) + "]"


def item_text(value: Value) -> str:
    """Return an item as it stands in a list in brackets; a pair needs no braces."""
    match value:
        case KeyValues(entries=((key, str(text)),)):
            return pair_text(key, text)
    return flow_text(value)


def pair_text(key: str, value: Value) -> str:
    """Return a key and its value as they stand inside of braces."""
    return f"{key_text(key)}: {flow_text(value)}"


def item_lines(
    value: Value, column: int, style: Style, *, flow: bool | None = None
) -> list[str]:
    """Return the lines of an item of a list whose dashes stand at ``column``.

    All lines but the first have their indentation. ``flow`` says what its
    neighbours are: in brackets, on lines of their own, or neither.
    """
    match value:
        case None:
            return ["-"]
        case KeyValues(entries=((_, str() | None),)):
            flow = False
    return _led("- ", value, column + 2, style, flow=flow)


def pair_lines(
    key: str, value: Value, column: int, style: Style, *, flow: bool | None = None
) -> list[str]:
    """Return the lines of a key that stands at ``column``, as in `item_lines`."""
    head = f"{key_text(key)}:"
    lines = value_lines(value, column, len(head), style, flow=flow)
    return [head + lines[0], *lines[1:]]


def value_lines(
    value: Value, column: int, head: int, style: Style, *, flow: bool | None = None
) -> list[str]:
    """Return what follows the colon of a key that stands at ``column``.

    The first line is what stands in the line of the key, ``head`` characters long.
    """
    if value is None:
        return [""]
    inline = _inline(value, column + head + 1, flow=flow)
    if inline is not None:
        return [f" {inline}"]
    inner = column + (style.dash if isinstance(value, tuple) else style.step)
    lines = _block_lines(value, inner, style)
    return ["", " " * inner + lines[0], *lines[1:]]


def _led(
    lead: str, value: Value, column: int, style: Style, *, flow: bool | None
) -> list[str]:
    inline = _inline(value, column, flow=flow)
    lines = [inline] if inline is not None else _block_lines(value, column, style)
    return [lead + lines[0], *lines[1:]]


def _inline(value: Value, column: int, *, flow: bool | None) -> str | None:
    """Return a value that fits in one line, None when it should stand on several."""
    if isinstance(value, str):
        return scalar_text(value, flow=False)
    if isinstance(value, KeyValues):
        inner = tuple(part for _, part in value.entries)
    else:
        inner = value or ()
    simple = all(isinstance(part, str | None) for part in inner)
    text = flow_text(value)
    fits = column + len(text) <= WIDTH
    return text if not inner or (fits and (simple if flow is None else flow)) else None


def _block_lines(value: Value, column: int, style: Style) -> list[str]:
    lines: list[str] = []
    if isinstance(value, KeyValues):
        for key, inner in value.entries:
            lines += _indented(pair_lines(key, inner, column, style), column, lines)
    else:
        for item in value or ():
            lines += _indented(item_lines(item, column, style), column, lines)
    return lines


def _indented(new: list[str], column: int, above: list[str]) -> list[str]:
    """Return lines with the first one indented too, unless nothing is above it."""
    return [" " * column + new[0], *new[1:]] if above else new
