"""The text of a plan, changed key by key as its model declares the keys."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any

from cuetrack.documents.editing.applying import changed
from cuetrack.documents.editing.changes import (
    AddKey,
    KeyValues,
    Remove,
    RenameKey,
    SetValue,
    value_of,
)
from cuetrack.documents.editing.differences import differences, matching
from cuetrack.documents.editing.layout import line_start
from cuetrack.documents.editing.source import Source
from cuetrack.documents.editing.writing import WIDTH
from cuetrack.documents.groups import KeyGroup, Named
from cuetrack.documents.lists import ListOf
from cuetrack.documents.names import key_form
from cuetrack.documents.shapes import TextOrNone
from cuetrack.documents.tree import ListNode, MappingNode, Node, Scalar, read_tree
from cuetrack.movements.model import MOVEMENT, Movement
from cuetrack.movements.sides import Hold

if TYPE_CHECKING:
    from collections.abc import Collection

    from cuetrack.documents.editing.changes import Change, Path, Value
    from cuetrack.documents.keys import Key, Shape, Table

_NONE = "none"
_NAME, _TIME = MOVEMENT.key_of("name"), MOVEMENT.key_of("duration_ms")


def written(shape: Shape[Any], value: object) -> Value:
    """Return a value as its shape writes it; ``none`` for a group that says nothing."""
    root = read_tree(f"- {shape.write(value)}", "")
    item = value_of(root.items[0]) if isinstance(root, ListNode) else None
    return _NONE if item == KeyValues(()) else item


def writable(shape: Shape[Any], value: object) -> Value:
    """Return a value as written, None where its shape has no word for it."""
    if value is None and not isinstance(shape, TextOrNone | Hold):
        return None
    return written(shape, value)


class PlanText:
    """A text that is changed step by step; each step is read again.

    ``anew`` asks that a list be written whole, whatever of it is there already.
    """

    def __init__(self, text: str, file: str, *, anew: bool = False) -> None:
        self.anew = anew
        self._file = file
        self._source = Source.of(text, file)

    @property
    def text(self) -> str:
        """The text as it is now."""
        return self._source.text

    @property
    def root(self) -> Node:
        """Its nodes."""
        return self._source.root

    def node(self, path: Path) -> Node:
        """Return what stands at a path."""
        return self._source.node(path)

    def value(self, path: Path) -> Value:
        """Return what is said at a path."""
        return value_of(self.node(path))

    def do(self, change: Change) -> None:
        """Make a change."""
        self._source = Source.of(changed(self.text, change, self._file), self._file)

    def word(self, path: Path, told: Key) -> str | None:
        """Return the word by which a key is written in the group at a path."""
        node = self.node(path)
        forms = set(map(key_form, told.words))
        if isinstance(node, MappingNode):
            for entry in node.entries:
                if key_form(entry.key.text) in forms:
                    return entry.key.text
        return None

    # --- groups of keys -----------------------------------------------------------

    def edit_group(
        self,
        path: Path,
        group: KeyGroup[Any],
        before: object,
        after: object,
        skip: Collection[str] = (),
    ) -> None:
        """Write every key of a group that is to say something else."""
        for told in group.table.keys:
            if told.item or told.attribute in skip:
                continue
            was, now = _said(before, told), _said(after, told)
            if was != now:
                self._edit_key(path, group, told, was, now)

    def _edit_key(
        self, path: Path, group: KeyGroup[Any], told: Key, was: object, now: object
    ) -> None:
        node = self.node(path)
        if not isinstance(node, MappingNode) and group.meant(node) is told:
            self.put(path, told.shape, was, now)
            return
        self.as_keys(path, group)
        word = self.word(path, told)
        if word is None:
            self.add_key(path, group.table, told, now)
            return
        inner = (*path, word)
        shape = told.shape
        if now is None or (now in ((), "") and now == told.default):
            self.do(Remove(path=inner))
        elif isinstance(shape, KeyGroup) and was is not None:
            self.edit_group(inner, shape, was, now)
        elif isinstance(shape, Named):
            self.edit_movement(inner, was, now)
        elif isinstance(shape, ListOf) and isinstance(shape.item, KeyGroup):
            self._edit_list(inner, shape.item, was, now)
        else:
            self.put(inner, shape, was, now)

    def add_key(self, path: Path, table: Table[Any], told: Key, now: object) -> None:
        """Write a key that is not there yet, behind those declared before it."""
        value = now.name if isinstance(now, Movement) else writable(told.shape, now)
        if value is not None:
            self.add(path, table, told, value)

    def add(self, path: Path, table: Table[Any], told: Key, value: Value) -> None:
        """Write a value behind a key that is not there yet."""
        order = {word: i for i, k in enumerate(table.keys) for word in k.words}
        forms = {key_form(word): place for word, place in order.items()}
        node = self.node(path)
        index = 0
        if isinstance(node, MappingNode):
            for number, entry in enumerate(node.entries, start=1):
                if forms.get(key_form(entry.key.text), -1) < order[told.word]:
                    index = number
        apart = not path and not isinstance(value, str)
        self.do(AddKey(path=path, key=told.word, value=value, index=index, apart=apart))
        self._unfold(path)

    def _unfold(self, path: Path) -> None:
        """Put keys in braces that became too wide for a line on lines of their own."""
        node = self.node(path)
        if isinstance(node, Scalar) or not node.flow or not path:
            return
        above = [self.node(path[:depth]) for depth in range(len(path))]
        flow = any(not isinstance(each, Scalar) and each.flow for each in above)
        line = self.text[line_start(self.text, node.span.start) : node.span.end]
        if len(line) > WIDTH and not flow and not re.search(r"[\r\n#]", line):
            self.do(SetValue(path=path, value=value_of(node)))

    def set_key(self, path: Path, table: Table[Any], told: Key, value: Value) -> None:
        """Write a value behind a key, there already or not."""
        word = self.word(path, told)
        if word is None:
            self.add(path, table, told, value)
        elif self.value((*path, word)) != value:
            self.do(SetValue(path=(*path, word), value=value))

    def as_keys(self, path: Path, group: KeyGroup[Any]) -> None:
        """Write the shorter form of a group as keys."""
        node = self.node(path)
        if isinstance(node, MappingNode):
            return
        value = value_of(node)
        told = group.meant(node)
        if told is None or value in (None, _NONE):
            self.do(SetValue(path=path, value=KeyValues(())))
            return
        if isinstance(node, Scalar) and isinstance(told.shape, ListOf):
            value = (value,)
        self.do(SetValue(path=path, value=KeyValues(((told.word, value),))))

    def put(self, path: Path, shape: Shape[Any], was: object, now: object) -> None:
        """Write another value; of lists and pairs only what is otherwise in them."""
        new, old = written(shape, now), self.value(path)
        usual = writable(shape, was)
        if not self.anew and _alike(old, usual):
            for change in differences(usual, new, path):
                self.do(change)
        else:
            self.do(SetValue(path=path, value=new))

    def _edit_list(
        self,
        path: Path,
        group: KeyGroup[Any],
        was: Any,  # noqa: ANN401 - any values of one table
        now: Any,  # noqa: ANN401
    ) -> None:
        for kind, i, j, k, m in reversed(matching(was, now)):
            if kind == "equal":
                continue
            if kind == "replace" and j - i == m - k:
                for offset in range(j - i):
                    item = (*path, i + offset)
                    self.edit_group(item, group, was[i + offset], now[k + offset])
                continue
            old = tuple(self.value((*path, index)) for index in range(i, j))
            new = tuple(written(group, one) for one in now[k:m])
            whole = self.value(path)
            if isinstance(whole, tuple):
                left = (*whole[:i], *new, *whole[i + len(old) :])
                for change in differences(whole, left, path):
                    self.do(change)

    # --- movements ----------------------------------------------------------------

    def edit_movement(
        self,
        path: Path,
        before: object,
        after: object,
        skip: Collection[str] = (),
    ) -> None:
        """Write everything of a movement that is to be otherwise."""
        for told in MOVEMENT.keys:
            was, now = getattr(before, told.attribute), getattr(after, told.attribute)
            if was == now or told.attribute in skip:
                continue
            if told is _NAME:
                self._rename(path, str(now))
            else:
                self.movement_key(path, told, was, now)

    def details(self, path: Path) -> Path | None:
        """Return where the keys of a movement stand, None where it has none."""
        node = self.node(path)
        if not isinstance(node, MappingNode):
            return None
        if not _is_name_first(node):
            return path
        only = node.entries[0]
        return (*path, only.key.text) if isinstance(only.value, MappingNode) else None

    def _rename(self, path: Path, name: str) -> None:
        node = self.node(path)
        if isinstance(node, MappingNode) and _is_name_first(node):
            self.do(RenameKey(path=(*path, node.entries[0].key.text), key=name))
        elif isinstance(node, MappingNode):
            self.do(SetValue(path=(*path, self.word(path, _NAME) or ""), value=name))
        else:
            self.do(SetValue(path=path, value=name))

    def movement_key(self, path: Path, told: Key, was: object, now: object) -> None:
        """Write one key of a movement, in whatever form it stands."""
        details = self.details(path)
        if details is not None:
            word = self.word(details, told)
            if word is None:
                self.add_key(details, MOVEMENT, told, now)
            elif now is None or (now == () and now == told.default):
                self.do(Remove(path=(*details, word)))
            else:
                self.put((*details, word), told.shape, was, now)
            return
        node = self.node(path)
        if told is _TIME and now is None:
            if isinstance(node, MappingNode):
                self.do(SetValue(path=path, value=node.entries[0].key.text))
            return
        value = writable(told.shape, now)
        if value is not None:
            self._lengthen(path, node, told, value)

    def _lengthen(self, path: Path, node: Node, told: Key, value: Value) -> None:
        """Give a movement that is a name, perhaps with a time, one key more."""
        if isinstance(node, MappingNode):
            name, time = node.entries[0].key.text, value_of(node.entries[0].value)
            keys = {} if time is None or told is _TIME else {_TIME.word: time}
            inner: Value = KeyValues((*keys.items(), (told.word, value)))
            if told is _TIME:
                inner = value
            self.do(SetValue(path=(*path, name), value=inner))
        elif isinstance(node, Scalar):
            inner = value if told is _TIME else KeyValues(((told.word, value),))
            self.do(SetValue(path=path, value=KeyValues(((node.text, inner),))))


def _said(owner: Any, told: Key) -> Any:  # noqa: ANN401 - what the key fills
    whole = getattr(owner, told.inside) if told.inside else owner
    return None if whole is None else getattr(whole, told.attribute)


def _is_name_first(node: MappingNode) -> bool:
    """Return whether a movement is written as its name with something behind it."""
    return (
        len(node.entries) == 1
        and key_form(node.entries[0].key.text) not in MOVEMENT.by_form
    )


def _alike(old: Value, usual: Value) -> bool:
    """Return whether two values have their parts in the same places."""
    if isinstance(old, tuple) and isinstance(usual, tuple):
        return len(old) == len(usual) and all(map(_alike, old, usual))
    if isinstance(old, KeyValues) and isinstance(usual, KeyValues):
        pairs = list(zip(old.entries, usual.entries, strict=False))
        return len(old.entries) == len(usual.entries) and all(
            word == usual_word and _alike(inner, usual_inner)
            for (word, inner), (usual_word, usual_inner) in pairs
        )
    return isinstance(old, str) and isinstance(usual, str)
