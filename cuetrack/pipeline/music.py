"""Which music lies under which part of the class."""

from __future__ import annotations

from itertools import groupby
from pathlib import Path
from typing import TYPE_CHECKING

from cuetrack.sound.bed import MusicBed, Span
from cuetrack.sound.music import ready_tune
from cuetrack.times import frames_from_ms

if TYPE_CHECKING:
    from cuetrack.cues.model import Timeline
    from cuetrack.plan.model import Music, Plan
    from cuetrack.sound.mixing import Bed


def bed_of(plan: Plan, timeline: Timeline) -> Bed | None:
    """Return the bed a plan asks for, None when no part of it has music.

    Sections that follow each other with the same music share one span, so that
    the music goes on across them. Raises MusicError for a file that is no use.
    """
    spans = tuple(
        Span(
            start_frame=frames_from_ms(start_ms),
            end_frame=frames_from_ms(end_ms),
            tunes=tuple(ready_tune(Path(name)) for name in music.files),
        )
        for music, start_ms, end_ms in stretches(plan, timeline)
        if music.files
    )
    if not spans:
        return None
    return MusicBed(length_frames=frames_from_ms(timeline.end_ms), spans=spans)


def stretches(plan: Plan, timeline: Timeline) -> list[tuple[Music, int, int]]:
    """Return each stretch of the class with music: what, from when to when, ms."""
    found = []
    for music, run in groupby(
        timeline.segments, key=lambda segment: music_of(plan, segment.section)
    ):
        segments = list(run)
        if music is not None:
            found.append((music, segments[0].start_ms, segments[-1].end_ms))
    return found


def music_of(plan: Plan, section: int) -> Music | None:
    """Return the music of a section: its own, or that of the class."""
    own = plan.sections[section].music
    return plan.music if own is None else own
