"""``NAME.cues.json``: the cue sheet of a finished track, as written and read.

The only thing verification, captions, run sheet and follow page know of a
track. Its JSON Schema is ``cuefile.schema.json`` beside this module. Times are
milliseconds from the start of the track; those that name a frame are given to
four decimals, which is exact at 48 kHz. Absent values are null, never missing.
"""

from __future__ import annotations

import json
import math
from dataclasses import asdict, dataclass, fields
from functools import cache
from typing import TYPE_CHECKING, Any, TypeVar, get_type_hints

from cuetrack.cues.model import AnchorPoint
from cuetrack.errors import TrackError
from cuetrack.times import SAMPLE_RATE_HZ, frames_from_ms, ms_from_frames

if TYPE_CHECKING:
    from collections.abc import Mapping
    from pathlib import Path

    from cuetrack.cues.model import PlacedCue, PlacedSheet
    from cuetrack.speech.model import Clip

FORMAT = 1
LONGEST_MS = 24 * 60 * 60 * 1000
_LARGEST_FILE_BYTES = 64 * 2**20
_MAKE_AGAIN = "Make the track again to get a whole cue sheet."


@dataclass(frozen=True, slots=True, kw_only=True)
class SegmentRow:
    """One stretch of the timeline as the file lists it."""

    id: str
    section: str
    kind: str
    movement: str | None
    round: int | None
    side: str | None
    start_ms: int
    end_ms: int


@dataclass(frozen=True, slots=True, kw_only=True)
class CueRow:
    """One spoken cue: ``start_ms``..``end_ms`` is its speech, not its padding."""

    id: str
    kind: str
    segment: str
    text: str
    spoken: str
    clip: str
    start_ms: float
    end_ms: float
    anchor_ms: int | None
    beat_ms: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class ToneRow:
    """One tone, its first and last frame."""

    kind: str
    start_ms: int
    end_ms: int


@dataclass(frozen=True, slots=True, kw_only=True)
class LeftOutRow:
    """One cue that is not said, and why."""

    id: str
    kind: str
    segment: str
    text: str
    reason: str


@dataclass(frozen=True, slots=True, kw_only=True)
class CueFile:
    """The whole of ``NAME.cues.json``."""

    title: str
    language: str
    sample_rate: int
    duration_ms: int
    voice: str
    segments: tuple[SegmentRow, ...]
    cues: tuple[CueRow, ...]
    tones: tuple[ToneRow, ...]
    left_out: tuple[LeftOutRow, ...]
    format: int = FORMAT


AnyRow = TypeVar("AnyRow", SegmentRow, CueRow, ToneRow, LeftOutRow)


def clip_start_frame(placed: PlacedCue, clip: Clip) -> int:
    """Return the frame of the track on which the clip's first frame sits."""
    point = {
        AnchorPoint.START: clip.speech_start,
        AnchorPoint.BEAT: clip.beat,
        AnchorPoint.END: clip.speech_end,
    }[placed.pin_point]
    return frames_from_ms(placed.pin_ms) - point


def cue_file_of(placed: PlacedSheet, clips: Mapping[str, Clip], voice: str) -> CueFile:
    """Return the cue sheet of a track, every time exact to the frame.

    ``clips`` has the clip of each spoken text that was placed. Cues come in the
    order they are heard. Only cues that are pinned by their beat have one.
    """
    sheet = placed.sheet
    rows = (_cue_row(cue, clips[cue.wording.spoken]) for cue in placed.placed)
    return CueFile(
        title=sheet.title,
        language=sheet.language,
        sample_rate=SAMPLE_RATE_HZ,
        duration_ms=sheet.timeline.end_ms,
        voice=voice,
        segments=tuple(
            SegmentRow(
                id=segment.id,
                section=segment.section_title,
                kind=segment.kind.value,
                movement=segment.movement.name if segment.movement else None,
                round=segment.round,
                side=segment.side,
                start_ms=segment.start_ms,
                end_ms=segment.end_ms,
            )
            for segment in sheet.timeline.segments
        ),
        cues=tuple(sorted(rows, key=lambda row: (row.start_ms, row.id))),
        tones=tuple(
            ToneRow(kind=tone.kind.value, start_ms=tone.start_ms, end_ms=tone.end_ms)
            for tone in sorted(sheet.tones, key=lambda tone: tone.start_ms)
        ),
        left_out=tuple(
            LeftOutRow(
                id=left.cue.id,
                kind=left.cue.kind.name,
                segment=left.cue.segment,
                text=left.cue.wordings[0].text,
                reason=left.reason,
            )
            for left in placed.left_out
        ),
    )


def _cue_row(placed: PlacedCue, clip: Clip) -> CueRow:
    start = clip_start_frame(placed, clip)
    has_beat = placed.pin_point is AnchorPoint.BEAT
    return CueRow(
        id=placed.cue.id,
        kind=placed.cue.kind.name,
        segment=placed.cue.segment,
        text=placed.wording.text,
        spoken=placed.wording.spoken,
        clip=clip.key,
        start_ms=ms_from_frames(start + clip.speech_start),
        end_ms=ms_from_frames(start + clip.speech_end),
        anchor_ms=placed.cue.anchor_ms,
        beat_ms=ms_from_frames(start + clip.beat) if has_beat else None,
    )


_ROW_KINDS = {
    "segments": SegmentRow,
    "cues": CueRow,
    "tones": ToneRow,
    "left_out": LeftOutRow,
}
_KEYS = (
    "format", "title", "language", "sample_rate", "duration_ms",
    "segments", "voice", "cues", "tones", "left_out",
)  # fmt: skip


def to_json(cue_file: CueFile) -> str:
    """Return the file's text: the same for the same content, one row on a line."""
    parts = []
    for key in _KEYS:
        value = getattr(cue_file, key)
        if key in _ROW_KINDS:
            lines = ",".join(f"\n  {_json(asdict(row))}" for row in value)
            parts.append(f'"{key}": [{lines}\n]' if lines else f'"{key}": []')
        else:
            parts.append(f'"{key}": {_json(value)}')
    return "{\n" + ",\n".join(parts) + "\n}\n"


def _json(value: object) -> str:
    return json.dumps(value, ensure_ascii=False, allow_nan=False)


def read_cue_file(path: Path) -> CueFile:
    """Read a cue sheet and check every value in it.

    Raises
    ------
    TrackError
        When there is no such file, or it is no cue sheet of this version; the
        text names the key that is wrong.
    """
    document = _read_json(path)
    try:
        return _cue_file(document)
    except _MalformedError as error:
        raise TrackError(f"{path}: {error} {_MAKE_AGAIN}") from None


class _MalformedError(Exception):
    """What is wrong, and at which key."""


def _read_json(path: Path) -> object:
    try:
        if path.stat().st_size > _LARGEST_FILE_BYTES:
            raise TrackError(f"{path}: is far too large for a cue sheet.")
        data = path.read_bytes()
    except FileNotFoundError:
        raise TrackError(
            f"{path}: there is no such cue sheet. Give it with the track."
        ) from None
    except OSError as error:
        raise TrackError(
            f"{path}: cannot be read ({error.strerror}). Check that it is a file."
        ) from error
    try:
        return json.loads(data.decode("utf-8-sig"))
    except (ValueError, RecursionError):
        raise TrackError(f"{path}: is no cue sheet: no JSON. {_MAKE_AGAIN}") from None


def _cue_file(document: object) -> CueFile:
    if not isinstance(document, dict) or "format" not in document:
        raise _MalformedError("is JSON, but no cue sheet: there is no 'format'.")
    if document["format"] != FORMAT:
        raise _MalformedError(
            f"has format {document['format']!r}, but only {FORMAT} is known here."
        )
    values = _checked(CueFile, document, "")
    for key, kind in _ROW_KINDS.items():
        rows = document[key]
        if not isinstance(rows, list):
            raise _MalformedError(f"'{key}' must be a list.")
        values[key] = tuple(
            _row(kind, row, f"{key}[{index}]") for index, row in enumerate(rows)
        )
    cue_file = CueFile(**values)
    _check_references(cue_file)
    return cue_file


def _row(kind: type[AnyRow], value: object, where: str) -> AnyRow:
    if not isinstance(value, dict):
        raise _MalformedError(f"'{where}' must be an object.")
    values = _checked(kind, value, f"{where}.")
    if values.get("end_ms", 0) < values.get("start_ms", 0):
        raise _MalformedError(f"'{where}' ends before it starts.")
    return kind(**values)


@cache
def _hints(kind: type) -> dict[str, object]:
    """Return the types of a row's values by key, lists of rows left out."""
    hints = get_type_hints(kind)
    return {field.name: hints[field.name] for field in fields(kind)}


def _checked(kind: type, values: Mapping[str, object], where: str) -> dict[str, Any]:
    """Return the values under their keys, each of the type its dataclass says."""
    hints = _hints(kind)
    for key in hints:
        if key not in values:
            raise _MalformedError(f"'{where}{key}' is missing.")
    for key in values:
        if key not in hints:
            raise _MalformedError(f"'{where}{key}' is not known.")
    return {
        key: _value(values[key], hint, f"{where}{key}")
        for key, hint in hints.items()
        if key not in _ROW_KINDS
    }


def _value(value: object, hint: object, where: str) -> object:
    if value is None and hint in {str | None, int | None, float | None}:
        return None
    if hint in {str, str | None}:
        if isinstance(value, str) and not any("\ud800" <= c <= "\udfff" for c in value):
            return value
        raise _MalformedError(f"'{where}' must be text.")
    whole = hint in {int, int | None}
    if isinstance(value, bool) or not isinstance(value, int if whole else int | float):
        kind = "a whole number" if whole else "a number"
        raise _MalformedError(f"'{where}' must be {kind}.")
    if not math.isfinite(value) or not 0 <= value <= LONGEST_MS:
        raise _MalformedError(f"'{where}' must lie between 0 and {LONGEST_MS}.")
    return value if whole else float(value)


def _check_references(cue_file: CueFile) -> None:
    segments = {row.id for row in cue_file.segments}
    named = set()
    for key in ("cues", "left_out"):
        rows: tuple[CueRow | LeftOutRow, ...] = getattr(cue_file, key)
        for index, row in enumerate(rows):
            if row.segment not in segments:
                raise _MalformedError(
                    f"'{key}[{index}].segment' names no segment: {row.segment!r}."
                )
            if row.id in named:
                raise _MalformedError(f"'{key}[{index}].id' comes twice: {row.id!r}.")
            named.add(row.id)
