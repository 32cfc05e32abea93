"""Small classes for the tests of the bed of our own."""

from __future__ import annotations

from itertools import accumulate, pairwise

from cuetrack.cues.model import Segment, SegmentKind, Timeline
from cuetrack.plan.model import Movement, SectionKind
from cuetrack.sound.composing.tempo import BAR_BEATS
from cuetrack.sound.composing.writing import TICKS_A_BEAT

KINDS = {
    "work": (SectionKind.INTERVALS, SegmentKind.WORK),
    "rest": (SectionKind.INTERVALS, SegmentKind.REST),
    "recovery": (SectionKind.INTERVALS, SegmentKind.RECOVERY),
    "opening": (SectionKind.INTERVALS, SegmentKind.OPENING),
    "warm": (SectionKind.WARM_UP, SegmentKind.MOVE),
    "cool": (SectionKind.COOL_DOWN, SegmentKind.MOVE),
    "still": (SectionKind.COOL_DOWN, SegmentKind.MOVE),
    "welcome": (SectionKind.WELCOME, SegmentKind.WELCOME),
    "close": (SectionKind.CLOSE, SegmentKind.CLOSE),
}


def timeline(*stretches):
    """A class of (what, milliseconds) in order; a new kind of section is a new one."""
    ends = [0, *accumulate(length for _, length in stretches)]
    kinds = [KINDS[what][0] for what, _ in stretches]
    starts = [True, *(a is not b for a, b in pairwise(kinds))]
    sections = list(accumulate(starts))
    return Timeline(
        segments=tuple(
            Segment(
                id=f"{what}{n}",
                activity=f"{what}{n}",
                section=sections[n] - 1,
                section_kind=KINDS[what][0],
                section_title="",
                kind=KINDS[what][1],
                start_ms=ends[n],
                end_ms=ends[n + 1],
                movement=Movement(
                    name="calf stretch", hold_ms=0 if what == "still" else None
                ),
                round=1 if kinds[n] is SectionKind.INTERVALS else None,
            )
            for n, (what, _) in enumerate(stretches)
        )
    )


SHORT_CLASS = timeline(
    ("welcome", 9_000),
    ("warm", 20_000),
    ("warm", 13_500),
    ("opening", 10_000),
    ("work", 20_000),
    ("rest", 10_000),
    ("work", 20_000),
    ("rest", 10_000),
    ("work", 20_000),
    ("recovery", 17_000),
    ("cool", 15_000),
    ("still", 15_000),
    ("close", 12_000),
)
"""Every scene once at least, in a little over three minutes."""


def downbeats_of(passage):
    """The frame of the track on which each bar of a passage starts."""
    bars = range(0, passage.beats, BAR_BEATS)
    return [passage.start_frame + passage.frame_at(n * TICKS_A_BEAT) for n in bars]
