"""The clip store: spoken once, kept by content, checked whenever it is read.

Files are written beside their place and renamed into it, so that several makes may
share a store, and an interrupted one leaves no half clip. A damaged file counts as
missing, and is replaced when its text is spoken again.
"""

from __future__ import annotations

import io
import os
import tempfile
import threading
import time
from collections import OrderedDict
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
import soundfile

from cuetrack.errors import SpeechError
from cuetrack.speech.model import Clip
from cuetrack.speech.records import (
    SUFFIX,
    default_folder,
    digest,
    head_of,
    path_of,
    read_record,
)
from cuetrack.stopping import undisturbed
from cuetrack.times import SAMPLE_RATE_HZ

if TYPE_CHECKING:
    from cuetrack.arrays import Samples
    from cuetrack.speech.clips import FinishedSpeech

STORE_BYTES = 4 * 2**30
"""How large the store may grow: to some twenty hours of speech."""

IN_USE_S = 24 * 60 * 60
"""A clip used within this time is never deleted."""

KEPT_BYTES = 32 * 2**20
"""How much of what was read last stays in memory: three minutes of speech."""

NOTE_SUFFIX = ".note"
_SCRAP = ".part"
_SCRAP_AGE_S = 3600


class ClipStore:
    """Clips in a folder, found by their key; safe to use from several threads.

    Parameters
    ----------
    folder
        Where the clips are; by default ``CUETRACK_STORE`` or the user's cache.
    kept_bytes
        How many bytes of samples stay in memory between calls.
    """

    def __init__(
        self, folder: Path | None = None, *, kept_bytes: int = KEPT_BYTES
    ) -> None:
        self.folder = default_folder() if folder is None else folder
        self._kept_bytes = kept_bytes
        self._kept: OrderedDict[str, Samples] = OrderedDict()
        self._kept_now = 0
        self._lock = threading.Lock()

    def meta(self, key: str) -> Clip | None:
        """Return a clip without reading its samples; None if missing or damaged."""
        record = read_record(path_of(self.folder, key), key)
        return None if record is None else record.clip

    def holds(self, key: str) -> Clip | None:
        """Return a clip whose sound was read and found whole, else None."""
        read = self._read(key)
        return None if read is None else read[0]

    def samples(self, key: str) -> Samples:
        """Return the samples of a clip, shape (frames,), not to be written to.

        Raises
        ------
        SpeechError
            If the store has no such clip, or its file is damaged.
        """
        samples = self.found(key)
        if samples is None:
            raise SpeechError(
                f"The clip store has no whole clip {key[:12]} in {self.folder}.",
                "Make the track again: what is missing is spoken anew.",
            )
        return samples

    def put(self, key: str, spoken: str, finished: FinishedSpeech) -> Clip:
        """Store a finished clip under its key and return it.

        Raises
        ------
        SpeechError
            If the folder cannot be written.
        """
        clip = Clip(
            key=key,
            spoken=spoken,
            frames=finished.samples.size,
            speech_start=finished.speech_start,
            speech_end=finished.speech_end,
            beat=finished.beat,
        )
        sound = _packed(finished.samples)
        self._write(path_of(self.folder, key), head_of(clip, sound) + sound)
        with self._lock:
            self._forget(key)
        return clip

    def note(self, key: str) -> bytes | None:
        """Return a note that was put under a key, None if missing or damaged."""
        path = path_of(self.folder, key, NOTE_SUFFIX)
        try:
            seal, _, content = path.read_bytes().partition(b"\n")
        except OSError:
            return None
        if seal != digest(content).encode():
            return None
        _touch(path)
        return content

    def put_note(self, key: str, content: bytes) -> None:
        """Keep a note beside the clips, as long as one that is used.

        Raises SpeechError if the folder cannot be written.
        """
        sealed = digest(content).encode() + b"\n" + content
        self._write(path_of(self.folder, key, NOTE_SUFFIX), sealed)

    def prune(self, max_bytes: int = STORE_BYTES, *, in_use_s: float = IN_USE_S) -> int:
        """Delete the clips unused for longest until the rest fit; return how many.

        Those used within ``in_use_s`` stay, however many they are: a make may be
        waiting for them. What writers that were killed an hour ago or longer left
        behind goes too.
        """
        self._sweep()
        found = sorted(
            (
                (status.st_mtime, status.st_size, path)
                for path in self.folder.glob("??/*.*")
                if path.suffix in {SUFFIX, NOTE_SUFFIX}
                and (status := _status(path)) is not None
            ),
            reverse=True,
        )
        total, removed = 0, 0
        unused_since = time.time() - in_use_s
        for used_at, size, path in found:
            total += size
            if total > max_bytes and used_at < unused_since:
                path.unlink(missing_ok=True)
                removed += 1
        return removed

    def _sweep(self) -> None:
        """Delete the scraps of writers that cannot be writing any more."""
        for path in self.folder.glob(f"??/.*{_SCRAP}"):
            status = _status(path)
            if status is not None and time.time() - status.st_mtime > _SCRAP_AGE_S:
                path.unlink(missing_ok=True)

    def found(self, key: str) -> Samples | None:
        """Return the samples of a clip as `samples` does, None if it is not there."""
        with self._lock:
            kept = self._kept.get(key)
            if kept is not None:
                self._kept.move_to_end(key)
                return kept
        read = self._read(key)
        if read is None:
            return None
        samples = _unpacked(read[1])
        with self._lock:
            self._keep(key, samples)
        return samples

    def _read(self, key: str) -> tuple[Clip, memoryview] | None:
        """Return a clip and its sound as the file has it, if that is whole."""
        path = path_of(self.folder, key)
        record = read_record(path, key)
        if record is None:
            return None
        try:
            content = path.read_bytes()
        except OSError:
            return None
        sound = memoryview(content)[record.offset :]
        if digest(sound) != record.sound_digest:
            return None
        _touch(path)
        return record.clip, sound

    def _keep(self, key: str, samples: Samples) -> None:
        self._forget(key)
        self._kept[key] = samples
        self._kept_now += samples.nbytes
        while self._kept_now > self._kept_bytes and len(self._kept) > 1:
            self._forget(next(iter(self._kept)))

    def _forget(self, key: str) -> None:
        dropped = self._kept.pop(key, None)
        if dropped is not None:
            self._kept_now -= dropped.nbytes

    def _write(self, path: Path, content: bytes) -> None:
        try:
            path.parent.mkdir(parents=True, exist_ok=True)
            handle, name = tempfile.mkstemp(prefix=".", suffix=_SCRAP, dir=path.parent)
            part = Path(name)
            try:
                with os.fdopen(handle, "wb") as file:
                    file.write(content)
                _replace(part, path, content)
            finally:
                part.unlink(missing_ok=True)
        except OSError as error:
            raise SpeechError(
                f"The clip store {self.folder} cannot be written: {error.strerror}.",
                "Free some space or name another folder in CUETRACK_STORE.",
            ) from error


def _packed(samples: Samples) -> bytes:
    """Return samples as FLAC; raise ValueError if they are no whole 24-bit numbers."""
    steps = (samples * np.float32(2**23)).astype(np.int32)
    if (
        not np.array_equal(steps * np.float32(2**-23), samples)
        or (np.abs(steps) >= 2**23).any()
    ):
        raise ValueError("only whole numbers of 24 bits are kept without a loss")
    file = io.BytesIO()
    with undisturbed():
        soundfile.write(file, steps << 8, SAMPLE_RATE_HZ, "PCM_24", format="FLAC")
    return file.getvalue()


def _unpacked(sound: memoryview) -> Samples:
    """Return the samples in FLAC, to the bit those that were packed; read-only."""
    # What a signal raises would be lost in the library's callbacks, here and above.
    with undisturbed():
        samples: Samples = soundfile.read(io.BytesIO(sound), dtype="float32")[0]
    samples.flags.writeable = False
    return samples


def _replace(part: Path, path: Path, content: bytes) -> None:
    """Rename into place; where Windows refuses, another make may have been first."""
    try:
        part.replace(path)
    except PermissionError:
        if not path.is_file() or path.read_bytes() != content:
            raise


def _status(path: Path) -> os.stat_result | None:
    try:
        return path.stat()
    except OSError:
        return None


def _touch(path: Path) -> None:
    """Mark a clip as used, for pruning; a store that is read-only stays usable."""
    try:
        os.utime(path)
    except OSError:
        return
