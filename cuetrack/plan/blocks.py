"""Groups of keys, read by the table that names what may stand there."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Final

from cuetrack.documents.durations import ends_in_time, parse_duration
from cuetrack.documents.names import key_form, nearest
from cuetrack.documents.problems import shown
from cuetrack.documents.tree import Entry, ListNode, MappingNode, Node, Scalar
from cuetrack.plan import shapes
from cuetrack.plan.fields import SECTIONS, TABLES
from cuetrack.plan.model import SectionKind
from cuetrack.plan.values import (
    UNREAD,
    Spot,
    Unread,
    ValueReader,
    kind_name,
    suggestion,
    written_place,
    written_twice,
)

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from cuetrack.documents.places import Place
    from cuetrack.documents.problems import Problems
    from cuetrack.plan.shapes import Field, Table


@dataclass(frozen=True, slots=True, kw_only=True)
class BlockValue:
    """What was read of a group of keys.

    ``said`` holds the values that could be read; ``keys`` and ``places`` tell
    where every key that was written stands, and where its value does.
    """

    table: Table
    place: Place
    said: Mapping[str, Any]
    keys: Mapping[str, Place]
    places: Mapping[str, Place]

    def get(self, key: str) -> Any:  # noqa: ANN401
        """Return what was said, or the default of the key."""
        if key in self.said:
            return self.said[key]
        return next(f.default for f in self.table.fields if f.key == key)

    def wrote(self, key: str) -> bool:
        """Return whether the key was written, even if it could not be read."""
        return key in self.places

    def misread(self, keys: Iterable[str]) -> bool:
        """Return whether any of the keys was written but could not be read."""
        return any(self.wrote(key) and key not in self.said for key in keys)

    def place_of(self, key: str) -> Place:
        """Return where the value of a key stands, or else the whole group."""
        return self.places.get(key, self.place)


@dataclass(frozen=True, slots=True, kw_only=True)
class SectionValue:
    """A section as written: its kind and whatever stood behind it."""

    kind: SectionKind
    value: Any
    place: Place


class BlockReader:
    """Reads groups of keys, and the lists and values below them."""

    def __init__(self, problems: Problems) -> None:
        self._problems = problems
        self._values = ValueReader(problems)

    def block(self, node: Node, table: Table, spot: Spot) -> BlockValue | Unread:
        """Return the keys of a table that a node holds.

        Every unknown, double or missing key is told to the problems.
        """
        if not isinstance(node, MappingNode):
            keys = ", ".join(field.key for field in table.fields[:3])
            self._wrong_kind(node, spot, "a group of keys", f"Write {keys} below it.")
            return UNREAD
        return self.keys_of(node, table)

    def keys_of(self, node: MappingNode, table: Table) -> BlockValue:
        """Return the keys of a table that a node of the right kind holds."""
        return self._entries(node.entries, table, node.place)

    def _entries(
        self,
        entries: Sequence[Entry],
        table: Table,
        place: Place,
        *,
        called: str | None = None,
    ) -> BlockValue:
        """Read keys; ``called`` is what messages call them instead of the keys."""
        fields = _fields_by_form(table)
        said: dict[str, Any] = {}
        places: dict[str, Place] = {}
        keys: dict[str, Place] = {}
        for entry in entries:
            field = fields.get(key_form(entry.key.text))
            if field is None:
                self._unknown_key(entry.key, table)
                continue
            if field.key in keys:
                self._problems.add(*written_twice(entry.key, keys[field.key]))
                continue
            keys[field.key] = entry.key.place
            spot = Spot(called or shown(entry.key.text), entry.key.place)
            places[field.key] = written_place(entry.value, entry.key.place)
            value = self.value(entry.value, field.shape, spot)
            if value is not UNREAD:
                said[field.key] = value
        block = BlockValue(
            table=table, place=place, said=said, keys=keys, places=places
        )
        self._missing_keys(block, entries)
        return block

    def _missing_keys(self, block: BlockValue, entries: Sequence[Entry]) -> None:
        missing = [
            field
            for field in block.table.fields
            if field.required and not block.wrote(field.key)
        ]
        slips = set()
        if missing and not self._problems.crowded:
            slips = {nearest(e.key.text, _all_keys(block.table)) for e in entries}
        for field in missing:
            if field.key not in slips:
                what = f'"{field.key}" is missing from {block.table.what}.'
                remedy = f'Add a line "{field.key}: ...". {field.meaning}'
                self._problems.add(block.place, what, remedy)

    def _unknown_key(self, key: Scalar, table: Table) -> None:
        what = f"{shown(key.text)} is not a key of {table.what}."
        if self._problems.crowded:
            self._problems.add(key.place, what, "Take it out.")
            return
        form = key_form(key.text)
        elsewhere = [
            other.under
            for other in TABLES.values()
            if other is not table and form in {key_form(f.key) for f in other.fields}
        ]
        near = nearest(key.text, _all_keys(table))
        if near is None and elsewhere:
            remedy = f"It belongs to {elsewhere[0]}."
        else:
            remedy = suggestion(key.text, _all_keys(table))
        self._problems.add(key.place, what, remedy)

    def value(self, node: Node, shape: shapes.Shape, spot: Spot) -> Any:  # noqa: ANN401, PLR0911 - one return a shape
        """Return the value of any shape, UNREAD after telling what is wrong.

        A list keeps its place: items that could not be read are UNREAD in it.
        """
        match shape:
            case shapes.Block():
                return self.block(node, TABLES[shape.table], spot)
            case shapes.ListOf():
                return self._list(node, shape, spot)
            case shapes.Either():
                return self._either(node, shape, spot)
            case shapes.MovementShape():
                return self._movement(node, spot)
            case shapes.TimeOrMovement():
                return self._time_or_movement(node, shape, spot)
            case shapes.SectionItem():
                return self._section(node)
            case _:
                return self._values.single(node, shape, spot)

    def _list(
        self, node: Node, shape: shapes.ListOf, spot: Spot
    ) -> tuple[Any, ...] | Unread:
        if not isinstance(node, ListNode) or not node.items:
            remedy = f"Write them as {shape.example}"
            remedy += ', or one a line after "- ".' if "[" in shape.example else "."
            self._wrong_kind(node, spot, f"a list of {shape.what}", remedy)
            return UNREAD
        return tuple(
            self.value(item, shape.item, Spot("This item", item.place))
            for item in node.items
        )

    def _either(self, node: Node, shape: shapes.Either, spot: Spot) -> Any:  # noqa: ANN401
        match node:
            case Scalar(empty=True):
                self._values.scalar_text(node, spot, _words_for(shape))
                return UNREAD
            case Scalar() if shape.single is not None:
                return self.value(node, shape.single, spot)
            case ListNode() if shape.several is not None:
                return self.value(node, shape.several, spot)
            case MappingNode() if shape.keys is not None:
                return self.value(node, shape.keys, spot)
        remedy = "See the examples of plans."
        if shape.keys is not None:
            fields = TABLES[shape.keys.table].fields[:4]
            remedy = f"Write keys such as {', '.join(f.key for f in fields)} below it."
        self._wrong_kind(node, spot, _words_for(shape), remedy)
        return UNREAD

    def _wrong_kind(self, node: Node, spot: Spot, wanted: str, remedy: str) -> None:
        empty_list = isinstance(node, ListNode) and not node.items
        found = "an empty list" if empty_list else kind_name(node)
        place = written_place(node, spot.place)
        what = f"{spot.label} should be {wanted}, and here is {found}."
        self._problems.add(place, what, remedy)

    def _movement(self, node: Node, spot: Spot) -> BlockValue | Unread:
        table = TABLES["movement"]
        if isinstance(node, Scalar):
            return self._named(Entry(key=_key("movement", node), value=node), (), node)
        if not isinstance(node, MappingNode):
            remedy = 'Write its name, or "NAME: 40 s", or keys after "movement: NAME".'
            self._wrong_kind(node, spot, "a movement", remedy)
            return UNREAD
        if len(node.entries) == 1 and self._is_name(node.entries[0], table):
            return self._name_with(node.entries[0], node)
        return self._entries(node.entries, table, node.place)

    @staticmethod
    def _is_name(entry: Entry, table: Table) -> bool:
        """Return whether the only key is a movement's name, not a slip of a key."""
        if key_form(entry.key.text) in _fields_by_form(table):
            return False
        if isinstance(entry.value, MappingNode) or _is_time(entry.value):
            return True
        return nearest(entry.key.text, _all_keys(table)) is None

    def _name_with(self, entry: Entry, node: MappingNode) -> BlockValue:
        """Read ``name: 40 s`` and ``name: {how: ...}``."""
        named = Entry(key=_key("movement", entry.key), value=entry.key)
        if isinstance(entry.value, MappingNode):
            return self._named(named, entry.value.entries, node)
        if isinstance(entry.value, Scalar) and entry.value.empty:
            return self._named(named, (), node)
        time = Entry(key=_key("for", entry.key), value=entry.value)
        return self._named(named, (time,), node, called=shown(entry.key.text))

    def _named(
        self,
        name: Entry,
        details: tuple[Entry, ...],
        node: Node,
        *,
        called: str | None = None,
    ) -> BlockValue:
        text = name.value.text if isinstance(name.value, Scalar) else ""
        if ends_in_time(text):
            what = f"{shown(text)} has a time in its name."
            self._problems.add(node.place, what, 'Put a colon before it: "NAME: 40 s".')
        table = TABLES["movement"]
        return self._entries((name, *details), table, node.place, called=called)

    def _time_or_movement(
        self, node: Node, shape: shapes.TimeOrMovement, spot: Spot
    ) -> Any:  # noqa: ANN401
        if _is_time(node):
            return self._values.time(node, shape.time, spot)
        return (self._movement(node, spot),)

    def _section(self, node: Node) -> SectionValue | Unread:
        fields = {key_form(f.key): f for f in SECTIONS}
        known = tuple(f.key for f in SECTIONS)
        if not isinstance(node, MappingNode) or len(node.entries) != 1:
            what = "Each item of the list of sections should be one section."
            remedy = f"Start it with one of these and a colon: {', '.join(known)}."
            self._problems.add(node.place, what, remedy)
            return UNREAD
        entry = node.entries[0]
        field = fields.get(key_form(entry.key.text))
        if field is None:
            what = f"{shown(entry.key.text)} is not a kind of section."
            self._problems.add(entry.key.place, what, suggestion(entry.key.text, known))
            return UNREAD
        spot = Spot(shown(entry.key.text), entry.key.place)
        return SectionValue(
            kind=SectionKind(field.key),
            value=self.value(entry.value, field.shape, spot),
            place=entry.key.place,
        )


def _key(word: str, at: Scalar) -> Scalar:
    return Scalar(text=word, quoted=False, place=at.place)


def _by_form(table: Table) -> dict[str, Field]:
    return {
        key_form(word): field
        for field in table.fields
        for word in (field.key, *field.also)
    }


_FIELDS_BY_FORM: Final = {table.what: _by_form(table) for table in TABLES.values()}


def _fields_by_form(table: Table) -> dict[str, Field]:
    return _FIELDS_BY_FORM[table.what]


def _all_keys(table: Table) -> tuple[str, ...]:
    return tuple(field.key for field in table.fields)


def _is_time(node: Node) -> bool:
    if not isinstance(node, Scalar):
        return False
    try:
        parse_duration(node.text)
    except ValueError:
        return False
    return True


def _words_for(shape: shapes.Either) -> str:
    words = {
        "a time or a movement": isinstance(shape.single, shapes.TimeOrMovement),
        "a time": isinstance(shape.single, shapes.Time),
        "a text": isinstance(shape.single, shapes.Text | shapes.Texts),
        "a list": shape.several is not None,
        "a group of keys": shape.keys is not None,
    }
    return " or ".join(word for word, fits in words.items() if fits)
