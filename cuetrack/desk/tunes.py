"""A tune of the leader's, brought from elsewhere into the folder of the classes."""

from __future__ import annotations

import filecmp
import shutil
from pathlib import Path, PureWindowsPath
from typing import TYPE_CHECKING

from cuetrack.desk.choices import SOUND_SUFFIXES
from cuetrack.desk.templating import desk_words
from cuetrack.errors import CuetrackError, UsageError
from cuetrack.output.track.files import replacing, safe_name

if TYPE_CHECKING:
    from cuetrack.desk.shelf import Shelf


def tune_name(asked: str) -> str:
    r"""Return a name for a tune that is no path and that every system takes.

    Raises UsageError where its ending is that of no sound file.

    >>> tune_name(r"C:\\Music\\..\\Blue Waltz.MP3")
    'Blue Waltz.mp3'
    """
    stem, dot, ending = PureWindowsPath(asked).name.rpartition(".")
    suffix = dot + ending.casefold()
    if not stem or suffix not in SOUND_SUFFIXES:
        raise UsageError(desk_words()["tune kinds"])
    return safe_name(stem.replace(".", " ")) + suffix


def refuse_silent(path: str) -> None:
    """Refuse a file that cannot be read as sound, whatever its name says."""
    from cuetrack.sound.decoding import open_sound  # noqa: PLC0415 - loads the sound

    try:
        open_sound(Path(path))
    except CuetrackError as error:
        told = " ".join(f"{one.what} {one.remedy}".strip() for one in error.problems)
        raise UsageError(f"{Path(path).name}: {told}") from error


def put_on(shelf: Shelf, brought: Path) -> str:
    """Copy a tune into the folder, over nothing, and return the name it has there.

    One that lies there already, byte for byte, is not copied again.
    """
    there = shelf.folder / brought.name
    if there.is_file() and filecmp.cmp(there, brought, shallow=False):
        return there.name
    path = shelf.free_path(brought.stem, brought.suffix)
    with replacing(path, overwrite=False) as scrap:
        shutil.copyfile(brought, scrap)
    return path.name
