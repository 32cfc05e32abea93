"""Which music lies under which part of the class."""

from __future__ import annotations

import zlib
from itertools import groupby
from pathlib import Path
from typing import TYPE_CHECKING

from cuetrack.sound.bed import MusicBed, Span
from cuetrack.sound.composing.bed import JoinedBed, OwnMusic, bed_under
from cuetrack.sound.composing.tempo import in_proportion
from cuetrack.sound.music import ready_tune
from cuetrack.times import frames_from_ms

if TYPE_CHECKING:
    from cuetrack.cues.model import Timeline
    from cuetrack.plan.model import Music, Plan
    from cuetrack.sound.mixing import Bed


def bed_of(plan: Plan, timeline: Timeline) -> Bed | None:
    """Return the bed a plan asks for, None when no part of it has music.

    Sections may have files of the user, music of our own, or none. Sections that
    follow each other with the same files share one span, so that the music goes on
    across them. Raises MusicError for a file that is no use.
    """
    beds = [bed for way in (_of_files, _of_our_own) if (bed := way(plan, timeline))]
    if len(beds) > 1:
        return JoinedBed(
            length_frames=frames_from_ms(timeline.end_ms), beds=tuple(beds)
        )
    return beds[0] if beds else None


def own_music(plan: Plan, timeline: Timeline) -> dict[int, OwnMusic]:
    """Return what each section wants of our own music, by its number.

    A tempo stated for the whole class is that of the work, and the other sections
    keep their distance to it; one stated for a section is meant for that section.
    """
    wanted = {}
    for segment in timeline.segments:
        music = music_of(plan, segment.section)
        if music is None or music.own is None:
            continue
        tempo_bpm: float | None = music.tempo_bpm
        if tempo_bpm is not None and plan.sections[segment.section].music is None:
            tempo_bpm = in_proportion(segment.section_kind, tempo_bpm)
        wanted[segment.section] = OwnMusic(style=music.own, tempo_bpm=tempo_bpm)
    return wanted


def _of_files(plan: Plan, timeline: Timeline) -> Bed | None:
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


def _of_our_own(plan: Plan, timeline: Timeline) -> Bed | None:
    wanted = own_music(plan, timeline)
    return bed_under(timeline, wanted, _seed(plan)) if wanted else None


def _seed(plan: Plan) -> int:
    """Return a seed by the title: each class has music of its own, always the same."""
    return zlib.crc32(plan.title.encode())


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
