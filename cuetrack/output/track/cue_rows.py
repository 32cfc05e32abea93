"""The rows of a cue sheet: stretches, spoken cues, tones, and what is left out.

Times are whole milliseconds, or frames in milliseconds to four decimals.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

from msgspec import Meta, Struct

from cuetrack.cues.model import AnchorPoint, SegmentKind
from cuetrack.times import frames_from_ms, ms_from_frames

if TYPE_CHECKING:
    from cuetrack.cues.model import PlacedCue, PlacedSheet
    from cuetrack.speech.model import Clip

LONGEST_MS = 24 * 60 * 60 * 1000
LONGEST_TEXT = 4000
"""Letters that a voice says in less than five minutes."""

LONGEST_NAME = 200

WholeMs = Annotated[int, Meta(ge=0, le=LONGEST_MS)]
ExactMs = Annotated[float, Meta(ge=0, le=LONGEST_MS)]
SheetText = Annotated[str, Meta(max_length=LONGEST_TEXT)]
SheetName = Annotated[str, Meta(max_length=LONGEST_NAME)]


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


def clip_start_frame(placed: PlacedCue, clip: Clip) -> int:
    """Return the frame of the track on which the clip's first frame sits."""
    point = {
        AnchorPoint.START: clip.speech_start,
        AnchorPoint.BEAT: clip.beat,
        AnchorPoint.END: clip.speech_end,
    }[placed.pin_point]
    return frames_from_ms(placed.pin_ms) - point


def cue_row(placed: PlacedCue, clip: Clip) -> CueRow:
    """Return the row of a cue that ``clip`` says, exact to the frame."""
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
