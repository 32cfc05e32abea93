"""What the follow page knows of a class: segments, moments to start from, captions.

The page shows what this says and reckons nothing but the time that is left. All
times are milliseconds of the track.
"""

from __future__ import annotations

import hashlib
from dataclasses import asdict, dataclass
from itertools import pairwise
from typing import TYPE_CHECKING, Any

from cuetrack import cuekinds
from cuetrack.cuekinds import CUE_KINDS
from cuetrack.cues.model import MOVING
from cuetrack.cues.tonekinds import TONES
from cuetrack.output.handouts.follow_figures import figure_colours
from cuetrack.output.handouts.strip import strip_of
from cuetrack.output.track.captions import COUNT_STEP_MS, captions
from cuetrack.output.track.chapters import plain_line
from cuetrack.times import clock

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from cuetrack.cuekinds import CueKinds
    from cuetrack.cues.model import Timeline
    from cuetrack.languages.phrases import Phrases
    from cuetrack.output.handouts.follow_figures import PageFigures
    from cuetrack.output.handouts.segment_figures import SegmentFigure
    from cuetrack.output.track.cue_rows import SegmentRow
    from cuetrack.output.track.cuefile import CueFile

LEAD_IN_MS = 6000
"""A count that starts within this time before a segment leads into it."""

BREATH_MS = 400
"""Quiet before a sound that is to be heard from its beginning."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SegmentDetails:
    """What the plan knows of a segment beyond its row in the cue sheet.

    None, where there is nothing to show.
    """

    rounds: int | None = None
    position: int | None = None
    positions: int | None = None
    how: str | None = None
    easier: str | None = None
    equipment: str | None = None
    caution: str | None = None


NOTHING_MORE = SegmentDetails()


@dataclass(frozen=True, slots=True, kw_only=True)
class Sounding:
    """A stretch to be heard whole: a cue, a tone, or the words of one count."""

    start_ms: float
    end_ms: float
    count: bool = False


def details_of(timeline: Timeline) -> dict[str, SegmentDetails]:
    """Return the details of each segment by its id."""
    return {
        segment.id: SegmentDetails(
            rounds=segment.round_count,
            position=segment.position,
            positions=segment.position_count,
            how=(movement.told or None) if movement else None,
            easier=movement.easier if movement else None,
            equipment=movement.equipment if movement else None,
            caution=movement.caution if movement else None,
        )
        for segment in timeline.segments
        for movement in (segment.movement,)
    }


def page_data(
    cue_file: CueFile,
    details: Mapping[str, SegmentDetails],
    phrases: Phrases,
    shown: Mapping[str, SegmentFigure],
    figures: PageFigures,
) -> dict[str, Any]:
    """Return everything the page's script works with, fit for JSON.

    ``shown`` are the figures of segments by their id, ``figures`` the same for a page.
    """
    sounds = soundings(cue_file)
    return {
        "id": _identity(cue_file),
        "title": plain_line(cue_file.title),
        "end": cue_file.duration_ms,
        "segments": [
            {
                **_segment(row, details.get(row.id, NOTHING_MORE), phrases),
                "landing": landing_ms(row, sounds),
                "figure": figures.numbers.get(row.id),
                "mirrored": row.id in shown and shown[row.id].mirrored,
            }
            for row in cue_file.segments
        ],
        "figures": figures.figures,
        "sitting": figures.sitting,
        "easy": figures.easy,
        "colours": figure_colours(),
        "strip": strip_numbers(cue_file),
        "sounds": [[sound.start_ms, sound.end_ms] for sound in sounds],
        "captions": [
            [caption.start_ms, caption.end_ms, " ".join(caption.lines)]
            for caption in captions(cue_file, phrases)
        ],
        "goodbye": phrases.variants("safety stand")[0][0],
        "thanks": phrases.variants("close")[0][0],
        "words": dict(phrases.page),
    }


def strip_numbers(cue_file: CueFile) -> list[list[float]]:
    """Return start, end and height of each block of the strip, in shares of it."""
    sections = [row.section for row in cue_file.segments]
    return [
        [round(block.start, 5), round(block.end, 5), block.height]
        for block in strip_of(cue_file.segments, sections)
    ]


def _identity(cue_file: CueFile) -> str:
    """Return what tells this class from others that the browser knows."""
    told = repr((cue_file.title, cue_file.duration_ms, cue_file.segments))
    return hashlib.sha256(told.encode()).hexdigest()[:16]


def _segment(
    row: SegmentRow, details: SegmentDetails, phrases: Phrases
) -> dict[str, Any]:
    texts = {
        key: plain_line(value) if isinstance(value, str) else value
        for key, value in asdict(details).items()
    }
    length_ms = row.end_ms - row.start_ms
    return {
        **texts,
        "kind": row.kind,
        "moving": row.kind in MOVING,
        "section": plain_line(row.section),
        "movement": plain_line(row.movement) if row.movement else None,
        "side": plain_line(phrases.side(row.side)) if row.side else None,
        "round": row.round,
        "start": row.start_ms,
        "end": row.end_ms,
        "clock": clock(row.start_ms),
        "length": phrases.length(length_ms),
    }


def soundings(cue_file: CueFile, kinds: CueKinds = CUE_KINDS) -> tuple[Sounding, ...]:
    """Return what is to be heard whole, in order, none overlapping another.

    The words and ticks of one count are one; it lasts until the change that it
    counts to. What overlaps becomes one as well.
    """
    heard = [
        Sounding(
            start_ms=cue.start_ms,
            end_ms=cue.end_ms,
            count=kinds.get(cue.kind, cuekinds.OTHER).counts,
        )
        for cue in cue_file.cues
    ]
    ticks = {kind for kind, shape in TONES.items() if shape.counts}
    heard += [
        Sounding(start_ms=tone.start_ms, end_ms=tone.end_ms, count=tone.kind in ticks)
        for tone in cue_file.tones
    ]
    changes = [row.start_ms for row in cue_file.segments]
    return _joined(_until_change(sound, changes) for sound in heard)


def _until_change(sound: Sounding, changes: Iterable[int]) -> Sounding:
    if not sound.count:
        return sound
    near = (at for at in changes if 0 < at - sound.end_ms <= COUNT_STEP_MS)
    return Sounding(
        start_ms=sound.start_ms, end_ms=min(near, default=sound.end_ms), count=True
    )


def _joined(sounds: Iterable[Sounding]) -> tuple[Sounding, ...]:
    runs: list[Sounding] = []
    for sound in sorted(sounds, key=lambda one: (one.start_ms, one.end_ms)):
        before = runs[-1] if runs else None
        if before and _belong_together(before, sound):
            runs[-1] = Sounding(
                start_ms=before.start_ms,
                end_ms=max(before.end_ms, sound.end_ms),
                count=before.count or sound.count,
            )
        else:
            runs.append(sound)
    return tuple(runs)


def _belong_together(before: Sounding, sound: Sounding) -> bool:
    gap_ms = sound.start_ms - before.end_ms
    one_count = before.count and sound.count and gap_ms < COUNT_STEP_MS
    return one_count or gap_ms < 0


def landing_ms(row: SegmentRow, sounds: Sequence[Sounding]) -> int:
    """Return where to go in the track so that the segment begins well.

    That is where the count into it starts, if people are to move in it and the
    track counts them in; else its start, or a word that is said across it.
    """
    at = float(row.start_ms)
    for before, sound in pairwise([Sounding(start_ms=0, end_ms=0), *sounds]):
        leads_in = (
            row.kind in MOVING
            and sound.count
            and row.start_ms - LEAD_IN_MS <= sound.start_ms
            and sound.end_ms <= row.start_ms
        )
        across = sound.start_ms < row.start_ms < sound.end_ms
        if (leads_in or across) and sound.start_ms < at:
            at = max(before.end_ms, sound.start_ms - BREATH_MS)
    return max(0, int(at))
