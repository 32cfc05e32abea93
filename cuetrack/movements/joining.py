"""The words of a language joined to what each movement does to a body.

What a movement does to a body stands in ``facts/`` beside this module, by a name that
is the same in every language. The words stand in ``movements/`` of each language, each
with that name as its ``id``, or without one where it is called so too.
"""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Final

from cuetrack.documents.problems import refusal, shown
from cuetrack.documents.reading import suggestion
from cuetrack.documents.tree import ListNode, MappingNode, Scalar, read_tree

if TYPE_CHECKING:
    from collections.abc import Mapping

    from cuetrack.documents.tree import Entry, Node

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
