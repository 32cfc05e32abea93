"""Writing files so that there is never half a file, and never one lost.

Everything is written beside its target and takes the target's name only when
whole. A file that is already there is kept unless its replacement is asked for,
also when it appears while we write.
"""

from __future__ import annotations

import errno
import hashlib
import os
import re
import secrets
import unicodedata
from contextlib import contextmanager
from typing import TYPE_CHECKING

from cuetrack.errors import OutputError

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator
    from pathlib import Path

_REMEDIES = {
    errno.ENOSPC: "the disk is full. Free some space, or write to another disk.",
    errno.EDQUOT: "your share of the disk is used up. Free some space.",
    errno.EROFS: "the disk is read-only. Choose another folder.",
    errno.EACCES: "writing there is not allowed. Choose a folder of your own.",
    errno.EPERM: "writing there is not allowed. Choose a folder of your own.",
    errno.ENOENT: "its folder does not exist. Make the folder first.",
    errno.ENOTDIR: "its folder is a file. Choose another folder.",
    errno.EFBIG: "it is too large for this disk. Choose a smaller format.",
    errno.ENAMETOOLONG: "the name is too long. Give the plan file a shorter name.",
}
_RESERVED_NAMES = frozenset(
    ["con", "prn", "aux", "nul"]
    + [f"{port}{digit}" for port in ("com", "lpt") for digit in range(1, 10)]
)
_LONGEST_NAME_BYTES = 120

SCRAP = ".cuetrack-part"
"""How the hidden names of what is being written end."""


def write_text(path: Path, text: str, *, overwrite: bool = False) -> None:
    """Write ``text`` as UTF-8 with plain line ends, whole or not at all.

    Raises
    ------
    OutputError
        When the file is already there and may not be replaced, or the folder,
        the disk or the rights do not allow it.
    """
    with replacing(path, overwrite=overwrite) as temporary, explained(path):
        temporary.write_bytes(text.encode("utf-8"))


def refuse_taken(paths: Iterable[Path]) -> None:
    """Refuse to go on where any of these files is there already.

    Raises
    ------
    OutputError
        Naming every one of them, so that nothing is found out file by file.
    """
    taken = [str(path) for path in paths if os.path.lexists(path)]
    if taken:
        raise OutputError(
            f"Already there, and kept: {', '.join(taken)}.",
            "Choose another folder with --out, or replace them with --overwrite.",
        )


def refuse_folders(paths: Iterable[Path]) -> None:
    """Raise OutputError where one of these files is a folder."""
    for path in paths:
        if path.is_dir():
            raise OutputError(
                "there is a folder of this name.",
                "Rename or move the folder.",
                file=path,
            )


def refuse_unwritable(folder: Path) -> None:
    """Raise OutputError where nothing can be written in a folder, or it not be made.

    Tried with an empty file in it, or in the nearest folder above that is there.
    """
    there = next(one for one in (folder, *folder.absolute().parents) if one.exists())
    with explained(folder):
        scrap = scrap_beside(there / "track")
        scrap.open("xb").close()
        scrap.unlink()


def scrap_beside(path: Path) -> Path:
    """Return a hidden name of no file yet, in the folder of ``path``."""
    return path.with_name(f".{secrets.token_hex(6)}{SCRAP}")


@contextmanager
def replacing(path: Path, *, overwrite: bool) -> Iterator[Path]:
    """Give an empty file beside ``path`` that becomes ``path`` if all goes well.

    On any exception, an interruption included, the file beside is removed and
    ``path`` stays as it was.

    Raises
    ------
    OutputError
        As `write_text` does, before the body runs where that can be known.
    """
    refuse_folders([path])
    if not overwrite and os.path.lexists(path):
        raise _taken(path)
    temporary = scrap_beside(path)
    with explained(path):
        temporary.open("xb").close()
    try:
        yield temporary
        with explained(path):
            _sync(temporary)
            take_name(temporary, path, overwrite=overwrite)
    finally:
        temporary.unlink(missing_ok=True)


@contextmanager
def explained(path: Path) -> Iterator[None]:
    """Turn what the operating system says while ``path`` is written into advice."""
    try:
        yield
    except OSError as error:
        what, _, remedy = _REMEDIES.get(
            error.errno or 0,
            f"{error.strerror or error}. Check the disk, or choose another folder.",
        ).partition(". ")
        raise OutputError(f"cannot be written: {what}.", remedy, file=path) from error


def safe_name(text: str) -> str:
    """Return a file name, without ending, that every system takes.

    Long ones are cut, and stay apart from others that begin alike.

    >>> safe_name("Ten gentle minutes: heel/toe")
    'Ten gentle minutes heel toe'
    >>> safe_name("...")
    'track'
    """
    plain = unicodedata.normalize("NFC", text)
    visible = "".join(
        " " if unicodedata.category(letter)[0] in "CZ" else letter for letter in plain
    )
    words = re.sub(r'[<>:"/\\|?*]', " ", visible).split()
    name = " ".join(words).strip(". ")
    if len(name.encode("utf-8")) > _LONGEST_NAME_BYTES:
        name = _cut(name)
    if not name:
        return "track"
    return f"track {name}" if name.split(".")[0].lower() in _RESERVED_NAMES else name


def _cut(name: str) -> str:
    """Return the beginning of a long name, and a sign that no other long name has."""
    sign = f" {hashlib.sha256(name.encode()).hexdigest()[:8]}"
    room = name.encode()[: _LONGEST_NAME_BYTES - len(sign)]
    return room.decode(errors="ignore").rstrip(". ") + sign


def _taken(path: Path) -> OutputError:
    return OutputError(
        "is already there and was kept.",
        "Choose another folder with --out, or replace it with --overwrite.",
        file=path,
    )


def _sync(path: Path) -> None:
    with path.open("rb+") as file:
        os.fsync(file.fileno())


def take_name(temporary: Path, path: Path, *, overwrite: bool) -> None:
    """Give a whole file its name; raise OutputError if that is taken, unless asked."""
    if overwrite:
        temporary.replace(path)
        return
    try:
        path.hardlink_to(temporary)
    except FileExistsError:
        raise _taken(path) from None
    except OSError:
        # Many memory sticks know no links: hold the name with an empty file.
        try:
            path.open("xb").close()
        except FileExistsError:
            raise _taken(path) from None
        temporary.replace(path)
