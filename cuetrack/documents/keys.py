"""Keys declared on the attributes of a model, and the tables that follow from them.

A frozen dataclass says on each attribute which key fills it::

    @declared
    class Movement(Written):
        name: str = key("movement", Text(60), "Its name, as it is said.")
        rest_ms: int | None = key("rest", REST, "The rest after it.", default=None)

Reading, hints, the JSON Schema, the reference page and the text of an edit all
follow from that one line; a checker of types sees that shape and attribute agree.
"""

from __future__ import annotations

import dataclasses
from abc import ABC, abstractmethod
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import (
    TYPE_CHECKING,
    Any,
    ClassVar,
    Final,
    Generic,
    TypeVar,
    dataclass_transform,
    overload,
)

from cuetrack.documents.names import key_form
from cuetrack.documents.places import Place
from cuetrack.documents.tree import Scalar

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping

    from cuetrack.documents.reading import Partly, Reader, Spot, Unread
    from cuetrack.documents.tree import Node

T = TypeVar("T")
D = TypeVar("D")
Schema = dict[str, Any]
_DECLARED: Final = "declared"


class Shape(ABC, Generic[T]):
    """One form of value; ``noun`` names it among others, as "a time".

    ``few_values`` tells that all of them can be named in passing.
    """

    __slots__ = ()
    noun: ClassVar[str] = "a text"
    few_values: ClassVar[bool] = False

    @abstractmethod
    def read(self, node: Node, spot: Spot, reader: Reader) -> T | Partly[T] | Unread:
        """Return the value of a node, after telling all that is wrong with it."""

    @abstractmethod
    def write(self, value: T) -> str:
        """Return the text that is read as this value, in one line."""

    @abstractmethod
    def schema(self) -> Schema:
        """Return the JSON Schema of what is read."""

    def scalar_schema(self) -> Schema:
        """Return the JSON Schema of what is read from a single value."""
        return self.schema()

    @abstractmethod
    def values(self) -> str:
        """Return what may be written, in words for the reference page."""

    def takes(self, node: Node) -> bool:
        """Return whether a single value is one of these rather than another."""
        return isinstance(node, Scalar)

    def one(self) -> Shape[Any]:
        """Return the shape of a single value that stands for all of this one."""
        return self

    def parts(self) -> Iterator[Shape[Any]]:
        """Yield the shapes this one is made of."""
        yield from ()

    def tables(self) -> Iterator[Table[Any]]:
        """Yield the tables of keys that stand behind this shape."""
        for part in self.parts():
            yield from part.tables()

    def items(self) -> tuple[Key, ...]:
        """Return the keys that may stand in place of a list of this shape."""
        return ()

    def definitions(self) -> dict[str, Schema]:
        """Return what its schema refers to, the tables left out."""
        return {k: d for part in self.parts() for k, d in part.definitions().items()}


@dataclass(frozen=True, slots=True, kw_only=True)
class Key:
    """One key: its word, its shape, its meaning, and other words for it.

    ``default`` counts when nothing is written. ``unread`` stands in for a
    required value that could not be read, so that reading goes on. ``inside``
    names the attribute whose own attribute the key fills. ``item`` marks one
    that adds to the list its attribute holds.
    """

    word: str
    shape: Shape[Any]
    meaning: str
    also: tuple[str, ...] = ()
    required: bool = False
    default: object = None
    unread: object = None
    attribute: str = ""
    inside: str = ""
    item: bool = False
    only: tuple[str, ...] = ()

    @property
    def words(self) -> tuple[str, ...]:
        """Every word for it, the usual one first."""
        return (self.word, *self.also)

    @property
    def usual(self) -> str:
        """What counts unsaid, as it would be written; empty for nothing."""
        plain = isinstance(self.default, str | int | float) and self.default
        return self.shape.write(self.default) if plain else ""


@dataclass(frozen=True, slots=True)
class _Inline:
    of: type
    only: tuple[str, ...]
    without: tuple[str, ...]


@overload
def key(
    word: str,
    shape: Shape[T],
    meaning: str,
    *,
    also: tuple[str, ...] = ...,
    only: tuple[str, ...] = ...,
    unread: T = ...,
) -> T: ...
@overload
def key(
    word: str,
    shape: Shape[T],
    meaning: str,
    *,
    also: tuple[str, ...] = ...,
    only: tuple[str, ...] = ...,
    default: D,
    compare: bool = ...,
) -> T | D: ...
def key(
    word: str,
    shape: Shape[Any],
    meaning: str,
    *,
    also: tuple[str, ...] = (),
    only: tuple[str, ...] = (),
    unread: Any = None,
    default: Any = dataclasses.MISSING,
    compare: bool = True,
) -> Any:
    """Declare the key that fills an attribute.

    Parameters
    ----------
    word, also
        The key, and other words that are taken for it.
    shape, meaning
        What may stand behind it, and what that means to the writer.
    only
        The tables it stands in, by name; empty for every table of its class.
    default
        What the attribute is when nothing is written; without it the key is
        required.
    unread
        What a required one is when it could not be read.
    compare
        Whether values differ when this attribute does.
    """
    required = default is dataclasses.MISSING
    told = Key(
        word=word,
        shape=shape,
        meaning=meaning,
        also=also,
        only=only,
        required=required,
        default=None if required else default,
        unread=unread,
    )
    return field(default=default, compare=compare, metadata={_DECLARED: told})


def inline(
    of: type[Any],
    *,
    only: tuple[str, ...] = (),
    without: tuple[str, ...] = (),
    default: Any = dataclasses.MISSING,  # noqa: ANN401 - whatever the attribute holds
) -> Any:  # noqa: ANN401 - the attribute says its type
    """Declare that the keys of another class stand among those of this one.

    Parameters
    ----------
    of
        The class of the attribute.
    only
        The tables in which they stand, by name; empty for all.
    without
        Attributes of that class whose keys are left out.
    default
        What the attribute is in tables where they do not stand.
    """
    return field(default=default, metadata={_DECLARED: _Inline(of, only, without)})


@dataclass_transform(
    kw_only_default=True, frozen_default=True, field_specifiers=(key, inline, field)
)
def declared(cls: type[T]) -> type[T]:
    """Return a class as a frozen dataclass whose attributes declare their keys."""
    return dataclass(frozen=True, slots=True, kw_only=True)(cls)


@dataclass(frozen=True, slots=True)
class Said:
    """Which attributes were written, where their values stand, and which misread."""

    keys: Mapping[str, Place] = field(default_factory=dict)
    values: Mapping[str, Place] = field(default_factory=dict)
    misread: frozenset[str] = frozenset()


@declared
class Written:
    """A value that may have been written in a document: where, and what of it."""

    place: Place = field(default_factory=Place, compare=False)
    said: Said = field(default_factory=Said, compare=False, repr=False)

    def wrote(self, attribute: str) -> bool:
        """Return whether an attribute was written, even if it was misread."""
        return self._known(attribute) in self.said.keys

    def misread(self, *attributes: str) -> bool:
        """Return whether any of these was written but could not be read in full."""
        return not self.said.misread.isdisjoint(map(self._known, attributes))

    def place_of(self, attribute: str) -> Place:
        """Return where the value of an attribute stands, or else the whole."""
        return self.said.values.get(self._known(attribute), self.place)

    def _known(self, attribute: str) -> str:
        """Return the name of an attribute; asking for one that is not there fails."""
        getattr(self, attribute)
        return attribute


@dataclass(frozen=True, kw_only=True)
class Table(Generic[T]):
    """The keys that may stand together, as the attributes of a class declare them.

    ``name`` is that of its definition in the schema, ``what`` names it in
    messages, and ``under`` says where it belongs.
    """

    of: type[T]
    name: str
    what: str
    under: str

    @cached_property
    def keys(self) -> tuple[Key, ...]:
        """The keys in the order of their declaration."""
        return tuple(_keys(self.of, self.name))

    @cached_property
    def inlined(self) -> Mapping[str, type[Any]]:
        """The classes whose keys stand here too, by the attribute they fill."""
        return {
            each.name: told.of
            for each, told in _declarations(self.of, self.name)
            if isinstance(told, _Inline)
        }

    @cached_property
    def words(self) -> tuple[str, ...]:
        """The usual word of each key."""
        return tuple(each.word for each in self.keys)

    @cached_property
    def by_form(self) -> Mapping[str, Key]:
        """Every key by the form of every word for it."""
        return {key_form(word): each for each in self.keys for word in each.words}

    def key_of(self, attribute: str) -> Key:
        """Return the key that fills an attribute."""
        return next(k for k in self.keys if k.attribute == attribute and not k.item)

    def reachable(self) -> tuple[Table[Any], ...]:
        """Return this table and every one below it, each once."""
        found: dict[str, Table[Any]] = {}
        waiting: list[Table[Any]] = [self]
        while waiting:
            table = waiting.pop(0)
            if table.name not in found:
                found[table.name] = table
                waiting += [t for each in table.keys for t in each.shape.tables()]
        return tuple(found.values())


def _declarations(
    of: type[Any], table: str
) -> Iterator[tuple[dataclasses.Field[Any], Key | _Inline]]:
    for each in dataclasses.fields(of):
        told = each.metadata.get(_DECLARED)
        if told is not None and (not told.only or table in told.only):
            yield each, told


def _keys(of: type[Any], table: str) -> Iterator[Key]:
    for each, told in _declarations(of, table):
        if isinstance(told, _Inline):
            yield from _inside(_keys(told.of, table), each.name, told.without)
        else:
            yield from (replace(k, attribute=each.name) for k in told.shape.items())
            yield replace(told, attribute=each.name)


def _inside(
    keys: Iterable[Key], attribute: str, without: tuple[str, ...]
) -> Iterator[Key]:
    for each in keys:
        if each.attribute not in without:
            yield replace(each, inside=attribute)
