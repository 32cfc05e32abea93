"""Where each line of a recorded voice is in its sound.

``clips.flac`` is 48 kHz mono. Each cue of ``clips.vtt`` is a line that was read: its
id is that of the line's words, its times are those of the speech in the FLAC, its text
is JSON: ``{"text": "Three", "beat_ms": 84}``, the beat counted from the start of the
speech, null where none is known. A note says the SHA-256 of the FLAC.
"""

from __future__ import annotations

import json
import re
from dataclasses import dataclass
from functools import cached_property, lru_cache
from itertools import pairwise
from typing import TYPE_CHECKING, Any, Final

from cuetrack.documents.webvtt import TimedText, read_webvtt, webvtt_of
from cuetrack.errors import SpeechError
from cuetrack.speech.breaths import line_id
from cuetrack.speech.recorded_facts import FILES, LINES_FILE, SOUND_FILE
from cuetrack.times import SECOND_MS

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

_SHA256: Final = f"SHA-256 of {SOUND_FILE}:"
MOST_BYTES: Final = 8 * 2**20
MOST_CLIPS: Final = 20_000
LONGEST_MS: Final = 60 * SECOND_MS
LONGEST_TEXT: Final = 2000


@dataclass(frozen=True, slots=True, kw_only=True)
class RecordedClip:
    """A line as it was read: its speech in the FLAC, ms, and its beat within that."""

    id: str
    text: str
    start_ms: int
    end_ms: int
    beat_ms: int | None = None


@dataclass(frozen=True, kw_only=True)
class RecordedLines:
    """What ``clips.vtt`` says: the SHA-256 of the sound, and the clips in order."""

    sound_sha256: str
    clips: tuple[RecordedClip, ...]

    @cached_property
    def by_id(self) -> dict[str, RecordedClip]:
        """All lines that were read, by their ids."""
        return {clip.id: clip for clip in self.clips}


def lines_text(lines: RecordedLines) -> str:
    """Return the text of the file of these lines."""
    cues = [_cue_of(clip) for clip in lines.clips]
    return webvtt_of(cues, f"{_SHA256} {lines.sound_sha256}")


def read_lines(folder: Path) -> RecordedLines:
    """Return the lines of a recorded voice; cheap, its sound is not read.

    Raises SpeechError where the file is missing, damaged, too large, or not of the form
    that is told above; its text names the file and the place.
    """
    path = folder / LINES_FILE
    try:
        state = path.stat()
    except OSError as error:
        raise SpeechError(
            f"cannot be read: {error.strerror}.",
            f"A recorded voice is a folder with {', '.join(FILES)}.",
            file=path,
        ) from error
    return _read(path, state.st_size, state.st_mtime_ns)


@lru_cache(maxsize=16)
def _read(path: Path, size: int, changed_ns: int) -> RecordedLines:  # noqa: ARG001 - cache key
    if size > MOST_BYTES:
        raise SpeechError(f"is larger than {MOST_BYTES} bytes.", file=path)
    try:
        timed = read_webvtt(path.read_text("utf-8"))
    except (ValueError, OSError) as error:
        raise SpeechError(f"cannot be read: {error}.", file=path) from error
    if len(timed.cues) > MOST_CLIPS:
        raise SpeechError(f"has more than {MOST_CLIPS} lines.", file=path)
    clips = tuple(_clip_of(cue, path) for cue in timed.cues)
    _refuse_misplaced(clips, path)
    return RecordedLines(sound_sha256=_sha256_in(timed.notes, path), clips=clips)


def _sha256_in(notes: Sequence[str], path: Path) -> str:
    for note in notes:
        if found := re.search(rf"^{_SHA256} ([0-9a-f]{{64}})$", note, re.MULTILINE):
            return found[1]
    raise SpeechError(f"does not say the SHA-256 of {SOUND_FILE}.", file=path)


def _cue_of(clip: RecordedClip) -> TimedText:
    data = json.dumps({"text": clip.text, "beat_ms": clip.beat_ms}, ensure_ascii=False)
    return TimedText(
        id=clip.id,
        start_ms=clip.start_ms,
        end_ms=clip.end_ms,
        text=data.replace(">", "\\u003e"),
    )


def _clip_of(cue: TimedText, path: Path) -> RecordedClip:
    try:
        data: Any = json.loads(cue.text)
    except (ValueError, RecursionError) as error:
        raise SpeechError(
            f"line {cue.id!r} has no JSON: {error}.", file=path
        ) from error
    said = data if isinstance(data, dict) else {}
    text, beat_ms = said.get("text"), said.get("beat_ms")
    if not isinstance(text, str) or not 0 < len(text) <= LONGEST_TEXT:
        raise SpeechError(f"line {cue.id!r} has no text.", file=path)
    if line_id(text) != cue.id:
        raise SpeechError(
            f"line {cue.id!r} has the text {text!r}, whose id is {line_id(text)!r}.",
            "Read it again; a text is not changed by hand.",
            file=path,
        )
    length_ms = cue.end_ms - cue.start_ms
    if beat_ms is not None and not (type(beat_ms) is int and 0 <= beat_ms < length_ms):
        raise SpeechError(f"the beat of {text!r} is not within its speech.", file=path)
    if length_ms > LONGEST_MS:
        raise SpeechError(f"{text!r} is longer than a minute.", file=path)
    return RecordedClip(
        id=cue.id, text=text, start_ms=cue.start_ms, end_ms=cue.end_ms, beat_ms=beat_ms
    )


def _refuse_misplaced(clips: Sequence[RecordedClip], path: Path) -> None:
    if len({clip.id for clip in clips}) < len(clips):
        raise SpeechError("has a line twice.", "Take one of the two out.", file=path)
    for clip, following in pairwise(clips):
        if following.start_ms < clip.end_ms:
            raise SpeechError(
                f"{following.text!r} starts before {clip.text!r} has ended.", file=path
            )
