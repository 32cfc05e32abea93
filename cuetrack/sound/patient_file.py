"""A file that is read only so far in search of sound: what is none may be endless."""

from __future__ import annotations

import io
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from pathlib import Path
    from types import TracebackType
    from typing import Self

PATIENCE_BYTES: Final = 128 * 2**20
"""More than any picture, tag or stretch of film that stands between two sounds."""


class PatientFile:
    """A binary file for PyAV that ends where too much was read without any sound.

    Decoders keep what they read until they understand it, so that a large file of
    nothing would be in memory whole. ``heard`` starts the count again; ``name`` lets
    the kind of file be guessed by its ending.
    """

    def __init__(self, path: Path) -> None:
        self.name = str(path)
        self._file = path.open("rb")
        self._left_bytes = PATIENCE_BYTES

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self._file.close()

    def heard(self) -> None:
        """Note that sound was found, so that patience begins anew."""
        self._left_bytes = PATIENCE_BYTES

    def read(self, size: int) -> bytes:
        """Read on, or give nothing as at the end of the file."""
        data = self._file.read(min(size, self._left_bytes))
        self._left_bytes -= len(data)
        return data

    def seek(self, offset: int, whence: int = io.SEEK_SET) -> int:
        """Move, and return the new position."""
        return self._file.seek(offset, whence)

    def tell(self) -> int:
        """Return the position."""
        return self._file.tell()
