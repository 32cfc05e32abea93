"""Changes of a document as the smallest edits of its text.

A change is worked out on the text itself, so that remarks, order, quotes, hand
alignment and line ends stay as they are. The new text is then read again, and only
when it says exactly what the change asks for is it handed out.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from cuetrack.documents.editing.changes import (
    AddKey,
    InsertItem,
    ListKeys,
    Move,
    Remove,
    RenameKey,
    SetAside,
    SetValue,
    after,
    value_of,
)
from cuetrack.documents.editing.inserting import add_key, insert_item
from cuetrack.documents.editing.layout import line_end, line_start, lines_up
from cuetrack.documents.editing.moving import listed, move
from cuetrack.documents.editing.removing import remove, set_aside
from cuetrack.documents.editing.setting import renamed, set_value
from cuetrack.documents.editing.source import Source, UnsafeError, applied, edit
from cuetrack.documents.problems import refusal
from cuetrack.documents.tree import read_tree
from cuetrack.errors import PlanError

if TYPE_CHECKING:
    from cuetrack.documents.editing.changes import Change
    from cuetrack.documents.editing.source import TextEdit


_BREAK = re.compile(r"[\r\n]")
_REMARK = re.compile(r"[,\]}]*(?: +[\]}]+,?)*( {2,})(?=#)")


def changed(text: str, change: Change, file: str) -> str:
    """Return ``text`` as it is after a change; ``file`` is the name messages show.

    Raises
    ------
    PlanError
        When the text is written in a way that the change cannot be made in.
    LookupError
        When a path of the change names nothing of the kind it needs.
    """
    return applied(text, edits_of(text, change, file))


def edits_of(text: str, change: Change, file: str) -> tuple[TextEdit, ...]:
    """Return the edits that make a change; the errors are those of `changed`."""
    source = Source.of(text, file)
    wanted = after(value_of(source.root), change)
    try:
        edits = _remarks_kept(text, _edits(source, change))
        says = value_of(read_tree(applied(text, edits), file))
    except (PlanError, UnsafeError):
        says = None
    if says == wanted:
        return edits
    what = "This is written in a way that cannot be changed safely."
    remedy = "Change it in a text editor."
    if re.search(r"(?:^|[\s,\[{])[&*]\w", text):
        remedy = "Write what stands behind & and * out in full, then try again."
    raise refusal(file, source.node(change.path).place, what, remedy)


def _edits(source: Source, change: Change) -> list[TextEdit]:
    """Return what to edit, not yet tried."""
    match change:
        case SetValue():
            edits = set_value(source, *source.part_at(change.path), change.value)
        case AddKey():
            edits = add_key(source, change)
        case InsertItem():
            edits = insert_item(source, change)
        case Remove():
            edits = remove(source, change.path)
        case SetAside():
            edits = set_aside(source, change)
        case Move():
            edits = move(source, change)
        case ListKeys():
            edits = listed(source, change)
        case RenameKey():
            edits = renamed(source, source.part_at(change.path)[1], change.key)
    return edits


def _remarks_kept(text: str, edits: list[TextEdit]) -> tuple[TextEdit, ...]:
    """Return edits with more after which remarks that line up still do."""
    lines: dict[int, list[TextEdit]] = {}
    for one in edits:
        if one.span.start < line_end(text, one.span.start):
            lines.setdefault(line_start(text, one.span.start), []).append(one)
    kept = []
    for there in lines.values():
        if any(_BREAK.search(e.text + text[e.span.start : e.span.end]) for e in there):
            continue
        end = max(one.span.end for one in there)
        room = _REMARK.match(text, end)
        if room and lines_up(text, room.end(1)):
            grown = sum(len(e.text) - e.span.end + e.span.start for e in there)
            left = len(room[1]) - grown
            spaces = " " * (left if left > 0 else 2)
            kept.append(edit(room.start(1), room.end(1), spaces))
    return (*edits, *kept)
