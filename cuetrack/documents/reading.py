"""What every shape reads with: nodes called by their names, mistakes told in words."""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass
from enum import Enum
from typing import TYPE_CHECKING, Final, Generic, Protocol, TypeVar

from cuetrack.documents.names import nearest
from cuetrack.documents.problems import Refusal, shown
from cuetrack.documents.tree import ListNode, MappingNode, Node, Scalar

if TYPE_CHECKING:
    from collections.abc import Sequence

    from cuetrack.documents.places import Place
    from cuetrack.documents.problems import Problems

T_co = TypeVar("T_co", covariant=True)

_NOTHING: Final = frozenset({"", "~", "null", "Null", "NULL"})
"""How YAML writes that there is nothing (YAML 1.2.2, 10.3.2)."""
_BLANKS: Final = re.compile(r"[ \t\r\n\v\f\x85\u2028\u2029]+")
"""Spaces, and how YAML and word processors break a line."""

_CONTROL: Final = re.compile(r"[\x00-\x1f\x7f-\x9f]")

_KNOWN_SHOWN: Final = 20


class Unread(Enum):
    """The one value of something that could not be read."""

    UNREAD = "unread"


UNREAD: Final = Unread.UNREAD


@dataclass(frozen=True, slots=True)
class Partly(Generic[T_co]):
    """What could be read of a list in which something could not."""

    value: T_co


@dataclass(frozen=True, slots=True)
class Spot:
    """Where a value stands and what to call it: a key, or an item of a list."""

    label: str
    place: Place


class KnownWords(Protocol):
    """Words that may stand together somewhere in a document, and where."""

    @property
    def under(self) -> str:
        """Where they belong, in words for the writer."""

    @property
    def words(self) -> tuple[str, ...]:
        """The words."""


@dataclass(frozen=True, slots=True)
class Reader:
    """What shapes tell their mistakes to; ``tables`` are all of the document's."""

    problems: Problems
    tables: tuple[KnownWords, ...] = ()

    def text(self, node: Node, spot: Spot, wanted: str) -> str | Unread:
        """Return the text of a single value that is not empty."""
        if not isinstance(node, Scalar):
            return self.wrong_kind(node, spot, wanted, f"Write {wanted}.")
        if is_nothing(node) or not node.text.strip():
            place = written_place(node, spot.place)
            remedy = f"Write {wanted}, or take it out."
            return self.refuse(place, f"{spot.label} is empty.", remedy)
        return node.text

    def line(self, node: Node, most: int, spot: Spot) -> str | Unread:
        """Return a text in one line, NFC, of at most so many characters."""
        raw = self.text(node, spot, "a text")
        if raw is UNREAD:
            return UNREAD
        line = _BLANKS.sub(" ", unicodedata.normalize("NFC", raw)).strip()
        if odd := _CONTROL.search(line):
            what = f"{spot.label} holds a character of code {ord(odd[0])}, which "
            what += "nothing can show."
            return self.refuse(node.place, what, "Delete it.", Refusal.CONTROL)
        if len(line) > most:
            what = f"{spot.label} is {len(line)} characters long, at most {most} fit."
            return self.refuse(node.place, what, "Shorten it.")
        return line

    def wrong_kind(self, node: Node, spot: Spot, wanted: str, remedy: str) -> Unread:
        """Tell that another kind of value is wanted here."""
        empty_list = isinstance(node, ListNode) and not node.items
        found = "an empty list" if empty_list else kind_name(node)
        what = f"{spot.label} should be {wanted}, and here is {found}."
        return self.refuse(written_place(node, spot.place), what, remedy)

    def refuse(self, place: Place, what: str, remedy: str, named: str = "") -> Unread:
        """Tell a mistake; ``named`` is the name of one that no schema can say."""
        self.problems.add(place, what, remedy, named)
        return UNREAD


def kind_name(node: Node) -> str:
    """Return what a node is, in words for the writer."""
    match node:
        case ListNode():
            return "a list"
        case MappingNode():
            return "a group of keys"
    return "nothing" if is_nothing(node) else f"the single value {shown(node.text)}"


def is_nothing(node: Node) -> bool:
    """Return whether nothing was written, or the word for it without quotes."""
    return isinstance(node, Scalar) and not node.quoted and node.text in _NOTHING


def written_place(node: Node, key_place: Place) -> Place:
    """Return where a value stands; nothing at all stands where its key does."""
    return key_place if isinstance(node, Scalar) and node.empty else node.place


def says_none(node: Node) -> bool:
    """Return whether the writer says there is none of it."""
    return isinstance(node, Scalar) and node.text.strip().casefold() == "none"


def suggestion(word: str, known: Sequence[str]) -> str:
    """Return the remedy for a word that is not among the known ones."""
    near = nearest(word, known)
    if near is not None:
        return f'Did you mean "{near}"?'
    if not known:
        return "None is known here."
    more = ", ..." if len(known) > _KNOWN_SHOWN else "."
    return f"Known here: {', '.join(known[:_KNOWN_SHOWN])}{more}"
