"""What may be changed in a document, as values, and what each change makes of it.

A document is seen here as plain values: a text, nothing, a list, or keys with values
in their order. Where something stands is a `Path`: keys by their text and items by
their position, from the outside in.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from cuetrack.documents.tree import ListNode, MappingNode, Node, Scalar

if TYPE_CHECKING:
    from collections.abc import Callable


@dataclass(frozen=True, slots=True)
class KeyValues:
    """Keys with their values, in order."""

    entries: tuple[tuple[str, Value], ...]


Value = str | tuple["Value", ...] | KeyValues | None
"""A text, a list, keys with values, or nothing at all."""

Path = tuple[str | int, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class SetValue:
    """What stands at ``path`` becomes ``value``."""

    path: Path
    value: Value


@dataclass(frozen=True, slots=True, kw_only=True)
class AddKey:
    """The keys at ``path`` get one more, as number ``index`` of them.

    ``apart`` asks for a blank line before it where its neighbours have one.
    """

    path: Path
    key: str
    value: Value
    index: int
    apart: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class InsertItem:
    """The list at ``path`` gets one more item, as number ``index``."""

    path: Path
    value: Value
    index: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Remove:
    """The key or item at ``path`` goes, with the comment right above it."""

    path: Path


@dataclass(frozen=True, slots=True, kw_only=True)
class SetAside:
    """As `Remove`, but lines of its own stay as a remark under a line ``note``."""

    path: Path
    note: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Move:
    """The key or item at ``path`` becomes number ``index`` at ``to``.

    Both are counted as they are before the move, ``index`` without the moved one.
    """

    path: Path
    to: Path
    index: int


@dataclass(frozen=True, slots=True, kw_only=True)
class RenameKey:
    """The key at ``path`` is called ``key``."""

    path: Path
    key: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ListKeys:
    """Keys that follow each other at ``path`` become items of a list ``name``.

    Each item has one of them with its value.
    """

    path: Path
    keys: tuple[str, ...]
    name: str


Change = (
    SetValue | AddKey | InsertItem | Remove | SetAside | Move | RenameKey | ListKeys
)


def value_of(node: Node) -> Value:
    """Return what a node says, without how it is written."""
    match node:
        case Scalar():
            return None if node.empty else node.text
        case ListNode():
            return tuple(value_of(item) for item in node.items)
        case MappingNode():
            return KeyValues(
                tuple((e.key.text, value_of(e.value)) for e in node.entries)
            )


def position(value: Value, step: str | int) -> int:
    """Return which part of a list or of keys a step of a path names.

    Raises
    ------
    LookupError
        When there is no such part.
    """
    if isinstance(value, tuple) and isinstance(step, int) and 0 <= step < len(value):
        return step
    if isinstance(value, KeyValues):
        for index, (key, _) in enumerate(value.entries):
            if key == step:
                return index
    raise LookupError(f"nothing stands at {step!r}")


def at(value: Value, path: Path) -> Value:
    """Return what stands at a path.

    Raises
    ------
    LookupError
        When nothing does.
    """
    for step in path:
        index = position(value, step)
        value = (
            value.entries[index][1]
            if isinstance(value, KeyValues)
            else _parts(value)[index]
        )
    return value


def after(value: Value, change: Change) -> Value:
    """Return a document as it is after a change.

    Raises
    ------
    LookupError
        When a path of the change names nothing of the kind it needs, or a key
        would stand twice.
    """
    if not change.path and not isinstance(change, AddKey | InsertItem | ListKeys):
        raise LookupError("the whole document is no part of one")
    match change:
        case SetValue():
            new = _at(value, change.path, lambda _: change.value)
        case AddKey():
            part = (change.key, change.value)
            new = _with_part(value, change.path, change.index, part)
        case InsertItem():
            new = _with_part(value, change.path, change.index, change.value)
        case Remove() | SetAside():
            new = _without(value, change.path)
        case Move():
            new = _moved(value, change)
        case ListKeys():
            new = _at(value, change.path, lambda keys: _listed(keys, change))
        case RenameKey():
            *above, key = change.path
            new = _at(value, tuple(above), lambda keys: _renamed(keys, key, change.key))
    return new


def _parts(value: Value) -> tuple[Any, ...]:
    """Return the items of a list, or keys each with its value."""
    if isinstance(value, KeyValues):
        return value.entries
    if isinstance(value, tuple):
        return value
    raise LookupError("a text has no parts")


def _of_parts(value: Value, parts: tuple[Any, ...]) -> Value:
    return KeyValues(parts) if isinstance(value, KeyValues) else parts


def _at(value: Value, path: Path, made: Callable[[Value], Value]) -> Value:
    """Return a value with another one made of what stands at a path."""
    if not path:
        return made(value)
    parts = list(_parts(value))
    index = position(value, path[0])
    if isinstance(value, KeyValues):
        key, inner = value.entries[index]
        parts[index] = (key, _at(inner, path[1:], made))
    else:
        parts[index] = _at(parts[index], path[1:], made)
    return _of_parts(value, tuple(parts))


def _with_part(value: Value, path: Path, index: int, part: Any) -> Value:  # noqa: ANN401 - an item, or a key with its value
    def more(parent: Value) -> Value:
        parts = _parts(parent)
        if isinstance(parent, KeyValues) and part[0] in dict(parts):
            raise LookupError(f"there is {part[0]!r} already")
        if not 0 <= index <= len(parts):
            raise LookupError(f"there are {len(parts)} parts, none before {index}")
        return _of_parts(parent, (*parts[:index], part, *parts[index:]))

    return _at(value, path, more)


def _without(value: Value, path: Path) -> Value:
    def less(parent: Value) -> Value:
        parts, gone = _parts(parent), position(parent, path[-1])
        return _of_parts(parent, parts[:gone] + parts[gone + 1 :])

    return _at(value, path[:-1], less)


def _renamed(keys: Value, old: str | int, new: str) -> Value:
    index = position(keys, old)
    if isinstance(keys, KeyValues):
        if new != old and new in dict(keys.entries):
            raise LookupError(f"there is {new!r} already")
        entries = list(keys.entries)
        entries[index] = (new, entries[index][1])
        return KeyValues(tuple(entries))
    raise LookupError("an item of a list has no key")


def _listed(keys: Value, change: ListKeys) -> Value:
    first = position(keys, change.keys[0])
    entries = _parts(keys)
    end = first + len(change.keys)
    if tuple(key for key, _ in entries[first:end]) != change.keys:
        raise LookupError("these keys do not follow each other")
    items = tuple(KeyValues((entry,)) for entry in entries[first:end])
    return KeyValues((*entries[:first], (change.name, items), *entries[end:]))


def _moved(value: Value, change: Move) -> Value:
    """Return a document with a part moved: put in before it is taken out elsewhere."""
    *above, last = change.path
    source, target = at(value, tuple(above)), at(value, change.to)
    if isinstance(source, KeyValues) != isinstance(target, KeyValues):
        raise LookupError("a key moves among keys, an item among items")
    part = _parts(source)[position(source, last)]
    if tuple(above) == change.to:
        return _with_part(_without(value, change.path), change.to, change.index, part)
    depth = len(change.to)
    path, step = change.path, change.path[depth] if len(above) >= depth else ""
    if path[:depth] == change.to and isinstance(step, int) and step >= change.index:
        path = (*path[:depth], step + 1, *path[depth + 1 :])
    return _without(_with_part(value, change.to, change.index, part), path)
