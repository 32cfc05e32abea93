"""``NAME.cues.json``: the cue sheet of a finished track, as written and read.

The only thing verification, captions, run sheet and follow page know of a
track. Its JSON Schema, made from the types here, is ``cuefile.schema.json`` beside
this module. Times are milliseconds from the start of the track; those that name a
frame are given to four decimals, which is exact at 48 kHz. Absent values are null,
never missing; only files written before a key was added may lack it.
"""

from __future__ import annotations

import codecs
from importlib.metadata import version
from typing import TYPE_CHECKING, Annotated, Final, Literal

import msgspec
from msgspec import Meta, Struct, structs

from cuetrack.errors import TrackError
from cuetrack.output.published import in_plain_words, on_one_line
from cuetrack.output.track.band_print import BandPrint, band_print_of
from cuetrack.output.track.cue_rows import (
    LONGEST_MS,
    CueRow,
    LeftOutRow,
    SegmentRow,
    SheetName,
    SheetText,
    ToneRow,
    WholeMs,
    cue_row,
    left_out_rows,
)
from cuetrack.output.track.speech_source import SpeechSource, speech_source_of
from cuetrack.times import SAMPLE_RATE_HZ

if TYPE_CHECKING:
    from collections.abc import Mapping
    from pathlib import Path

    from cuetrack.arrays import Floats
    from cuetrack.cues.model import PlacedSheet
    from cuetrack.speech.model import Clip, Voice

FORMAT: Final = 1
_LONGEST_ROW_MS = {"segments": LONGEST_MS, "cues": 5 * 60 * 1000, "tones": 10 * 1000}
MOST_ROWS = 20_000
"""A class of the longest kind, six hours, has a third of that."""

LEAST_ROW_MS = 100
"""What a row counts for at least among those that share the class; no call is shorter
(common practice)."""

_LARGEST_FILE_BYTES = 32 * 2**20
_MAKE_AGAIN = "Make the track again to get a whole cue sheet."

OLD_TWO_NOTES: Final = "halfway"
"""What sheets called the tone of the other side while it told halfway, too."""


class CueFile(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """What is heard when in a finished track."""

    format: Literal[1] = FORMAT
    cuetrack: Annotated[
        str | None, Meta(description="The version of cuetrack that made the track.")
    ] = None
    title: SheetText
    language: Annotated[
        SheetName, Meta(description="As in the plan, as in en or pt-BR.")
    ]
    sample_rate: Annotated[
        int,
        Meta(
            ge=SAMPLE_RATE_HZ,
            le=SAMPLE_RATE_HZ,
            description="Frames a second of the sound.",
        ),
    ]
    duration_ms: WholeMs
    segments: Annotated[
        tuple[SegmentRow, ...],
        Meta(
            max_length=MOST_ROWS,
            description="Every stretch of the class in order, none missing.",
        ),
    ]
    voice: Annotated[SheetName, Meta(description="The name of the voice that speaks.")]
    speech: SpeechSource | None = None
    cues: Annotated[
        tuple[CueRow, ...],
        Meta(
            max_length=MOST_ROWS,
            description="Everything said, in the order it is heard.",
        ),
    ]
    tones: Annotated[tuple[ToneRow, ...], Meta(max_length=MOST_ROWS)]
    left_out: Annotated[
        tuple[LeftOutRow, ...],
        Meta(
            max_length=MOST_ROWS,
            description="What was wanted and is not said, and why.",
        ),
    ]
    band_print: BandPrint | None = None


def cue_file_of(
    placed: PlacedSheet, clips: Mapping[str, Clip], voice: Voice
) -> CueFile:
    """Return the cue sheet of a track, every time exact to the frame.

    ``clips`` has the clip of each spoken text that was placed. Cues come in the
    order they are heard. Only cues that are pinned by their beat have one.
    """
    sheet = placed.sheet
    rows = (cue_row(cue, clips[cue.wording.spoken]) for cue in placed.placed)
    return CueFile(
        cuetrack=version("cuetrack"),
        title=sheet.title,
        language=sheet.language,
        sample_rate=SAMPLE_RATE_HZ,
        duration_ms=sheet.timeline.end_ms,
        voice=voice.name,
        speech=speech_source_of(voice),
        segments=tuple(
            SegmentRow(
                id=segment.id,
                section=segment.section_title,
                kind=segment.kind,
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
        left_out=left_out_rows(placed),
    )


def with_print(cue_file: CueFile, levels_db: Floats) -> CueFile:
    """Return a cue sheet with the band print of its finished mix.

    ``levels_db`` comes from a ``BandMeter``.
    """
    return structs.replace(cue_file, band_print=band_print_of(levels_db))


def to_json(cue_file: CueFile) -> str:
    """Return the file's text: the same for the same content, one row on a line."""
    parts = []
    for key, value in msgspec.structs.asdict(cue_file).items():
        if isinstance(value, tuple):
            lines = ",".join(f"\n  {on_one_line(row)}" for row in value)
            parts.append(f'"{key}": [{lines}\n]' if lines else f'"{key}": []')
        else:
            parts.append(f'"{key}": {on_one_line(value)}')
    return "{\n" + ",\n".join(parts) + "\n}\n"


def read_cue_file(path: Path) -> CueFile:
    """Read a cue sheet and check every value in it.

    Raises
    ------
    TrackError
        When there is no such file, or it is no cue sheet of this version; the
        text names the key that is wrong.
    """
    data = _read_bytes(path)
    try:
        return _with_tones_of_today(_decoded(data))
    except _FaultError as fault:
        raise TrackError(str(fault), _MAKE_AGAIN, file=path) from None


class _FaultError(Exception):
    """What is wrong, and at which key."""


def _with_tones_of_today(cue_file: CueFile) -> CueFile:
    """Return a cue sheet whose two soft notes are called as they are today."""
    tones = (
        structs.replace(row, kind="side") if row.kind == OLD_TWO_NOTES else row
        for row in cue_file.tones
    )
    return structs.replace(cue_file, tones=tuple(tones))


def _decoded(data: bytes) -> CueFile:
    try:
        _check_format(data)
        cue_file = msgspec.json.decode(data, type=CueFile)
    except msgspec.ValidationError as error:
        raise _FaultError(in_plain_words(error)) from None
    except (ValueError, RecursionError):
        raise _FaultError("is no cue sheet: no JSON.") from None
    _check_rows(cue_file)
    return cue_file


def _read_bytes(path: Path) -> bytes:
    try:
        if path.exists() and not path.is_file():
            raise TrackError(
                "is a folder or no ordinary file.", "Give a cue sheet.", file=path
            )
        with path.open("rb") as file:
            data = file.read(_LARGEST_FILE_BYTES + 1)
    except FileNotFoundError:
        raise TrackError(
            "there is no such cue sheet.", "Give it with the track.", file=path
        ) from None
    except OSError as error:
        raise TrackError(
            f"cannot be read ({error.strerror}).", "Check that it is a file.", file=path
        ) from error
    if len(data) > _LARGEST_FILE_BYTES:
        raise TrackError("is far too large for a cue sheet.", file=path)
    return data.removeprefix(codecs.BOM_UTF8)


class _AnyFormat(Struct):
    format: object


def _check_format(data: bytes) -> None:
    try:
        found = msgspec.json.decode(data, type=_AnyFormat).format
    except msgspec.ValidationError:
        raise _FaultError(
            "is JSON, but no cue sheet: there is no 'format' to be read."
        ) from None
    if found != FORMAT:
        raise _FaultError(f"has format {found!r}, but only {FORMAT} is known here.")


def _check_rows(cue_file: CueFile) -> None:
    """Check what one value says of another, which no type can."""
    for key, longest_ms in _LONGEST_ROW_MS.items():
        _check_lengths(key, getattr(cue_file, key), longest_ms, cue_file.duration_ms)
    segments = {row.id for row in cue_file.segments}
    named = set()
    for key in ("cues", "left_out"):
        rows: tuple[CueRow | LeftOutRow, ...] = getattr(cue_file, key)
        for index, row in enumerate(rows):
            if row.segment not in segments:
                raise _FaultError(
                    f"'{key}[{index}].segment' names no segment: {row.segment!r}."
                )
            if row.id in named:
                raise _FaultError(f"'{key}[{index}].id' comes twice: {row.id!r}.")
            named.add(row.id)


def _check_lengths(
    key: str,
    rows: tuple[SegmentRow | CueRow | ToneRow, ...],
    longest_ms: int,
    whole_ms: int,
) -> None:
    for index, row in enumerate(rows):
        if row.end_ms < row.start_ms:
            raise _FaultError(f"'{key}[{index}]' ends before it starts.")
        if row.end_ms - row.start_ms > longest_ms:
            raise _FaultError(
                f"'{key}[{index}]' is longer than {longest_ms // 1000} seconds."
            )
    # Rows of a kind come one after another, so that together they fit into the class;
    # each is looked for in the sound, and that takes its time.
    together_ms = sum(max(row.end_ms - row.start_ms, LEAST_ROW_MS) for row in rows)
    if together_ms > whole_ms + longest_ms:
        raise _FaultError(f"'{key}' are more than fit into the class.")
