"""What the clip store knows of a clip without its samples: cheap to ask.

A clip is one file: a first line ``cuetrack clip N``, a second line with a record in
JSON, then the samples as FLAC of 24 bits, which gives them back to the bit. The record
carries a digest of itself and one of the FLAC, and says how long that is.
"""

from __future__ import annotations

import hashlib
import json
import os
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import platformdirs

from cuetrack.cues.model import SpeechTiming
from cuetrack.speech.model import Clip
from cuetrack.speech.text_keys import TextKeys
from cuetrack.times import ceil_ms_from_frames

if TYPE_CHECKING:
    from cuetrack.speech.model import Voice

MAGIC = b"cuetrack clip 2\n"
SUFFIX = ".clip"
_FIRST_READ = 2048
_LONGEST_RECORD = 1 << 20


@dataclass(frozen=True, slots=True, kw_only=True)
class Record:
    """A clip's record: the clip, where its sound starts in the file, and its digest."""

    clip: Clip
    offset: int
    sound_digest: str


def default_folder() -> Path:
    """Return the folder of the store: ``CUETRACK_STORE``, or the user's cache."""
    named = os.environ.get("CUETRACK_STORE")
    return Path(named) if named else platformdirs.user_cache_path("cuetrack") / "clips"


def path_of(folder: Path, key: str, suffix: str = SUFFIX) -> Path:
    """Return the file of a clip; folders of two digits keep listings short."""
    return folder / key[:2] / f"{key}{suffix}"


def digest(content: bytes | memoryview) -> str:
    """Return the digest that guards records and samples."""
    return hashlib.blake2b(content, digest_size=16).hexdigest()


def head_of(clip: Clip, sound: bytes) -> bytes:
    """Return everything of a clip's file that comes before its sound."""
    fields = asdict(clip) | {"sound": digest(sound), "sound_bytes": len(sound)}
    sealed = fields | {"seal": digest(_canonical(fields))}
    return MAGIC + _canonical(sealed) + b"\n"


def read_record(path: Path, key: str) -> Record | None:
    """Return the record in a clip's file, None if missing, cut short or altered."""
    try:
        with path.open("rb") as file:
            head = file.read(_FIRST_READ)
            if head.startswith(MAGIC) and b"\n" not in head[len(MAGIC) :]:
                head += file.readline(_LONGEST_RECORD)
            size = os.fstat(file.fileno()).st_size
    except (OSError, ValueError):  # a name may hold what no file name can
        return None
    line, newline, _ = head.removeprefix(MAGIC).partition(b"\n")
    if not head.startswith(MAGIC) or not newline:
        return None
    record = _unseal(line, size)
    return record if record is not None and record.clip.key == key else None


def _unseal(line: bytes, size: int) -> Record | None:
    try:
        fields = json.loads(line)
        seal = fields.pop("seal")
        if seal != digest(_canonical(fields)):
            return None
        offset = len(MAGIC) + len(line) + 1
        if offset + fields.pop("sound_bytes") != size:
            return None
        sound_digest = fields.pop("sound")
        return Record(clip=Clip(**fields), offset=offset, sound_digest=sound_digest)
    except (ValueError, KeyError, TypeError, AttributeError, RecursionError):
        return None


def _canonical(fields: dict[str, object]) -> bytes:
    return json.dumps(fields, sort_keys=True, separators=(",", ":")).encode()


def timing_of(clip: Clip) -> SpeechTiming:
    """Return what placement needs of a clip, whole milliseconds rounded up.

    >>> clip = Clip(
    ...     key="", spoken="", frames=900, speech_start=240, speech_end=721, beat=289
    ... )
    >>> timing_of(clip)
    SpeechTiming(length_ms=11, beat_ms=2)
    """
    return SpeechTiming(
        length_ms=ceil_ms_from_frames(clip.speech_end - clip.speech_start),
        beat_ms=ceil_ms_from_frames(clip.beat - clip.speech_start),
    )


class StoredTimings:
    """Answers how long a voice takes for a text, from what was spoken before.

    Loads no engine and no samples: asking for 300 texts takes some milliseconds.
    """

    def __init__(self, voice: Voice, folder: Path | None = None) -> None:
        self._folder = default_folder() if folder is None else folder
        self._keys = TextKeys(voice)

    def timing(self, spoken: str) -> SpeechTiming | None:
        """Return the timing of ``spoken``, None if it was not spoken before."""
        key = self._keys.key(spoken)
        record = read_record(path_of(self._folder, key), key)
        return None if record is None else timing_of(record.clip)
