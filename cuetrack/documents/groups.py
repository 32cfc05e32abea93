"""The shapes of groups of keys, with a name before them or without."""

from __future__ import annotations

from collections.abc import Mapping  # noqa: TC003 - the annotation of a field
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, Any, ClassVar, TypeVar

from cuetrack.documents.durations import ends_in_time
from cuetrack.documents.filling import Filling, read_keys
from cuetrack.documents.keys import Key, Schema, Shape, Table, Written
from cuetrack.documents.names import key_form, nearest
from cuetrack.documents.problems import Refusal, shown
from cuetrack.documents.quantities import is_time
from cuetrack.documents.reading import (
    UNREAD,
    Partly,
    Spot,
    Unread,
    is_nothing,
)
from cuetrack.documents.schema import details_schema
from cuetrack.documents.tree import Entry, ListNode, MappingNode, Node, Scalar

if TYPE_CHECKING:
    from collections.abc import Iterator

    from cuetrack.documents.reading import Reader

T = TypeVar("T")
W = TypeVar("W", bound=Written)


def _owner(value: object, told: Key) -> object:
    return getattr(value, told.inside) if told.inside else value


def write_keys(table: Table[T], value: T, *, without: str = "") -> str:
    """Return the keys of a value that differ from what counts unsaid, as a group."""
    parts = []
    for told in table.keys:
        owner = _owner(value, told)
        if told.item or owner is None or told.attribute == without:
            continue
        said = getattr(owner, told.attribute)
        if told.required or said != told.default:
            parts.append(f"{told.word}: {told.shape.write(said)}")
    return f"{{{', '.join(parts)}}}"


@dataclass(frozen=True, slots=True, kw_only=True)
class KeyGroup(Shape[T]):
    """The keys of a table, or a shorter form that stands for one of them.

    A single value fills the first of the attributes ``single`` whose shape takes
    it, a list the attribute ``several``. ``fixed`` are attributes that no key says.
    """

    table: Table[T]
    single: tuple[str, ...] = ()
    several: str = ""
    fixed: Mapping[str, object] = field(default_factory=dict)
    noun: ClassVar[str] = "a group of keys"

    def _short(self) -> tuple[Key, ...]:
        return tuple(self.table.key_of(name) for name in self.single)

    def _wanted(self) -> str:
        words = dict.fromkeys(told.shape.one().noun for told in self._short())
        several = ("a list",) if self.several else ()
        return " or ".join((*words, *several, self.noun))

    def read(self, node: Node, spot: Spot, reader: Reader) -> T | Unread:
        if isinstance(node, MappingNode):
            return read_keys(
                self.table, node.entries, node.place, reader, fixed=self.fixed
            )
        if is_nothing(node):
            reader.text(node, spot, self._wanted())
            return UNREAD
        told = self.meant(node)
        if told is None:
            words = self.table.words
            some = (
                words if len(words) < 4 else ("keys such as " + words[0], *words[1:4])
            )
            remedy = f"Write {', '.join(some)} below it."
            return reader.wrong_kind(node, spot, self._wanted(), remedy)
        shape = told.shape if isinstance(node, ListNode) else told.shape.one()
        value = shape.read(node, spot, reader)
        if shape is not told.shape and value is not UNREAD:
            value = (value,)
        filling = Filling(self.table, reader)
        filling.take(told, spot.place, node, value)
        return filling.built(node.place, self.fixed)

    def meant(self, node: Node) -> Key | None:
        """Return the key that a shorter form stands for."""
        if isinstance(node, ListNode):
            return self.table.key_of(self.several) if self.several else None
        short = self._short()
        return next(
            (k for k in short if k.shape.takes(node)), short[-1] if short else None
        )

    def write(self, value: T) -> str:
        return write_keys(self.table, value)

    def schema(self) -> Schema:
        forms = [told.shape.one().scalar_schema() for told in self._short()]
        if self.several:
            forms.append(self.table.key_of(self.several).shape.schema())
        whole = {"$ref": f"#/$defs/{self.table.name}"}
        return {"anyOf": [*forms, whole]} if forms else whole

    def values(self) -> str:
        forms = [told.shape.one().values() for told in self._short()]
        forms += (
            ["a list of its " + self.table.key_of(self.several).word]
            if self.several
            else []
        )
        return "; ".join((*forms, f"keys of {self.table.what}"))

    def tables(self) -> Iterator[Table[Any]]:
        yield self.table


@dataclass(frozen=True, slots=True, kw_only=True)
class Named(Shape[T]):
    """A group known by a name: ``NAME``, ``NAME: TIME``, ``NAME: {...}`` or keys.

    ``name`` and ``time`` are the attributes that the short forms fill.
    """

    table: Table[T]
    name: str
    time: str

    @property
    def noun(self) -> str:  # type: ignore[override]
        """What one is called."""
        return self.table.what

    def read(self, node: Node, spot: Spot, reader: Reader) -> T | Unread:
        word = self.table.key_of(self.name).word
        if isinstance(node, Scalar):
            return self._named(
                Entry(key=_word(word, node), value=node), (), node, reader
            )
        if not isinstance(node, MappingNode):
            remedy = f'Write its name, or "NAME: 40 s", or keys after "{word}: NAME".'
            return reader.wrong_kind(node, spot, self.table.what, remedy)
        if len(node.entries) == 1 and self._is_name(node.entries[0]):
            return self._name_with(node.entries[0], node, reader)
        return read_keys(self.table, node.entries, node.place, reader)

    def _is_name(self, entry: Entry) -> bool:
        """Return whether the only key is a name, not a slip of a key."""
        if key_form(entry.key.text) in self.table.by_form:
            return False
        if isinstance(entry.value, MappingNode) or is_time(entry.value):
            return True
        return nearest(entry.key.text, self.table.words) is None

    def _name_with(self, entry: Entry, node: MappingNode, reader: Reader) -> T | Unread:
        name = Entry(
            key=_word(self.table.key_of(self.name).word, entry.key), value=entry.key
        )
        if isinstance(entry.value, MappingNode):
            return self._named(name, entry.value.entries, node, reader)
        if is_nothing(entry.value):
            return self._named(name, (), node, reader)
        word = self.table.key_of(self.time).word
        time = Entry(key=_word(word, entry.key), value=entry.value)
        called = shown(entry.key.text)
        return self._named(name, (time,), node, reader, called=called)

    def _named(
        self,
        name: Entry,
        details: tuple[Entry, ...],
        node: Node,
        reader: Reader,
        *,
        called: str | None = None,
    ) -> T | Unread:
        text = name.value.text if isinstance(name.value, Scalar) else ""
        if ends_in_time(text):
            what = f"{shown(text)} has a time in its name."
            remedy = 'Put a colon before it: "NAME: 40 s".'
            reader.refuse(node.place, what, remedy, Refusal.TIME_IN_NAME)
        entries = (name, *details)
        return read_keys(self.table, entries, node.place, reader, called=called)

    def write(self, value: T) -> str:
        told = self.table.key_of(self.name)
        name = told.shape.write(getattr(value, self.name))
        keys = write_keys(self.table, value, without=self.name)
        return name if keys == "{}" else f"{{{told.word}: {name}, {keys[1:]}"

    def schema(self) -> Schema:
        return {"$ref": f"#/$defs/named_{self.table.name}"}

    def scalar_schema(self) -> Schema:
        return self.table.key_of(self.name).shape.schema()

    def definitions(self) -> dict[str, Schema]:
        told = self.table.key_of(self.name)
        here = f"#/$defs/{self.table.name}"
        details = details_schema(self.table, told)
        one = {
            "type": "object",
            "minProperties": 1,
            "maxProperties": 1,
            "propertyNames": {
                **told.shape.schema(),
                "not": {"enum": [w for k in self.table.keys for w in k.words]},
            },
            "additionalProperties": {
                "anyOf": [
                    self.table.key_of(self.time).shape.schema(),
                    details,
                    {"type": "null"},
                ]
            },
        }
        forms = [told.shape.schema(), {"$ref": here}, one]
        return {f"named_{self.table.name}": {"anyOf": forms}}

    def values(self) -> str:
        return f"a name; NAME: TIME; keys of {self.table.what}"

    def tables(self) -> Iterator[Table[Any]]:
        yield self.table


@dataclass(frozen=True, slots=True, kw_only=True)
class Under(Shape[tuple[T, ...]]):
    """Groups of keys, each below a word that fills its attribute ``name``."""

    table: Table[T]
    name: str
    example: str
    noun: ClassVar[str] = "a group of keys"

    def read(
        self, node: Node, spot: Spot, reader: Reader
    ) -> tuple[T, ...] | Partly[tuple[T, ...]] | Unread:
        remedy = f"Write lines such as {self.example} below it."
        if not isinstance(node, MappingNode):
            return reader.wrong_kind(node, spot, self.noun, remedy)
        read = [self._one(entry, reader) for entry in node.entries]
        good = tuple(value for value in read if value is not UNREAD)
        return good if len(good) == len(read) else Partly(good)

    def _one(self, entry: Entry, reader: Reader) -> T | Unread:
        if not isinstance(entry.value, MappingNode):
            spot = Spot(shown(entry.key.text), entry.key.place)
            words = ", ".join(w for w in self.table.words[1:5])
            remedy = f"Write keys such as {words} below it."
            return reader.wrong_kind(entry.value, spot, self.noun, remedy)
        word = self.table.key_of(self.name).word
        name = Entry(key=_word(word, entry.key), value=entry.key)
        entries = (name, *entry.value.entries)
        return read_keys(self.table, entries, entry.key.place, reader)

    def write(self, value: tuple[T, ...]) -> str:
        told = self.table.key_of(self.name)
        return (
            "{"
            + ", ".join(
                f"{told.shape.write(getattr(one, self.name))}: "
                f"{write_keys(self.table, one, without=self.name)}"
                for one in value
            )
            + "}"
        )

    def schema(self) -> Schema:
        told = self.table.key_of(self.name)
        names = {k: v for k, v in told.shape.schema().items() if k != "type"}
        return {
            "type": "object",
            "propertyNames": names,
            "additionalProperties": details_schema(self.table, told),
        }

    def values(self) -> str:
        return f"lines such as {self.example}"

    def tables(self) -> Iterator[Table[Any]]:
        yield self.table


def _word(word: str, at: Scalar) -> Scalar:
    return replace(at, text=word, quoted=False)
