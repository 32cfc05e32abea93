"""``NAME.cues.json``: the cue sheet of a finished track, as written and read.

The only thing verification, captions, run sheet and follow page know of a
track. Its JSON Schema is ``cuefile.schema.json`` beside this module. Times are
milliseconds from the start of the track; those that name a frame are given to
four decimals, which is exact at 48 kHz. Absent values are null, never missing.
"""

from __future__ import annotations

from dataclasses import dataclass


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
    format: int = 1
