"""Files kept for the next make: each takes its place when whole, or not at all."""

from __future__ import annotations

import os
import tempfile
import time
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

import soundfile

from cuetrack.errors import MusicError

if TYPE_CHECKING:
    from collections.abc import Collection, Iterator

_SCRATCH = ".part"
_ABANDONED_S = 24 * 3600
"""No make takes so long: a scratch file of that age was left by a broken one."""


@contextmanager
def written_beside(path: Path, trouble: str) -> Iterator[Path]:
    """Give a scratch file that takes its place when written, or disappears.

    Raises MusicError when it cannot be written; ``trouble`` begins the message, such
    as "song.mp3: cannot be made ready".
    """
    scratch = None
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        handle, name = tempfile.mkstemp(dir=path.parent, suffix=_SCRATCH)
        os.close(handle)
        scratch = Path(name)
        yield scratch
        scratch.replace(path)
    except (OSError, soundfile.SoundFileError) as error:
        raise MusicError(
            f"{trouble} in {path.parent} ({error}). Check that the disk has room and "
            "may be written to."
        ) from error
    finally:
        if scratch is not None:
            scratch.unlink(missing_ok=True)


def prune(folder: Path, max_bytes: int, *, needed: Collection[Path] = ()) -> int:
    """Delete kept sound unused for longest until the rest fits; return how many.

    With the sound in ``NAME.wav`` go the notes on it, all other files of that name.
    What is ``needed`` stays, however large; scratch files left behind long ago go.
    """
    found = []
    for path in folder.glob("*.wav"):
        try:
            found.append((path.stat(), path))
        except OSError:
            continue  # another make pruned it meanwhile
    total, removed = 0, 0
    for status, path in sorted(found, key=lambda one: -one[0].st_mtime_ns):
        total += status.st_size
        if total > max_bytes and path not in needed:
            for one in folder.glob(f"{path.stem}.*"):
                one.unlink(missing_ok=True)
            removed += 1
    _sweep(folder)
    return removed


def _sweep(folder: Path) -> None:
    for path in folder.glob(f"*{_SCRATCH}"):
        try:
            if time.time() - path.stat().st_mtime > _ABANDONED_S:
                path.unlink()
        except OSError:
            continue  # gone already, or still being written
