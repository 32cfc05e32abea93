"""One desk for each folder: a second start finds the first.

Two desks on one folder would each keep a journal of their own. So the first holds a
lock, and leaves its address in a file that only its owner may read; whoever starts
another (a second double-click) is led to it.
"""

from __future__ import annotations

import os
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from cuetrack.desk.draft import JOURNALS, refuse_elsewhere
from cuetrack.errors import UsageError
from cuetrack.systems import lock_if_free

if TYPE_CHECKING:
    from pathlib import Path

_NAME: Final = "open"
_LOCKED_BYTE: Final = 4096
"""Far behind the address: Windows lets nobody read what is locked."""


class OpenElsewhereError(UsageError):
    """A desk has this folder open already, at ``address``."""

    def __init__(self, address: str) -> None:
        self.address = address
        super().__init__(
            "This folder is open at a desk already.", "Close that one first."
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class FolderHold:
    """A folder that is held by this desk, until it is let go or the process ends."""

    file: int

    def tell(self, address: str) -> None:
        """Leave the address for whoever starts another desk here."""
        os.lseek(self.file, 0, os.SEEK_SET)
        os.ftruncate(self.file, 0)
        os.write(self.file, address.encode())

    def let_go(self) -> None:
        """Hold it no longer; the address is gone."""
        os.ftruncate(self.file, 0)
        os.close(self.file)


def held(folder: Path) -> FolderHold:
    """Hold a folder for a desk. Raises OpenElsewhereError when another holds it."""
    path = folder / JOURNALS / _NAME
    refuse_elsewhere(path)
    path.parent.mkdir(exist_ok=True)
    file = os.open(path, os.O_RDWR | os.O_CREAT, 0o600)
    os.lseek(file, _LOCKED_BYTE, os.SEEK_SET)
    if lock_if_free(file):
        return FolderHold(file=file)
    os.lseek(file, 0, os.SEEK_SET)
    address = os.read(file, _LOCKED_BYTE).decode("ascii", "replace").strip()
    os.close(file)
    raise OpenElsewhereError(address)
