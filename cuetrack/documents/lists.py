"""The shapes of lists, and of items that say of which kind they are."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any, TypeVar, cast

from cuetrack.documents.groups import KeyGroup
from cuetrack.documents.keys import Key, Schema, Shape, Written
from cuetrack.documents.names import key_form
from cuetrack.documents.problems import shown
from cuetrack.documents.reading import UNREAD, Partly, Spot, Unread, suggestion
from cuetrack.documents.tree import ListNode, MappingNode, Node

if TYPE_CHECKING:
    from collections.abc import Iterator

    from cuetrack.documents.reading import Reader

T = TypeVar("T")
W = TypeVar("W", bound=Written)


@dataclass(frozen=True, slots=True, kw_only=True)
class ListOf(Shape[tuple[T, ...]]):
    """A list of at least one item, all of one shape."""

    item: Shape[T]
    what: str
    example: str

    def read(
        self, node: Node, spot: Spot, reader: Reader
    ) -> tuple[T, ...] | Partly[tuple[T, ...]] | Unread:
        if not isinstance(node, ListNode) or not node.items:
            remedy = f"Write them as {self.example}"
            remedy += ', or one a line after "- ".' if "[" in self.example else "."
            return reader.wrong_kind(node, spot, f"a list of {self.what}", remedy)
        good: list[T] = []
        for item in node.items:
            value = self.item.read(item, Spot("This item", item.place), reader)
            if isinstance(value, Partly):
                value = value.value
            if value is not UNREAD:
                good.append(value)
        whole = len(good) == len(node.items)
        return tuple(good) if whole else Partly(tuple(good))

    def write(self, value: tuple[T, ...]) -> str:
        return f"[{', '.join(map(self.item.write, value))}]"

    def schema(self) -> Schema:
        return {"type": "array", "items": self.item.schema(), "minItems": 1}

    def values(self) -> str:
        return f"a list of {self.what}"

    def one(self) -> Shape[Any]:
        return self.item

    def parts(self) -> Iterator[Shape[Any]]:
        yield self.item

    def items(self) -> tuple[Key, ...]:
        return self.item.items()


@dataclass(frozen=True, slots=True, kw_only=True)
class OneOf(Shape[W]):
    """A group with one key, whose word is the kind of what stands behind it."""

    kinds: tuple[Key, ...]
    what: str

    def read(self, node: Node, _: Spot, reader: Reader) -> W | Unread:
        known = tuple(told.word for told in self.kinds)
        if not isinstance(node, MappingNode) or len(node.entries) != 1:
            what = f"Each item of the list of {self.what}s should be one {self.what}."
            remedy = f"Start it with one of these and a colon: {', '.join(known)}."
            return reader.refuse(node.place, what, remedy)
        entry = node.entries[0]
        by_form = {key_form(w): told for told in self.kinds for w in told.words}
        told = by_form.get(key_form(entry.key.text))
        if told is None:
            what = f"{shown(entry.key.text)} is not a kind of {self.what}."
            remedy = suggestion(entry.key.text, known)
            return reader.refuse(entry.key.place, what, remedy)
        kind = Spot(shown(entry.key.text), entry.key.place)
        value = told.shape.read(entry.value, kind, reader)
        if not isinstance(value, Written):
            return UNREAD
        return replace(cast("W", value), place=entry.key.place)

    def write(self, value: W) -> str:
        told = next(
            k
            for k in self.kinds
            if isinstance(k.shape, KeyGroup)
            and all(getattr(value, n) == v for n, v in k.shape.fixed.items())
        )
        return f"{{{told.word}: {told.shape.write(value)}}}"

    def schema(self) -> Schema:
        return {
            "type": "object",
            "properties": {
                word: {"$ref": f"#/properties/{told.word}"}
                for told in self.kinds
                for word in told.words
            },
            "additionalProperties": False,
            "minProperties": 1,
            "maxProperties": 1,
        }

    def values(self) -> str:
        return f"one of {', '.join(told.word for told in self.kinds)}"

    def parts(self) -> Iterator[Shape[Any]]:
        for told in self.kinds:
            yield told.shape

    def items(self) -> tuple[Key, ...]:
        return tuple(replace(told, item=True) for told in self.kinds)
