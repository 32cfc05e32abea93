"""The bed: music under each section, one piece after another without a gap.

Pieces follow each other through a crossfade of equal power, each brought to the
same loudness; a stretch of music fades in and out. A bed is read block by block,
as often as wanted, and is the same to the bit however large the blocks are.
"""

from __future__ import annotations

from contextlib import ExitStack
from dataclasses import dataclass
from functools import lru_cache
from itertools import cycle
from typing import TYPE_CHECKING

import numpy as np
import soundfile

from cuetrack.errors import MusicError
from cuetrack.sound.loudness import ratio
from cuetrack.times import frames_from_ms

if TYPE_CHECKING:
    from collections.abc import Iterator

    from cuetrack.arrays import Block, Samples
    from cuetrack.sound.music import Tune

BED_LUFS = -20.0
"""Loudness of every piece before the mix sets its level: that of the voice."""

MOST_GAIN_DB = 12.0
"""A faint piece is raised by no more, or its noise would be raised with it."""

FADE_FRAMES = frames_from_ms(3000)
CROSSFADE_FRAMES = frames_from_ms(2000)


@dataclass(frozen=True, slots=True, kw_only=True)
class MusicSpan:
    """A stretch of the track with music: its tunes in order, again and again.

    ``fade_frames`` at either end the music comes and goes; the crossfade from tune
    to tune is ``crossfade_frames``, or a quarter of the shorter tune. Tunes that
    are made to follow on each other take 0; tunes that were cut to meet bring the
    length of the crossfade after each, ``crossfades``, which is taken as it is.
    """

    start_frame: int
    end_frame: int
    tunes: tuple[Tune, ...]
    fade_frames: int = FADE_FRAMES
    crossfade_frames: int = CROSSFADE_FRAMES
    crossfades: tuple[int, ...] = ()

    def __post_init__(self) -> None:
        if not 0 <= self.start_frame < self.end_frame:
            raise ValueError(f"a span of music must last: {self}")
        if not self.tunes:
            raise ValueError(f"a span of music needs a tune: {self}")
        if self.crossfades and len(self.crossfades) != len(self.tunes):
            raise ValueError(f"a crossfade is wanted after each tune: {self}")
        for before, tune, after in self._neighbours():
            if tune.frames < before + after or tune.frames == after:
                raise ValueError(f"a tune is shorter than its crossfades: {self}")

    def _neighbours(self) -> Iterator[tuple[int, Tune, int]]:
        """Give each tune with the crossfades before and after it, if they are told."""
        befores = (*self.crossfades[-1:], *self.crossfades[:-1])
        return zip(befores, self.tunes, self.crossfades, strict=False)

    def crossfade_after(self, place: int) -> int:
        """Return the length of the crossfade after the tune at some place, frames."""
        if self.crossfades:
            return self.crossfades[place]
        tune, after = self.tunes[place], self.tunes[(place + 1) % len(self.tunes)]
        return min(self.crossfade_frames, tune.frames // 4, after.frames // 4)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Playing:
    """One playing of a tune: where it starts, and how it comes and goes."""

    tune: Tune
    start_frame: int
    fade_in: int
    fade_out: int

    @property
    def end_frame(self) -> int:
        return self.start_frame + self.tune.frames


@dataclass(frozen=True, slots=True, kw_only=True)
class MusicBed:
    """Music of the user under the parts of a track that want it.

    Parameters
    ----------
    length_frames
        Length of the track; where no span lies the bed is silent.
    spans
        In order, not overlapping, within the track.
    """

    length_frames: int
    spans: tuple[MusicSpan, ...]

    def __post_init__(self) -> None:
        ends = [0, *(span.end_frame for span in self.spans)]
        starts = [*(span.start_frame for span in self.spans), self.length_frames]
        if any(end > start for end, start in zip(ends, starts, strict=True)):
            raise ValueError("spans of music must be in order, apart, in the track")

    def blocks(self, block_frames: int) -> Iterator[Block]:
        """Start a pass over the bed: blocks of shape (frames, 2), the last shorter."""
        schedules = [(span, _schedule(span)) for span in self.spans]
        with ExitStack() as files:
            reader = _SpanReader(files)
            for start in range(0, self.length_frames, block_frames):
                frames = min(block_frames, self.length_frames - start)
                block = np.zeros((frames, 2), np.float32)
                for span, playings in schedules:
                    _play_span(block, start, span, playings, reader)
                yield block


def gain_db(tune: Tune) -> float:
    """Return what brings a tune to the loudness of the bed."""
    return min(BED_LUFS - tune.lufs, MOST_GAIN_DB)


class _SpanReader:
    """Reads tunes, each file opened once in a pass."""

    def __init__(self, files: ExitStack) -> None:
        self._files = files
        self._open: dict[Tune, soundfile.SoundFile] = {}

    def frames(self, tune: Tune, start: int, frames: int) -> Block:
        try:
            if tune not in self._open:
                file = soundfile.SoundFile(tune.path)
                self._open[tune] = self._files.enter_context(file)
            self._open[tune].seek(tune.first_frame + start)
            block: Block = self._open[tune].read(frames, "float32", always_2d=True)
        except (OSError, soundfile.SoundFileError):
            block = np.zeros((0, 2), np.float32)
        if len(block) < frames:
            raise MusicError(
                "the music made ready for this track is gone or was changed meanwhile.",
                "Make the track again.",
                file=tune.path,
            )
        return block


def _schedule(span: MusicSpan) -> tuple[_Playing, ...]:
    """Return every playing that the span needs, each overlapping the next."""
    playings: list[_Playing] = []
    start, fade_in = span.start_frame, 0
    for place, tune in cycle(enumerate(span.tunes)):
        fade_out = span.crossfade_after(place)
        playing = _Playing(
            tune=tune, start_frame=start, fade_in=fade_in, fade_out=fade_out
        )
        playings.append(playing)
        start, fade_in = playing.end_frame - fade_out, fade_out
        if start >= span.end_frame:
            return tuple(playings)
    raise AssertionError("unreachable: tunes never run out")


def _play_span(
    block: Block,
    start: int,
    span: MusicSpan,
    playings: tuple[_Playing, ...],
    reader: _SpanReader,
) -> None:
    """Add the part of a span that lies in a block which starts at ``start``."""
    low = max(start, span.start_frame)
    high = min(start + len(block), span.end_frame)
    if low >= high:
        return
    music = block[low - start : high - start]
    for playing in playings:
        first, end = max(low, playing.start_frame), min(high, playing.end_frame)
        if first < end:
            music[first - low : end - low] += _part(playing, first, end, reader)
    fade = min(span.fade_frames, (span.end_frame - span.start_frame) // 2)
    rise = _quarter_sine(fade) ** 2  # a raised cosine
    _scale(music, low, span.start_frame, rise)
    _scale(music, low, span.end_frame - fade, rise[::-1])


def _part(playing: _Playing, first: int, end: int, reader: _SpanReader) -> Block:
    """Return a tune between two frames of the track: sine in, cosine out."""
    part = reader.frames(playing.tune, first - playing.start_frame, end - first)
    part *= np.float32(ratio(gain_db(playing.tune)))
    _scale(part, first, playing.start_frame, _quarter_sine(playing.fade_in))
    fall = _quarter_sine(playing.fade_out)[::-1]
    _scale(part, first, playing.end_frame - len(fall), fall)
    return part


def _scale(sound: Block, first: int, start: int, curve: Samples) -> None:
    """Multiply sound from frame ``first`` on by a curve that begins at ``start``."""
    low, high = max(first, start), min(first + len(sound), start + len(curve))
    if low < high:
        sound[low - first : high - first] *= curve[low - start : high - start, None]


@lru_cache(maxsize=8)
def _quarter_sine(frames: int) -> Samples:
    """Return the rise of a crossfade; with its reverse the powers sum to 1."""
    angle = np.pi / 2 * (np.arange(frames) + 0.5) / max(frames, 1)
    curve = np.sin(angle).astype(np.float32)
    curve.setflags(write=False)
    return curve
