"""Keys with their values put together to a value of the class that declares them."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, Any, Generic, TypeVar

from cuetrack.documents.keys import Said
from cuetrack.documents.names import key_form, nearest
from cuetrack.documents.problems import Refusal, shown
from cuetrack.documents.reading import (
    UNREAD,
    Partly,
    Spot,
    Unread,
    is_nothing,
    suggestion,
    written_place,
)
from cuetrack.documents.shapes import written_twice

if TYPE_CHECKING:
    from collections.abc import Callable, Collection, Mapping, Sequence

    from cuetrack.documents.keys import Key, Table
    from cuetrack.documents.places import Place
    from cuetrack.documents.reading import Reader
    from cuetrack.documents.tree import Entry, Node, Scalar

T = TypeVar("T")
V = TypeVar("V")


@dataclass(slots=True)
class _Parts:
    """What was read of one class: its attributes, and what `Said` tells of them."""

    attributes: dict[str, Any] = field(default_factory=dict)
    keys: dict[str, Place] = field(default_factory=dict)
    values: dict[str, Place] = field(default_factory=dict)
    misread: set[str] = field(default_factory=set)

    def said(self) -> Said:
        return Said(dict(self.keys), dict(self.values), frozenset(self.misread))


class Filling(Generic[T]):
    """Takes keys one by one, then gives the value they make."""

    def __init__(self, table: Table[T], reader: Reader) -> None:
        self._table = table
        self._reader = reader
        self._parts = {inside: _Parts() for inside in ("", *table.inlined)}
        self._items: dict[str, list[Place]] = {}

    def take(self, told: Key, key_place: Place, node: Node, value: object) -> None:
        """Keep what was read behind one key."""
        parts, name = self._parts[told.inside], told.attribute
        if isinstance(value, Partly):
            parts.misread.add(name)
            value = value.value
        if told.item:
            self._items.setdefault(name, []).append(key_place)
            if value is UNREAD:
                parts.misread.add(name)
            elif name not in parts.keys:
                value = replace(value, place=key_place)  # type: ignore[type-var]
                value = (*parts.attributes.get(name, ()), value)
                parts.attributes[name] = value
            return
        parts.keys[name] = key_place
        parts.values[name] = written_place(node, key_place)
        if value is UNREAD:
            parts.misread.add(name)
        else:
            parts.attributes[name] = value

    def built(self, place: Place, fixed: Mapping[str, object]) -> T | Unread:
        """Return the value, UNREAD where something required is not there."""
        own = self._parts[""]
        own.attributes.update(fixed)
        for name, of in self._table.inlined.items():
            self._stand_in(name)
            try_made = self._made(of, name, place)
            if try_made is UNREAD:
                return UNREAD
            own.attributes[name] = try_made
        self._stand_in("")
        return self._made(self._table.of, "", place)

    def _stand_in(self, inside: str) -> None:
        attributes = self._parts[inside].attributes
        for told in self._table.keys:
            if told.inside == inside and told.unread is not None:
                attributes.setdefault(told.attribute, told.unread)

    def _made(self, of: Callable[..., V], inside: str, place: Place) -> V | Unread:
        parts = self._parts[inside]
        needed = {k.attribute for k in self._table.keys if k.required}
        own = {k.attribute for k in self._table.keys if k.inside == inside}
        if not needed & own <= parts.attributes.keys():
            return UNREAD
        return of(**parts.attributes, place=place, said=parts.said())


def read_keys(
    table: Table[T],
    entries: Sequence[Entry],
    place: Place,
    reader: Reader,
    *,
    called: str | None = None,
    fixed: Mapping[str, object] | None = None,
) -> T | Unread:
    """Return the value that the keys of a group make.

    Every unknown, double or missing key is told. A key behind which nothing is
    written counts as not written, unless something must stand there.

    Parameters
    ----------
    table, entries, place
        The keys that may stand here, those that do, and where the group starts.
    reader
        What is told of mistakes.
    called
        What messages call the values, in place of their keys.
    fixed
        Attributes that no key says.
    """
    filling = Filling(table, reader)
    seen: dict[str, Place] = {}
    slips: dict[str, tuple[Key, Entry]] = {}
    for entry in entries:
        told = table.by_form.get(key_form(entry.key.text))
        if told is None:
            if meant := _unknown(entry.key, table, reader):
                slips[meant.word] = (meant, entry)
            continue
        if told.word in seen:
            written_twice(entry.key, seen[told.word], reader)
            continue
        seen[told.word] = entry.key.place
        if is_nothing(entry.value) and not (told.required or told.item):
            continue
        spot = Spot(called or shown(entry.key.text), entry.key.place)
        value = told.shape.read(entry.value, spot, reader)
        filling.take(told, entry.key.place, entry.value, value)
    for meant, entry in slips.values():
        if meant.word not in seen:
            filling.take(meant, entry.key.place, entry.value, UNREAD)
    _missing(table, {*seen, *slips}, place, reader)
    _beside(table, seen, reader)
    return filling.built(place, fixed or {})


def _unknown(key: Scalar, table: Table[Any], reader: Reader) -> Key | None:
    """Tell of a key that is none, and return the one it may be a slip of."""
    what = f"{shown(key.text)} is not a key of {table.what}."
    if reader.problems.crowded:
        reader.refuse(key.place, what, "Take it out.")
        return None
    form = key_form(key.text)
    elsewhere = [
        other.under
        for other in reader.tables
        if other is not table and form in map(key_form, other.words)
    ]
    remedy = suggestion(key.text, table.words)
    meant = nearest(key.text, table.words)
    if elsewhere and meant is None:
        remedy = f"It belongs to {elsewhere[0]}."
    reader.refuse(key.place, what, remedy)
    return table.by_form[key_form(meant)] if meant else None


def _missing(
    table: Table[Any], tried: Collection[str], place: Place, reader: Reader
) -> None:
    for told in table.keys:
        if told.required and told.word not in tried:
            what = f'"{told.word}" is missing from {table.what}.'
            remedy = f'Add a line "{told.word}: ...". {told.meaning}'
            reader.refuse(place, what, remedy)


def _beside(table: Table[Any], seen: Mapping[str, Place], reader: Reader) -> None:
    """Tell of items that stand both as keys and in their list."""
    for told in table.keys:
        if told.item and told.word in seen:
            whole = table.key_of(told.attribute).word
            if whole in seen:
                what = f'"{told.word}" stands beside the list "{whole}".'
                remedy = "Move it into the list."
                reader.refuse(seen[told.word], what, remedy, Refusal.BESIDE_LIST)
