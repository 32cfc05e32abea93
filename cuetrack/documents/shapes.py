"""The shapes of single values and of short lists of them: read, written, described.

A shape knows everything about one form of value: how it is read from a node with
every mistake told, how a value is written again, which JSON Schema fits what is
read, and what a reference page says of it. Groups of keys are in `groups`.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING, ClassVar, Final, TypeVar

from cuetrack.documents.editing.writing import scalar_text
from cuetrack.documents.keys import Schema, Shape
from cuetrack.documents.problems import Refusal, shown
from cuetrack.documents.reading import (
    UNREAD,
    Spot,
    Unread,
    kind_name,
    says_none,
    suggestion,
    written_place,
)
from cuetrack.documents.tree import ListNode, MappingNode, Node, Scalar

if TYPE_CHECKING:
    from collections.abc import Callable

    from cuetrack.documents.places import Place
    from cuetrack.documents.reading import Reader

E = TypeVar("E", bound=StrEnum)
P = TypeVar("P")

_YES_NO: Final = {
    "yes": True,
    "on": True,
    "true": True,
    "no": False,
    "off": False,
    "false": False,
}
NONE: Final[Schema] = {"enum": ["none"]}


def _text_schema(most: int) -> Schema:
    return {
        "type": ["string", "number", "boolean"],
        "pattern": r"\S",
        "maxLength": most,
    }


@dataclass(frozen=True, slots=True)
class TextOrNone(Shape[str | None]):
    """A text of at most ``most`` characters, kept in one line, or ``none``."""

    most: int

    def read(self, node: Node, spot: Spot, reader: Reader) -> str | Unread | None:
        return None if says_none(node) else reader.line(node, self.most, spot)

    def write(self, value: str | None) -> str:
        return "none" if value is None else scalar_text(value)

    def schema(self) -> Schema:
        return _text_schema(self.most)

    def values(self) -> str:
        return f"a text, at most {self.most} characters; none"


@dataclass(frozen=True, slots=True)
class Text(Shape[str]):
    """A text of at most ``most`` characters, kept in one line."""

    most: int

    def read(self, node: Node, spot: Spot, reader: Reader) -> str | Unread:
        return reader.line(node, self.most, spot)

    def write(self, value: str) -> str:
        return scalar_text(value)

    def schema(self) -> Schema:
        return _text_schema(self.most)

    def values(self) -> str:
        return f"a text, at most {self.most} characters"


@dataclass(frozen=True, slots=True, kw_only=True)
class Texts(Shape[tuple[str, ...]]):
    """One text or a list of at most ``count`` of them.

    ``mistake`` tells what is wrong with one and what to do, None where all is well;
    ``examples`` are some that are right.
    """

    most: int
    count: int
    none: bool = False
    mistake: Callable[[str], tuple[str, str] | None] | None = None
    examples: tuple[str, ...] = ()

    def read(self, node: Node, spot: Spot, reader: Reader) -> tuple[str, ...] | Unread:
        if self.none and says_none(node):
            return ()
        if isinstance(node, MappingNode):
            remedy = 'Put a text that holds ": " in quotes.'
            return reader.wrong_kind(node, spot, "a text or a list of texts", remedy)
        nodes = node.items if isinstance(node, ListNode) else (node,)
        if not nodes or len(nodes) > self.count:
            remedy = f"Write 1 to {self.count} of them, or take it out."
            return reader.refuse(
                node.place, f"{spot.label} has {len(nodes)} texts.", remedy
            )
        read = [self._one(item, spot, reader) for item in nodes]
        good = tuple(line for line in read if line is not UNREAD)
        return good if len(good) == len(read) else UNREAD

    def _one(self, node: Node, spot: Spot, reader: Reader) -> str | Unread:
        line = reader.line(node, self.most, spot)
        if line is UNREAD or self.mistake is None:
            return line
        mistake = self.mistake(line)
        if mistake is None:
            return line
        what, remedy = mistake
        rule = Refusal.NOT_UNDERSTOOD
        return reader.refuse(node.place, f"{spot.label} has {what}", remedy, rule)

    def write(self, value: tuple[str, ...]) -> str:
        return f"[{', '.join(map(scalar_text, value))}]" if value else "none"

    def schema(self) -> Schema:
        one = _text_schema(self.most)
        if self.examples:
            one["examples"] = list(self.examples)
        several = {
            "type": "array",
            "items": one,
            "minItems": 1,
            "maxItems": self.count,
        }
        return {"anyOf": [one, several]}

    def values(self) -> str:
        some = ", ".join(self.examples)
        one = f"such as {some}" if some else f"of at most {self.most} characters"
        none = "; none" if self.none else ""
        return f"one text or a list of up to {self.count}, each {one}{none}"


@dataclass(frozen=True, slots=True)
class Choice(Shape[E]):
    """One of the words of a `StrEnum`."""

    words: type[E]
    few_values: ClassVar[bool] = True

    def read(self, node: Node, spot: Spot, reader: Reader) -> E | Unread:
        wanted = " or ".join(self.words)
        raw = reader.text(node, spot, wanted)
        if raw is UNREAD:
            return UNREAD
        for word in self.words:
            if raw.strip().casefold() == word:
                return word
        what = f"{spot.label} is {shown(raw)}, and should be {wanted}."
        return reader.refuse(node.place, what, suggestion(raw, tuple(self.words)))

    def write(self, value: E) -> str:
        return value.value

    def schema(self) -> Schema:
        return {"enum": [word.value for word in self.words]}

    def values(self) -> str:
        return ", ".join(self.words)


@dataclass(frozen=True, slots=True)
class YesNo(Shape[bool]):
    """Yes or no, in the spellings people use."""

    few_values: ClassVar[bool] = True

    def read(self, node: Node, spot: Spot, reader: Reader) -> bool | Unread:
        raw = reader.text(node, spot, "yes or no")
        if raw is UNREAD:
            return UNREAD
        answer = self.answer(raw)
        if answer is None:
            what = f"{spot.label} is {shown(raw)}, and should be yes or no."
            return reader.refuse(node.place, what, "Write yes or no.")
        return answer

    @staticmethod
    def answer(text: str) -> bool | None:
        """Return what a word answers, None where it does not."""
        return _YES_NO.get(text.strip().casefold())

    def write(self, value: bool) -> str:  # noqa: FBT001 - a value, not a flag
        return "yes" if value else "no"

    def schema(self) -> Schema:
        return {"enum": [True, False, *_YES_NO]}

    def values(self) -> str:
        return "yes, no"


@dataclass(frozen=True, slots=True, kw_only=True)
class Pairs(Shape[tuple[P, ...]]):
    """Keys of the writer's own choice with a text each.

    ``make`` puts one together and ``apart`` takes it to pieces. Where ``known`` is
    not empty, each key must be one of it, in any case; ``key_wanted`` says what
    the keys are.
    """

    make: Callable[[str, str, Place], P]
    apart: Callable[[P], tuple[str, str]]
    key_most: int
    value_most: int
    known: tuple[str, ...] = ()
    key_wanted: str = "a word"

    def read(self, node: Node, spot: Spot, reader: Reader) -> tuple[P, ...] | Unread:
        if not isinstance(node, MappingNode):
            what = f"{spot.label} should be words with a text each, "
            what += f"and here is {kind_name(node)}."
            place = written_place(node, spot.place)
            return reader.refuse(
                place, what, 'Write a line "WORD: TEXT" for each below it.'
            )
        pairs: dict[str, P] = {}
        seen: dict[str, Place] = {}
        for entry in node.entries:
            key = reader.line(entry.key, self.key_most, spot)
            if key is UNREAD:
                continue
            if self.known:
                key = key.upper()
            if key in seen:
                written_twice(entry.key, seen[key], reader)
                continue
            seen[key] = entry.key.place
            if self.known and key not in self.known:
                what = f"{shown(key)} is not {self.key_wanted}."
                reader.refuse(entry.key.place, what, suggestion(key, self.known))
            label = Spot(shown(key), entry.key.place)
            text = reader.line(entry.value, self.value_most, label)
            if text is not UNREAD:
                pairs[key] = self.make(key, text, entry.key.place)
        return tuple(pairs.values())

    def write(self, value: tuple[P, ...]) -> str:
        parts = (map(scalar_text, self.apart(pair)) for pair in value)
        return f"{{{', '.join(': '.join(pair) for pair in parts)}}}"

    def schema(self) -> Schema:
        names: Schema = {"maxLength": self.key_most, "pattern": r"\S"}
        if self.known:
            names = {"enum": list(self.known)}
        return {
            "type": "object",
            "propertyNames": names,
            "additionalProperties": _text_schema(self.value_most),
        }

    def values(self) -> str:
        most = f"a text of at most {self.value_most} characters"
        return f"a group: {self.key_wanted}, a colon, {most}"


def written_twice(key: Scalar, first: Place, reader: Reader) -> None:
    """Tell of a key that stands twice in one place."""
    what = f"{shown(key.text)} is written twice, first in line {first.line}."
    reader.refuse(key.place, what, "Keep one of the two.", Refusal.KEY_TWICE)
