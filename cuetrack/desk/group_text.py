"""Who comes, changed in the text of a plan.

The reader words the cautions of a whole class by who comes, so that this is changed in
the text itself, which then is read again.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from cuetrack.documents.editing.applying import changed
from cuetrack.documents.editing.changes import (
    AddKey,
    KeyValues,
    Remove,
    SetValue,
    value_of,
)
from cuetrack.documents.tree import read_tree

if TYPE_CHECKING:
    from collections.abc import Sequence

    from cuetrack.documents.editing.changes import Change, Value

GROUP: Final = ("group", "listeners", "people")
FACTS: Final = ("facts",)
DENIED: Final = ("not", "nobody with", "nobody has")


def with_group(
    text: str, facts: Sequence[str] | None, denied: Sequence[str] | None, file: str
) -> str:
    """Return a plan's text with these facts of its group, all else as it was.

    None leaves what is written.

    Raises PlanError when the text cannot be edited so.
    """
    for names, words in ((FACTS, facts), (DENIED, denied)):
        if words is None:
            continue
        change = _change(text, names, tuple(words), file)
        if change is not None:
            text = changed(text, change, file)
    return text


def _change(
    text: str, names: tuple[str, ...], words: tuple[str, ...], file: str
) -> Change | None:
    root = value_of(read_tree(text, file))
    keys = dict(root.entries) if isinstance(root, KeyValues) else {}
    group = next((name for name in GROUP if name in keys), None)
    if group is None:
        new = KeyValues(((names[0], words),))
        return AddKey(path=(), key="group", value=new, index=1) if words else None
    held = keys[group]
    if not isinstance(held, KeyValues):
        return _of_a_list(group, held, names, words)
    inner = dict(held.entries)
    name = next((name for name in names if name in inner), None)
    if name is not None:
        path = (group, name)
        return SetValue(path=path, value=words) if words else Remove(path=path)
    if not words:
        return None
    return AddKey(path=(group,), key=names[0], value=words, index=len(inner))


def _of_a_list(
    group: str, held: Value, names: tuple[str, ...], words: tuple[str, ...]
) -> Change | None:
    """Return the change of a group that is written as its facts alone."""
    if names == FACTS:
        return SetValue(path=(group,), value=words) if words != held else None
    if not words:
        return None
    facts = (held,) if isinstance(held, str) else held or ()
    return SetValue(path=(group,), value=KeyValues((("facts", facts), ("not", words))))
