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

from cuetrack.cues.model import AnchorPoint, SegmentKind
from cuetrack.errors import TrackError
from cuetrack.output.published import in_plain_words, on_one_line
from cuetrack.sound.band_print import BANDS, STEP_MS, as_letters
from cuetrack.speech.keys import lines_digest, model_digest, versions_of
from cuetrack.times import SAMPLE_RATE_HZ, frames_from_ms, ms_from_frames

if TYPE_CHECKING:
    from collections.abc import Mapping
    from pathlib import Path

    from cuetrack.arrays import Floats
    from cuetrack.cues.model import PlacedCue, PlacedSheet
    from cuetrack.speech.model import Clip, Voice

FORMAT: Final = 1
LONGEST_MS = 24 * 60 * 60 * 1000
_LONGEST_ROW_MS = {"segments": LONGEST_MS, "cues": 5 * 60 * 1000, "tones": 10 * 1000}
LONGEST_TEXT = 4000
"""Letters that a voice says in less than five minutes."""

LONGEST_NAME = 200
MOST_ROWS = 20_000
"""A class of the longest kind, six hours, has a third of that."""

LEAST_ROW_MS = 100
"""What a row counts for at least among those that share the class; no call is shorter
(common practice)."""

_LARGEST_FILE_BYTES = 32 * 2**20
_MAKE_AGAIN = "Make the track again to get a whole cue sheet."

WholeMs = Annotated[int, Meta(ge=0, le=LONGEST_MS)]
ExactMs = Annotated[float, Meta(ge=0, le=LONGEST_MS)]
SheetText = Annotated[str, Meta(max_length=LONGEST_TEXT)]
SheetName = Annotated[str, Meta(max_length=LONGEST_NAME)]

OLD_TWO_NOTES: Final = "halfway"
"""What sheets called the tone of the other side while it told halfway, too."""


class SegmentRow(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """One stretch of the timeline as the file lists it."""

    id: SheetName
    section: Annotated[SheetText, Meta(description="The title of its section.")]
    kind: SegmentKind
    movement: SheetText | None
    round: Annotated[
        WholeMs | None,
        Meta(description="Counts from 1; null outside an intervals section."),
    ]
    side: SheetName | None
    start_ms: WholeMs
    end_ms: WholeMs


class CueRow(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """One spoken cue."""

    id: SheetName
    kind: SheetName
    segment: Annotated[SheetName, Meta(description="The id of its segment.")]
    text: Annotated[SheetText, Meta(description="What captions show.")]
    spoken: Annotated[SheetText, Meta(description="What the voice was given to say.")]
    clip: Annotated[
        str,
        Meta(
            pattern="^[0-9a-zA-Z]{1,128}$",
            description="The key of its sound in the clip store.",
        ),
    ]
    start_ms: Annotated[
        ExactMs, Meta(description="Where its speech starts, padding not counted.")
    ]
    end_ms: Annotated[ExactMs, Meta(description="Where its speech ends.")]
    anchor_ms: Annotated[
        WholeMs | None,
        Meta(description="The instant it belongs to, null where it has none."),
    ]
    beat_ms: Annotated[
        ExactMs | None,
        Meta(description="Where its perceptual centre sits, if it is placed by that."),
    ]


class ToneRow(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """One tone, its first and last frame."""

    kind: SheetName
    start_ms: WholeMs
    end_ms: WholeMs


class LeftOutRow(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """One cue that is not said, and why."""

    id: SheetName
    kind: SheetName
    segment: SheetName
    text: SheetText
    reason: SheetText


class PersonHeard(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Whose voice is heard in a voice that was read, and that it may be."""

    name: str
    consent: Annotated[
        str, Meta(description="Who agreed, on which day and to what, in words.")
    ]
    lines: Annotated[str, Meta(description="SHA-256 of the list of lines read.")]
    filled_by: Annotated[
        str | None, Meta(description="The voice that says what was not read.")
    ]


class SpeechSource(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """What the sound of the voice came from."""

    engine: str
    versions: Annotated[
        dict[str, str],
        Meta(description="Version of each package that shapes the sound, by name."),
    ]
    model: Annotated[
        str | None, Meta(description="SHA-256 of the voice's model, if it has one.")
    ]
    person: Annotated[
        PersonHeard | None, Meta(description="Who is heard, null for an engine.")
    ] = None


class BandPrint(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """How loud the finished mix was, to tell later whether it still sounds so."""

    version: Literal[1] = 1
    levels: Annotated[
        str,
        Meta(
            pattern=f"^([#-\\[\\]-~]{{{BANDS}}})*$",
            max_length=BANDS * LONGEST_MS // STEP_MS,
            description="Half a second after another, mono, one letter for each half "
            "octave from 62.5 Hz to 16 kHz: the mean square in whole dB, '#' for "
            "-90 dBFS or less, and one dB more with each next character but the "
            "backslash.",
        ),
    ]


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


def clip_start_frame(placed: PlacedCue, clip: Clip) -> int:
    """Return the frame of the track on which the clip's first frame sits."""
    point = {
        AnchorPoint.START: clip.speech_start,
        AnchorPoint.BEAT: clip.beat,
        AnchorPoint.END: clip.speech_end,
    }[placed.pin_point]
    return frames_from_ms(placed.pin_ms) - point


def _speech_source(voice: Voice) -> SpeechSource:
    person = None
    if voice.recorded is not None:
        agreed = voice.recorded.consent
        person = PersonHeard(
            name=voice.recorded.who,
            consent=f"{agreed.by} agreed on {agreed.day}: {agreed.use}",
            lines=lines_digest(voice),
            filled_by=voice.filling.name if voice.filling else None,
        )
    return SpeechSource(
        engine=voice.engine,
        versions=versions_of(voice),
        model=model_digest(voice),
        person=person,
    )


def cue_file_of(
    placed: PlacedSheet, clips: Mapping[str, Clip], voice: Voice
) -> CueFile:
    """Return the cue sheet of a track, every time exact to the frame.

    ``clips`` has the clip of each spoken text that was placed. Cues come in the
    order they are heard. Only cues that are pinned by their beat have one.
    """
    sheet = placed.sheet
    rows = (_cue_row(cue, clips[cue.wording.spoken]) for cue in placed.placed)
    return CueFile(
        cuetrack=version("cuetrack"),
        title=sheet.title,
        language=sheet.language,
        sample_rate=SAMPLE_RATE_HZ,
        duration_ms=sheet.timeline.end_ms,
        voice=voice.name,
        speech=_speech_source(voice),
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
    found = BandPrint(levels=as_letters(levels_db))
    return structs.replace(cue_file, band_print=found)


def left_out_rows(placed: PlacedSheet) -> tuple[LeftOutRow, ...]:
    """Return what is not said, each in its full wording."""
    return tuple(
        LeftOutRow(
            id=left.cue.id,
            kind=left.cue.kind.name,
            segment=left.cue.segment,
            text=left.cue.wordings[0].text,
            reason=left.reason,
        )
        for left in placed.left_out
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
