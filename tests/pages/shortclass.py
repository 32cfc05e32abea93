"""A class of sixteen seconds at Larkfield Hall, to be played whole in a test."""

from __future__ import annotations

from math import ceil
from typing import TYPE_CHECKING

import numpy as np

from cuetrack.movements.positions.cadence import cadence_of
from cuetrack.movements.positions.reading import motions
from cuetrack.output.handouts.follow_data import SegmentDetails
from cuetrack.output.handouts.segment_figures import SegmentFigure
from cuetrack.output.track.captions import captions
from cuetrack.output.track.cue_rows import CueRow, SegmentRow, ToneRow
from cuetrack.output.track.cuefile import CueFile
from cuetrack.output.track.encoding import write_track
from cuetrack.output.track.metadata import Tags
from cuetrack.times import SAMPLE_RATE_HZ

if TYPE_CHECKING:
    from pathlib import Path

TITLE = "Sixteen seconds at Larkfield Hall"
PUNCH = {
    "how": "Fists at chest height. One arm forward and back, then the other.",
    "easier": "leave the weights in your lap",
    "equipment": "light hand weights",
}
MARCH = "Lift one foot, then the other."


def _segment(id_, kind, start_ms, end_ms, movement=None, *, side=None, round_=None):
    sections = {"welcome": "Welcome", "intervals": "Main part", "close": "Close"}
    return SegmentRow(
        id=id_,
        section=sections[id_.partition(".")[0]],
        kind=kind,
        movement=movement,
        round=round_,
        side=side,
        start_ms=start_ms,
        end_ms=end_ms,
    )


SEGMENTS = (
    _segment("welcome", "welcome", 0, 1500),
    _segment("intervals.opening", "opening", 1500, 5000),
    _segment("intervals.r1.m1", "work", 5000, 7000, "heel dig", round_=1),
    _segment("intervals.r1.m1.rest", "rest", 7000, 9500, round_=1),
    _segment(
        "intervals.r1.m2.right", "work", 9500, 11_000, "punch", side="right", round_=1
    ),
    _segment(
        "intervals.r1.m2.left", "work", 11_000, 12_500, "punch", side="left", round_=1
    ),
    _segment(
        "intervals.r1.recovery", "recovery", 12_500, 14_500, "easy march", round_=1
    ),
    _segment("close", "close", 14_500, 16_000),
)


def _cue(text, kind, segment, start_ms, end_ms):
    return CueRow(
        id=f"{segment}.{kind}.{start_ms}",
        kind=kind,
        segment=segment,
        text=text,
        spoken=text,
        clip="0" * 64,
        start_ms=float(start_ms),
        end_ms=float(end_ms),
        anchor_ms=None,
        beat_ms=None,
    )


CUES = (
    _cue("Hello and welcome.", "welcome", "welcome", 200, 1200),
    _cue("Three", "count-in", "intervals.opening", 1950, 2300),
    _cue("Two", "count-in", "intervals.opening", 2950, 3300),
    _cue("One", "count-in", "intervals.opening", 3950, 4300),
    _cue("Sit tall, both feet flat.", "form", "intervals.r1.m1", 5600, 6800),
    _cue("Next: punch. The right side first.", "preview", SEGMENTS[3].id, 7400, 9000),
    _cue("Now the left side.", "side change", SEGMENTS[5].id, 11_200, 12_100),
    _cue("Well done.", "close", "close", 14_700, 15_500),
)
CUE_FILE = CueFile(
    title=TITLE,
    language="en",
    sample_rate=SAMPLE_RATE_HZ,
    duration_ms=16_000,
    voice="joe",
    segments=SEGMENTS,
    cues=CUES,
    tones=(
        ToneRow(kind="start", start_ms=5000, end_ms=5400),
        ToneRow(kind="stop", start_ms=7000, end_ms=7300),
    ),
    left_out=(),
)
DETAILS = {
    row.id: SegmentDetails(rounds=1, position=2, positions=2, **PUNCH)
    if row.movement == "punch"
    else SegmentDetails(rounds=1 if row.round else None, how=MARCH)
    for row in SEGMENTS
    if row.movement
}
DRAWN = {"heel dig": "heel dig", "punch": "straight punch", "easy march": "easy march"}
FIGURES = {
    row.id: SegmentFigure(
        motion=motions()[DRAWN[row.movement]],
        cadence=cadence_of(motions()[DRAWN[row.movement]], tempo_bpm=80),
    )
    for row in SEGMENTS
    if row.movement
}


def write_sound(path: Path, *, seconds: float = 16, channels: int = 1) -> None:
    """Write a quiet hum as a track of our own writer."""
    frames = round(seconds * SAMPLE_RATE_HZ)
    hum = 0.02 * np.sin(2 * np.pi * 220 * np.arange(frames) / SAMPLE_RATE_HZ)
    block = np.repeat(hum.astype(np.float32)[:, None], channels, axis=1)
    write_track(
        path,
        [block],
        format=path.suffix,
        channels=channels,
        tags=Tags(title=TITLE, language="en"),
    )


def expected(ms: float) -> dict[str, str]:
    """Return what the page must show at a time of the track, from the cue sheet."""
    row = next(
        (row for row in SEGMENTS if row.start_ms <= ms < row.end_ms), SEGMENTS[-1]
    )
    following = SEGMENTS[SEGMENTS.index(row) + 1 :]
    told = {"opening": "Main part", "welcome": "Welcome", "rest": "Rest"}
    badges = {
        "welcome": "Welcome", "opening": "Get ready", "work": "Work", "rest": "Rest",
        "recovery": "Easy time", "close": "Last words",
    }  # fmt: skip
    return {
        "badge": badges[row.kind],
        "what": row.movement or told.get(row.kind, "Last words"),
        "side": f"{row.side} side" if row.side else "",
        "count": str(max(0, ceil((row.end_ms - ms) / 1000))),
        "coming-what": _coming(row, following),
        "caption": next(
            (
                " ".join(caption.lines)
                for caption in captions(CUE_FILE)
                if caption.start_ms <= ms < caption.end_ms
            ),
            "",
        ),
    }


def _coming(row, following):
    def name(other):
        return f"{other.movement}, {other.side} side" if other.side else other.movement

    if not following:
        return "The end of the class"
    movers = [other for other in following if other.movement]
    if row.kind in {"rest", "opening"}:
        return name(movers[0])
    if following[0].movement:
        return name(following[0])
    first = {"rest": "Rest", "opening": "Main part", "close": "Last words"}
    head = first[following[0].kind]
    return f"{head}, then {name(movers[0])}" if movers else head
