"""The sections and movements of a plan's text: which is which, and where it stands."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Final

from cuetrack.documents.editing.changes import SetValue
from cuetrack.documents.groups import KeyGroup
from cuetrack.documents.lists import ListOf
from cuetrack.documents.names import key_form
from cuetrack.documents.problems import Problems
from cuetrack.documents.reading import Reader, Spot
from cuetrack.documents.tree import ListNode, MappingNode, Node, Scalar
from cuetrack.movements.model import Movement
from cuetrack.plan.model import PLAN
from cuetrack.plan.parts import SECTIONS
from cuetrack.plan.words import TALKS, SectionKind

if TYPE_CHECKING:
    from collections.abc import Iterator

    from cuetrack.documents.editing.changes import Path
    from cuetrack.documents.places import Place
    from cuetrack.planning.plantext import PlanText

SECTION_LIST: Final = PLAN.key_of("sections")
_KINDS: Final = {key_form(word): key for key in SECTIONS for word in key.words}


@dataclass(frozen=True, slots=True, kw_only=True)
class WrittenSection:
    """A section of a text: its kind, its path, and where its key stands."""

    kind: SectionKind
    path: Path
    place: Place


def group_of(kind: SectionKind) -> KeyGroup[Any]:
    """Return the shape of a section of a kind."""
    shape = next(key.shape for key in SECTIONS if key.word == kind)
    assert isinstance(shape, KeyGroup)  # noqa: S101 - they are declared so
    return shape


def section_list(text: PlanText) -> Path | None:
    """Return the path of the list of sections, None where they are keys."""
    word = text.word((), SECTION_LIST)
    return None if word is None else (word,)


def written_sections(text: PlanText) -> Iterator[WrittenSection]:
    """Yield the sections in the order of the text."""
    above = section_list(text)
    if above is None:
        yield from _sections_of(text.root, ())
        return
    node = text.node(above)
    for index, item in enumerate(node.items if isinstance(node, ListNode) else ()):
        yield from _sections_of(item, (*above, index))


def _sections_of(node: Node, path: Path) -> Iterator[WrittenSection]:
    for entry in node.entries if isinstance(node, MappingNode) else ():
        told = _KINDS.get(key_form(entry.key.text))
        if told is not None:
            yield WrittenSection(
                kind=SectionKind(told.word),
                path=(*path, entry.key.text),
                place=entry.key.place,
            )


def list_path(text: PlanText, section: WrittenSection) -> Path | None:
    """Return where the list of a section's movements stands, None without one."""
    if section.kind in TALKS:
        return None
    node, path = text.node(section.path), section.path
    if isinstance(node, MappingNode):
        word = text.word(path, group_of(section.kind).table.key_of("movements"))
        if word is None:
            return None
        path = (*path, word)
    return path if isinstance(text.node(path), ListNode) else None


def item_nodes(text: PlanText, section: WrittenSection) -> tuple[Node, ...]:
    """Return the nodes of the movements of a section; a single name is one."""
    path = list_path(text, section)
    node = text.node(section.path if path is None else path)
    if isinstance(node, ListNode):
        return node.items
    if not isinstance(node, Scalar) or node.empty or section.kind in TALKS:
        return ()
    told = group_of(section.kind).meant(node)
    return (node,) if told is not None and told.attribute == "movements" else ()


def said_movement(node: Node) -> Movement | None:
    """Return what is written of a movement, before anything is filled in."""
    shape = group_of(SectionKind.INTERVALS).table.key_of("movements").shape
    assert isinstance(shape, ListOf)  # noqa: S101 - it is declared so
    said = shape.item.read(node, Spot("", node.place), Reader(Problems("")))
    return said if isinstance(said, Movement) else None


def made_list(text: PlanText, section: WrittenSection) -> Path | None:
    """Return where the list of movements stands, a single one made a list."""
    nodes = item_nodes(text, section)
    if list_path(text, section) is None and nodes:
        text.do(SetValue(path=section.path, value=(text.value(section.path),)))
    return list_path(text, section) if nodes else None
