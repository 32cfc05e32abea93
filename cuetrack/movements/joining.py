"""The words of a language joined to what each movement does to a body.

What a movement does to a body stands in ``facts/`` beside this module, by a name that
is the same in every language. The words stand in ``movements/`` of each language, each
with that name as its ``id``, or without one where it is called so too.
"""

from __future__ import annotations

from contextlib import suppress
from dataclasses import replace
from functools import cache
from pathlib import Path
from types import MappingProxyType
from typing import TYPE_CHECKING, Final

from cuetrack.documents.names import movement_key
from cuetrack.documents.problems import refusal, shown
from cuetrack.documents.reading import suggestion
from cuetrack.documents.textfile import read_text
from cuetrack.documents.tree import ListNode, MappingNode, Scalar, read_tree
from cuetrack.errors import PlanError
from cuetrack.languages.folders import FALLBACK, language_file, languages_with

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from cuetrack.documents.tree import Entry, Node

WORDS: Final = "movements"
"""The folder of the words of movements, in each language."""

FACTS: Final = Path(__file__).with_name("facts")
"""The folder of what movements do to a body, a file for each part of the library."""


@cache
def _facts(part: str) -> Mapping[str, MappingNode]:
    """Return what the movements of one part do to a body, by their names."""
    file = FACTS / f"{part}.yaml"
    root = read_tree(file.read_text("utf-8"), str(file))
    entries = root.entries if isinstance(root, MappingNode) else ()
    return {
        entry.key.text: entry.value
        for entry in entries
        if isinstance(entry.value, MappingNode)
    }


def with_facts(words: Node, part: str, file: str) -> Node:
    """Return the movements of a file of words with the facts of the same part.

    A movement without an ``id`` that has no facts stands as it is.

    Raises
    ------
    PlanError
        An ``id`` names no movement of that part.
    """
    if not isinstance(words, ListNode):
        return words
    known = _facts(part)
    return replace(
        words, items=tuple(_joined(each, known, file) for each in words.items)
    )


@cache
def names_of_facts() -> Mapping[str, str]:
    """Return what a movement is called in the facts, by the key of each of its names.

    Names of every language are there; where one means two things, it is the English
    one.
    """
    found: dict[str, str] = {}
    for language in (FALLBACK, *languages_with(WORDS)):
        folder = language_file(language, WORDS)
        for file in sorted(folder.glob("*.yaml")) if folder else ():
            # What is wrong with it is told to those who need it.
            with suppress(PlanError):
                for name, fact in _names(read_tree(read_text(file), str(file))):
                    found.setdefault(movement_key(name), fact)
    return MappingProxyType(found)


def _names(words: Node) -> Iterator[tuple[str, str]]:
    """Yield each name of the movements in a file, with what the facts call it."""
    for node in words.items if isinstance(words, ListNode) else ():
        said = (
            {entry.key.text: entry.value for entry in node.entries}
            if isinstance(node, MappingNode)
            else {}
        )
        names = _texts(said.get("movement")) + _texts(said.get("other names"))
        for name in names:
            yield name, (_texts(said.get("id")) or names)[0]


def _texts(node: Node | None) -> tuple[str, ...]:
    items = node.items if isinstance(node, ListNode) else (node,)
    return tuple(item.text for item in items if isinstance(item, Scalar))


def _joined(node: Node, facts: Mapping[str, MappingNode], file: str) -> Node:
    if not isinstance(node, MappingNode):
        return node
    texts = {
        entry.key.text: entry.value.text
        for entry in node.entries
        if isinstance(entry.value, Scalar)
    }
    name = texts.get("id", texts.get("movement", ""))
    if name not in facts:
        if "id" in texts:
            what = f"There are no facts of a movement {shown(name)}."
            raise refusal(file, node.place, what, suggestion(name, tuple(facts)))
        return node
    own = tuple(entry for entry in node.entries if entry.key.text != "id")
    return replace(node, entries=(*own, *_unsaid(facts[name], own)))


def _unsaid(facts: MappingNode, own: tuple[Entry, ...]) -> tuple[Entry, ...]:
    said = {entry.key.text for entry in own}
    return tuple(entry for entry in facts.entries if entry.key.text not in said)
