"""A short piece of a class, or a single line, spoken and written in seconds.

Only what is heard in the piece is spoken. It sounds as it will in the track, but for
its overall level, which is set as that of a track of its own.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import partial
from typing import TYPE_CHECKING

import numpy as np

from cuetrack.errors import UsageError
from cuetrack.languages.normalisation import say_as
from cuetrack.languages.pack import load_language
from cuetrack.output.track.encoding import write_track
from cuetrack.output.track.metadata import Tags
from cuetrack.pipeline.arranging import arrange
from cuetrack.pipeline.checking import placed_unspoken, voice_of
from cuetrack.pipeline.music import music_for
from cuetrack.pipeline.watching import unwatched
from cuetrack.sound.blocks import fixed_blocks
from cuetrack.sound.hearing_mix import fit_to_hearing
from cuetrack.sound.mastering import (
    CEILING_DBTP,
    TARGET_LUFS,
    master_blocks,
    plan_master,
)
from cuetrack.sound.mixing import Event, MixPlan, mix_blocks
from cuetrack.speech.speaker import StoredSpeaker
from cuetrack.speech.store import ClipStore
from cuetrack.speech.text_keys import speaking
from cuetrack.speech.voices import find_voice
from cuetrack.times import clock, frames_from_ms

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from cuetrack.arrays import Block
    from cuetrack.cues.model import PlacedCue, PlacedSheet, Timeline
    from cuetrack.pipeline.watching import Watcher
    from cuetrack.plan.model import Plan
    from cuetrack.sound.mixing import Bed
    from cuetrack.speech.model import Clip

QUIET_AROUND_MS = 300
"""Quiet around a single line, so that a player that wakes slowly swallows nothing."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ClassSpan:
    """Times of a class, in ms from its start; ``end_ms`` is the first not in it."""

    start_ms: int
    end_ms: int

    def holds(self, ms: int) -> bool:
        """Whether a time lies within."""
        return self.start_ms <= ms < self.end_ms


@dataclass(frozen=True, slots=True, kw_only=True)
class Excerpt:
    """What is heard in a piece of a class."""

    cues: tuple[PlacedCue, ...]
    spoken_anew: int


def section_span(timeline: Timeline, title: str) -> ClassSpan:
    """Return when the section of a title runs.

    Raises UsageError, naming the sections there are.
    """
    found = [
        s for s in timeline.segments if s.section_title.casefold() == title.casefold()
    ]
    if not found:
        titles = ", ".join(dict.fromkeys(s.section_title for s in timeline.segments))
        raise UsageError(f'No section is called "{title}".', f"There are: {titles}.")
    return ClassSpan(start_ms=found[0].start_ms, end_ms=found[-1].end_ms)


def write_excerpt(
    plan: Plan,
    span: ClassSpan,
    path: Path,
    watch: Watcher = unwatched,
    *,
    one_cue: bool = False,
) -> Excerpt:
    """Speak what is heard within ``span`` and write it as a sound file.

    With ``one_cue`` only the first cue that starts in it, without the music, which
    takes longer to ready than a line to say. The format is that of the
    suffix of ``path``, which is replaced.

    Raises UsageError when nothing is left of the class at that time, and what `make`
    raises for a plan that cannot be made.
    """
    speaker = StoredSpeaker(voice_of(plan), ClipStore())
    placed, cues, clips = _spoken(plan, span, speaker, watch, one_cue=one_cue)
    span = _to_the_end_of(cues, span, placed.sheet.timeline, one_cue=one_cue)
    bed = None
    if not one_cue:
        told = partial(watch, "readying the music")
        bed = music_for(plan, placed.sheet.timeline, told).bed
    tones = tuple(tone for tone in placed.sheet.tones if span.holds(tone.start_ms))
    heard_here = replace(placed, placed=cues, sheet=replace(placed.sheet, tones=tones))
    heard = fit_to_hearing(
        piece_of(arrange(heard_here, clips, bed), span),
        speaker,
        plan.group,
        cue_ids=[cue.cue.id for cue in cues],
    )
    tags = Tags(
        title=f"{plan.title}, from {clock(span.start_ms)}", language=plan.language
    )
    _write(heard.plan, speaker, path, tags)
    return Excerpt(cues=cues, spoken_anew=speaker.rendered)


def write_line(text: str, voice_name: str | None, language: str, path: Path) -> str:
    """Speak one line, write it as a sound file, and return the voice that says it.

    Raises SpeechError when the voice is unknown or cannot say it.
    """
    voice = find_voice(voice_name, language)
    pronunciations = load_language(language).phrases.pronunciations
    spoken = say_as(text, language=language, pronunciations=pronunciations)
    speaker = StoredSpeaker(voice, ClipStore())
    clip = speaker.speak([spoken])[spoken]
    start_frame = frames_from_ms(QUIET_AROUND_MS)
    mix = MixPlan(
        length_frames=start_frame + clip.frames + frames_from_ms(QUIET_AROUND_MS),
        events=(Event(start_frame=start_frame, key=clip.key, frames=clip.frames),),
    )
    _write(mix, speaker, path, Tags(title=text, language=language))
    return speaking(voice, spoken).name


def _spoken(
    plan: Plan,
    span: ClassSpan,
    speaker: StoredSpeaker,
    watch: Watcher,
    *,
    one_cue: bool,
) -> tuple[PlacedSheet, tuple[PlacedCue, ...], dict[str, Clip]]:
    """Return the class placed with the true lengths of all that the piece says.

    A true length may move a cue or choose another wording, which is spoken then.
    """
    while True:
        placed = placed_unspoken(plan)
        cues = tuple(cue for cue in placed.placed if span.holds(cue.start_ms))
        cues = cues[:1] if one_cue else cues
        if span.start_ms >= placed.sheet.timeline.end_ms or (one_cue and not cues):
            end = clock(placed.sheet.timeline.end_ms)
            raise UsageError(
                f"Nothing is said at {clock(span.start_ms)} or after.",
                f"The class ends at {end}: give an earlier time.",
            )
        before = speaker.rendered
        clips = speaker.speak(
            (cue.wording.spoken for cue in cues), partial(watch, "speaking")
        )
        if speaker.rendered == before:
            return placed, cues, clips


def _to_the_end_of(
    cues: tuple[PlacedCue, ...], span: ClassSpan, timeline: Timeline, *, one_cue: bool
) -> ClassSpan:
    """Return the span with the last word whole, or that of one cue alone."""
    ends_ms = [cue.end_ms for cue in cues]
    if one_cue:
        return ClassSpan(
            start_ms=max(cues[0].start_ms - QUIET_AROUND_MS, 0),
            end_ms=ends_ms[0] + QUIET_AROUND_MS,
        )
    end_ms = min(span.end_ms, timeline.end_ms)
    return ClassSpan(start_ms=span.start_ms, end_ms=max([end_ms, *ends_ms]))


def piece_of(mix: MixPlan, span: ClassSpan) -> MixPlan:
    """Return a part of a mix as one of its own: what starts in it, and its bed."""
    first_frame, end_frame = frames_from_ms(span.start_ms), frames_from_ms(span.end_ms)
    events = [event for event in mix.events if event.start_frame < end_frame]
    first_frame = min([first_frame, *(event.start_frame for event in events)])
    frames = max([end_frame, *(event.end_frame for event in events)]) - first_frame
    piece = PieceOfBed(whole=mix.bed, first_frame=first_frame, length_frames=frames)
    return MixPlan(
        length_frames=frames,
        events=tuple(
            replace(event, start_frame=event.start_frame - first_frame)
            for event in events
        ),
        bed=piece if mix.bed else None,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class PieceOfBed:
    """A bed from one of its frames on, silent where the whole has ended."""

    whole: Bed | None
    first_frame: int
    length_frames: int

    def blocks(self, block_frames: int) -> Iterator[Block]:
        """Yield the piece in blocks of ``block_frames``, the last shorter."""
        return fixed_blocks(self._wanted(block_frames), block_frames)

    def _wanted(self, block_frames: int) -> Iterator[Block]:
        end_frame = self.first_frame + self.length_frames
        start = 0
        for block in self.whole.blocks(block_frames) if self.whole else ():
            low = max(self.first_frame - start, 0)
            high = min(end_frame - start, len(block))
            if low < high:
                yield block[low:high]
            start += len(block)
            if start >= end_frame:
                return
        if start < end_frame:
            yield np.zeros((end_frame - max(start, self.first_frame), 2), np.float32)


def _write(mix: MixPlan, speaker: StoredSpeaker, path: Path, tags: Tags) -> None:
    master = plan_master(
        lambda: mix_blocks(mix, speaker),
        mix.channels,
        target_lufs=TARGET_LUFS,
        ceiling_dbtp=CEILING_DBTP,
    )
    write_track(
        path,
        master_blocks(mix_blocks(mix, speaker), master),
        format=path.suffix.lstrip(".").lower(),
        channels=mix.channels,
        tags=tags,
        overwrite=True,
    )
