"""Files kept for the next make: each takes its place when whole, or not at all.

Beside sound that is kept lie notes on it: one line of JSON, and a line with a digest
of it. The notes carry a digest of the sound, so that nothing is played that is not to
the bit what was written.
"""

from __future__ import annotations

import hashlib
import json
import os
import tempfile
import time
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any

import soundfile

from cuetrack.errors import MusicError

if TYPE_CHECKING:
    from collections.abc import Collection, Iterator, Mapping

NOTES = ".notes"
_MOST_NOTES_BYTES = 65_536
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
            f"{trouble} in {path.parent} ({error}).",
            "Check that the disk has room and may be written to.",
        ) from error
    finally:
        if scratch is not None:
            scratch.unlink(missing_ok=True)


def keep_notes(path: Path, notes: Mapping[str, object], trouble: str) -> None:
    """Write notes under a seal that holds for this name only.

    Raises MusicError, which ``trouble`` begins, when they cannot be written.
    """
    content = json.dumps(dict(notes)).encode()
    with written_beside(path, trouble) as scratch:
        scratch.write_bytes(content + b"\n" + _seal(path, content))


def kept_notes(path: Path) -> dict[str, Any] | None:
    """Return notes as they were written, None where missing, altered or moved."""
    try:
        with path.open("rb") as file:
            content, _, seal = file.read(_MOST_NOTES_BYTES).partition(b"\n")
        notes = json.loads(content) if seal == _seal(path, content) else None
    except (OSError, ValueError, RecursionError):
        return None
    return notes if isinstance(notes, dict) else None


def seal_sound(path: Path, notes: Mapping[str, object], trouble: str) -> None:
    """Note down what a file of sound holds, so that damage to it is noticed.

    Raises MusicError, which ``trouble`` begins, when it cannot be read or written.
    """
    try:
        sound = _digest_of(path)
    except OSError as error:
        raise MusicError(f"{trouble} ({error}).", "Make the track again.") from error
    keep_notes(path.with_suffix(NOTES), {**notes, "sound": sound}, trouble)


def whole_sound(path: Path) -> dict[str, Any] | None:
    """Return the notes on a file of sound that is as it was written, else None."""
    notes = kept_notes(path.with_suffix(NOTES))
    try:
        if notes is None or notes.pop("sound", None) != _digest_of(path):
            return None
        os.utime(path)
    except OSError:
        return None
    return notes


def _digest_of(path: Path) -> str:
    with path.open("rb") as file:
        return hashlib.file_digest(file, "blake2b").hexdigest()


def _seal(path: Path, content: bytes) -> bytes:
    return hashlib.blake2b(path.name.encode() + b"\n" + content).hexdigest().encode()


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
