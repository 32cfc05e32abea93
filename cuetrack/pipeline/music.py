"""Which music lies under which part of the class."""

from __future__ import annotations

import zlib
from dataclasses import dataclass
from itertools import groupby
from typing import TYPE_CHECKING

from cuetrack.review.tempo_advice import tempo_notes
from cuetrack.sound.bed import MusicBed
from cuetrack.sound.composing.bed import JoinedBed, OwnMusic, bed_under
from cuetrack.sound.composing.tempo import in_proportion
from cuetrack.sound.music import KEPT_BYTES, prune_music
from cuetrack.sound.songs import (
    LICENCE_CAUTION,
    ready_songs,
    song_notes,
    span_of,
)
from cuetrack.times import frames_from_ms

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence

    from cuetrack.cues.model import Timeline
    from cuetrack.plan.model import Music, Plan
    from cuetrack.sound.mixing import Bed
    from cuetrack.sound.songs import Song


@dataclass(frozen=True, slots=True, kw_only=True)
class ClassMusic:
    """The bed under a class, None where it has no music, and what to tell of it."""

    bed: Bed | None
    notes: tuple[str, ...] = ()


def unwatched(done: int, total: int) -> None:
    """Watch nothing."""


def music_for(
    plan: Plan, timeline: Timeline, watch: Callable[[int, int], None] = unwatched
) -> ClassMusic:
    """Return the bed a plan asks for, and what to tell of its music.

    Sections may have files of the user, music of our own, or none. Sections that
    follow each other with the same files share one span, so that the music goes on
    across them. ``watch`` is told how many files are ready of how many. Raises
    MusicError for a file that is no use.
    """
    theirs, notes = _of_files(plan, timeline, watch)
    beds = [bed for bed in (theirs, _of_our_own(plan, timeline)) if bed]
    notes = (*notes, *_notes_on_our_own(plan, timeline))
    if len(beds) > 1:
        length_frames = frames_from_ms(timeline.end_ms)
        joined = JoinedBed(length_frames=length_frames, beds=tuple(beds))
        return ClassMusic(bed=joined, notes=notes)
    return ClassMusic(bed=beds[0] if beds else None, notes=notes)


def asked_well_under_voice(
    plan: Plan, timeline: Timeline, segment_ids: Iterable[str]
) -> tuple[bool, ...]:
    """Return for the segment of each cue whether its music is to stay 20 dB under."""
    sections = {segment.id: segment.section for segment in timeline.segments}
    musics = (music_of(plan, sections[segment]) for segment in segment_ids)
    return tuple(bool(music and music.well_under_voice) for music in musics)


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


def _of_files(
    plan: Plan, timeline: Timeline, watch: Callable[[int, int], None]
) -> tuple[Bed | None, tuple[str, ...]]:
    spans, needed = [], set()
    notes: dict[str, None] = {}  # each said once, in order
    played: dict[Music, Sequence[Song]] = {}
    for music, start_ms, end_ms in stretches(plan, timeline):
        if not music.files:
            continue
        if music not in played:
            played[music] = ready_songs(music, watch)
        songs = played[music]
        start_frame, end_frame = frames_from_ms(start_ms), frames_from_ms(end_ms)
        spans.append(span_of(songs, start_frame, end_frame))
        needed |= {tune.path for song in songs for tune in (song.brought, song.tune)}
        notes |= dict.fromkeys(song_notes(songs, end_frame - start_frame))
    if not spans:
        return None, ()
    prune_music(KEPT_BYTES, needed=needed)
    notes |= dict.fromkeys(_notes_on_tempo(plan, timeline, played))
    rights = dict.fromkeys(music.rights for music in played if music.rights)
    notes |= dict.fromkeys(f"Right to play it, as the plan says: {r}" for r in rights)
    length_frames = frames_from_ms(timeline.end_ms)
    bed = MusicBed(length_frames=length_frames, spans=tuple(spans))
    return bed, (*notes, LICENCE_CAUTION)


def _notes_on_tempo(
    plan: Plan, timeline: Timeline, played: Mapping[Music, Sequence[Song]]
) -> Iterator[str]:
    """Tell of sections whose fastest music is faster than advised."""
    for number, section in enumerate(plan.sections):
        music = music_of(plan, number)
        tempos = (
            [song.bpm for song in played.get(music, ()) if song.bpm] if music else []
        )
        if music and tempos:
            movements = [
                segment.movement
                for segment in timeline.segments
                if segment.section == number and segment.movement
            ]
            said = music.tempo_bpm is not None
            yield from tempo_notes(
                section.kind, section.title, max(tempos), () if said else movements
            )


def _notes_on_our_own(plan: Plan, timeline: Timeline) -> tuple[str, ...]:
    return tuple(
        note
        for number, wish in own_music(plan, timeline).items()
        if wish.tempo_bpm is not None
        for note in tempo_notes(
            plan.sections[number].kind, plan.sections[number].title, wish.tempo_bpm
        )
    )


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
