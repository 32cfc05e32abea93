"""What one value of a document has otherwise than another, as changes in order."""

from __future__ import annotations

from difflib import SequenceMatcher
from typing import TYPE_CHECKING

from cuetrack.documents.editing.changes import (
    AddKey,
    InsertItem,
    KeyValues,
    Move,
    Remove,
    SetValue,
)

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from cuetrack.documents.editing.changes import Change, Path, Value


def differences(before: Value, after: Value, path: Path) -> Iterator[Change]:
    """Yield the changes that make ``after`` of the value ``before`` at a path.

    They are to be made one after the other. What both have stays as it is written:
    keys by their words, items by the longest runs that are alike.
    """
    if before == after:
        return
    if isinstance(before, KeyValues) and isinstance(after, KeyValues):
        if set(dict(before.entries)) & set(dict(after.entries)):
            yield from _of_keys(before, after, path)
            return
    elif isinstance(before, tuple) and isinstance(after, tuple) and before and after:
        yield from _of_items(before, after, path)
        return
    yield SetValue(path=path, value=after)


def _of_keys(before: KeyValues, after: KeyValues, path: Path) -> Iterator[Change]:
    old, new = dict(before.entries), dict(after.entries)
    for key in old:
        if key not in new:
            yield Remove(path=(*path, key))
    left = [key for key in old if key in new]
    for index, key in enumerate(new):
        if key not in old:
            yield AddKey(path=path, key=key, value=new[key], index=index)
            left.insert(index, key)
            continue
        if left[index] != key:
            yield Move(path=(*path, key), to=path, index=index)
            left.remove(key)
            left.insert(index, key)
        yield from differences(old[key], new[key], (*path, key))


def _of_items(
    before: tuple[Value, ...], after: tuple[Value, ...], path: Path
) -> Iterator[Change]:
    """Yield changes from the end to the start, so that positions stay right."""
    for kind, i, j, k, m in reversed(matching(before, after)):
        if kind == "equal":
            continue
        paired = min(j - i, m - k)
        for index in range(m - 1, k + paired - 1, -1):
            yield InsertItem(path=path, value=after[index], index=i + paired)
        for index in range(j - 1, i + paired - 1, -1):
            yield Remove(path=(*path, index))
        for offset in range(paired):
            inner = (*path, i + offset)
            yield from differences(before[i + offset], after[k + offset], inner)


def matching(
    before: Sequence[object], after: Sequence[object]
) -> list[tuple[str, int, int, int, int]]:
    """Return the stretches of two sequences that are alike and those that are not."""
    matcher = SequenceMatcher(None, before, after, autojunk=False)
    return list(matcher.get_opcodes())
