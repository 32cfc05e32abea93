"""The file an encoder writes, which never lets a failed write go unnoticed."""

from __future__ import annotations

import io
from typing import TYPE_CHECKING, Self

from cuetrack.output.track.files import explained

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path
    from types import TracebackType

_BUFFER_BYTES = 1 << 20


class OutputFile:
    """A binary file for libraries written in C, which cannot pass on an exception.

    A write that fails is remembered and answered as if it had worked; `check`
    raises it. ``name`` is what messages call the file. ``tee`` is given every
    byte as well, and what it raises is remembered too.
    """

    def __init__(
        self, path: Path, name: Path, tee: Callable[[bytes], None] | None = None
    ) -> None:
        self._name = name
        self._tee = tee
        self._failure: BaseException | None = None
        with explained(name):
            self.file = path.open("rb+", buffering=_BUFFER_BYTES)

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        try:
            self.file.close()
        except OSError as failure:
            self._failure = self._failure or failure
        if error is None:
            self.check()

    def check(self) -> None:
        """Raise OutputError when a write has failed, or what the tee raised."""
        if self._failure is not None:
            with explained(self._name):
                raise self._failure

    def write(self, data: bytes) -> int:
        """Write, or remember why not."""
        try:
            self.file.write(data)
            if self._tee is not None:
                self._tee(bytes(data))
        except BaseException as failure:  # noqa: BLE001 - `check` raises it
            self._failure = self._failure or failure
        return len(data)

    def read(self, size: int = -1) -> bytes:
        """Read from where the file stands."""
        return self.file.read(size)

    def seek(self, offset: int, whence: int = io.SEEK_SET) -> int:
        """Move, and return the new position."""
        try:
            return self.file.seek(offset, whence)
        except OSError as failure:
            # Moving writes what waits in the buffer.
            self._failure = self._failure or failure
            return offset

    def tell(self) -> int:
        """Return the position."""
        return self.file.tell()

    def seekable(self) -> bool:
        """Return True, as PyAV wants to know."""
        return True

    def flush(self) -> None:
        """Do nothing: closing writes the rest."""
