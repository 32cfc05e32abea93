"""The music files of a class, changed in the text of its plan.

The reader makes whole paths of their names, so that the names are written in the text
itself, which then is read again.
"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Final

from cuetrack.desk.choices import sounds_beside
from cuetrack.documents.editing.applying import changed
from cuetrack.documents.editing.changes import (
    AddKey,
    KeyValues,
    Remove,
    SetValue,
    value_of,
)
from cuetrack.documents.tree import read_tree
from cuetrack.errors import UsageError

if TYPE_CHECKING:
    from collections.abc import Sequence

    from cuetrack.documents.editing.changes import Change

MUSIC: Final = "music"
FILES: Final = ("files", "file")
OWN: Final = "own"


def with_music_files(text: str, names: Sequence[str], file: str) -> str:
    """Return a plan's text whose music are these files of its folder, in this order.

    Music that is made for the class gives way to them. Raises UsageError for a name
    that is no sound file there, PlanError when the text cannot be edited so.
    """
    there = sounds_beside(Path(file).parent)
    for name in names:
        if name not in there:
            raise UsageError(
                f'There is no sound file "{name}" beside the class.',
                "Copy it into the folder of the class first.",
            )
    root = value_of(read_tree(text, file))
    keys = dict(root.entries) if isinstance(root, KeyValues) else {}
    held = keys.get(MUSIC)
    inner = dict(held.entries) if isinstance(held, KeyValues) else {}
    word = next((word for word in FILES if word in inner), None)
    if not names:
        silent = held is None or (inner and word is None)
        return text if silent else changed(text, Remove(path=(MUSIC,)), file)
    if inner and OWN in inner:
        text = changed(text, Remove(path=(MUSIC, OWN)), file)
    change: Change
    if held is None:
        new = KeyValues(((FILES[0], tuple(names)),))
        change = AddKey(path=(), key=MUSIC, value=new, index=1)
    elif not inner or (OWN in inner and len(inner) == 1):
        change = SetValue(path=(MUSIC,), value=tuple(names))
    elif word is not None:
        change = SetValue(path=(MUSIC, word), value=tuple(names))
    else:
        change = AddKey(path=(MUSIC,), key=FILES[0], value=tuple(names), index=0)
    return changed(text, change, file)
