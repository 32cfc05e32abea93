"""All words of a document with what may stand behind them, as text to read."""

from __future__ import annotations

import textwrap
from typing import TYPE_CHECKING, Any, Final

if TYPE_CHECKING:
    from collections.abc import Iterator

    from cuetrack.documents.keys import Key, Table

_WIDTH: Final = 88
_INDENT: Final = 22
_BRIEF: Final = 40
"""A cell of the overview shows values up to this length."""


def reference(table: Table[Any]) -> str:
    """Return the words of one table: what each means, its values, its other words."""
    lines = [f"Words of {table.what}:", ""]
    for told in table.keys:
        lines += _entry(told)
    return "\n".join(lines) + "\n"


def _entry(told: Key) -> Iterator[str]:
    paragraphs = [told.meaning, f"Write: {told.shape.values()}."]
    if told.required:
        paragraphs.append("It must be there.")
    elif told.usual:
        paragraphs.append(f"When not said: {told.usual}.")
    if told.also:
        paragraphs.append(f"Also: {', '.join(told.also)}.")
    label = told.word
    for paragraph in paragraphs:
        for line in textwrap.wrap(paragraph, _WIDTH - _INDENT):
            yield f"  {label:<{_INDENT - 2}}{line}"
            label = ""


def tables_by_word(root: Table[Any]) -> dict[str, Table[Any]]:
    """Return every table by the words for it: its name, and keys that lead to it."""
    found: dict[str, Table[Any]] = {root.name: root}
    for table in root.reachable():
        for told in table.keys:
            for below in told.shape.tables():
                found.setdefault(told.word, below)
                found.setdefault(below.name, below)
    return found


def overview(root: Table[Any]) -> str:
    """Return a table in Markdown: the words of each group of keys, short values too."""
    rows = [
        f"| {table.what} | {' '.join(map(_cell, table.keys))} |"
        for table in root.reachable()
    ]
    return "\n".join(["| in | words |", "|---|---|", *rows]) + "\n"


def _cell(told: Key) -> str:
    values = told.shape.values() if told.shape.few_values else ""
    return f"`{told.word}`" + (f" ({values})" if 0 < len(values) <= _BRIEF else "")
