"""Pieces: the music of one section, from its segments to the sound of it.

A piece is known by what it is made of, so that the same one is never rendered twice.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import partial
from random import Random
from typing import TYPE_CHECKING

import numpy as np

from cuetrack.sound.composing.harmony import chord, line
from cuetrack.sound.composing.instruments import raised_cosine
from cuetrack.sound.composing.rendering import (
    TAIL_FRAMES,
    frame_of,
    render_phrase,
    softly_limited,
)
from cuetrack.sound.composing.scenes import SCENE_LUFS, Scene, scene_of
from cuetrack.sound.composing.styles import STYLES
from cuetrack.sound.composing.tempo import BAR_BEATS, count_beats
from cuetrack.sound.composing.writing import (
    PHRASE_BARS,
    TICKS_A_BEAT,
    MusicPhrase,
    Players,
    write_phrase,
)
from cuetrack.times import frames_from_ms

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from cuetrack.arrays import Block
    from cuetrack.cues.model import Segment
    from cuetrack.sound.composing.harmony import Chord
    from cuetrack.sound.composing.tempo import TempoRequest

END_FADE_FRAMES = frames_from_ms(5000)
_LONGEST_TAG_BARS = 3
_MOVEMENTS_A_KEY = 4


@dataclass(frozen=True, slots=True, kw_only=True)
class Passage:
    """The music under one segment: ``beats`` of it fill it to the frame.

    ``turn`` counts the passages of its scene in the piece, ``key_turn`` the changes
    of key, both from 0.
    """

    scene: Scene
    start_ms: int
    end_ms: int
    beats: int
    turn: int
    key_turn: int

    @property
    def start_frame(self) -> int:
        """The frame of the track on which its first downbeat falls."""
        return frames_from_ms(self.start_ms)

    @property
    def frames(self) -> int:
        """Length of the segment."""
        return frames_from_ms(self.end_ms) - self.start_frame

    def frame_at(self, tick: int) -> int:
        """Return the frame of the passage on which a tick falls."""
        return frame_of(tick, self.beats * TICKS_A_BEAT, self.frames)


@dataclass(frozen=True, slots=True, kw_only=True)
class Piece:
    """The music of one section; ``ends`` says that silence or other music follows."""

    style: str
    seed: int
    section: int
    passages: tuple[Passage, ...]
    ends: bool

    @property
    def start_frame(self) -> int:
        """The frame of the track on which it starts."""
        return self.passages[0].start_frame

    @property
    def frames(self) -> int:
        """Its length, with what rings on into the next piece."""
        return sum(one.frames for one in self.passages) + self.tail_frames

    @property
    def tail_frames(self) -> int:
        """How long it rings on after its last segment."""
        return 0 if self.ends else TAIL_FRAMES

    def sound(self) -> Iterator[Block]:
        """Yield its sound, phrase by phrase, shape (frames, 2)."""
        sound = self._ringing_on()
        if not self.ends:
            yield from sound
            return
        done, length = 0, self.frames
        fade = raised_cosine(min(END_FADE_FRAMES, length))[::-1, np.newaxis]
        for block in sound:
            into = done - (length - len(fade))
            low = min(len(block), max(0, -into))
            block[low:] *= fade[into + low : into + len(block)]
            done += len(block)
            yield block

    def _ringing_on(self) -> Iterator[Block]:
        """Yield phrase after phrase, each with the end of the ones before in it."""
        players = Players(rng=Random(f"{self.seed} {self.style} {self.section}"))  # noqa: S311 - music, not secrets
        ringing = np.zeros((0, 2), np.float32)
        for passage in self.passages:
            last = self.ends and passage is self.passages[-1]
            for first_tick, phrase in self._phrases(passage, ends=last):
                notes = write_phrase(self.style, phrase, players)
                start = passage.frame_at(first_tick)
                frames = passage.frame_at(first_tick + phrase.ticks) - start
                sound = render_phrase(
                    notes,
                    partial(_within, passage, first_tick, start),
                    frames,
                    SCENE_LUFS[passage.scene],
                )
                shared = min(len(ringing), len(sound))
                sound[:shared] += ringing[:shared]
                yield softly_limited(sound[:frames])
                ringing = sound[frames:]
        yield softly_limited(ringing[: self.tail_frames])

    def _phrases(
        self, passage: Passage, *, ends: bool
    ) -> Iterator[tuple[int, MusicPhrase]]:
        style = STYLES[self.style]
        tonic = style.keys[(self.section + passage.key_turn) % len(style.keys)]
        done = 0
        sizes = phrase_sizes(passage.beats)
        for number, beats in enumerate(sizes):
            closes = number == len(sizes) - 1
            song = passage.turn + number
            lines = style.bridges if song % 2 else style.verses
            numerals = lines[(song // 2 + passage.key_turn) % len(lines)]
            chords = fitted(line(numerals), -(-beats // BAR_BEATS))
            yield (
                done * TICKS_A_BEAT,
                MusicPhrase(
                    scene=passage.scene,
                    tonic=tonic,
                    chords=_at_rest(chords) if ends and closes else chords,
                    beats=beats,
                    number=number + passage.turn % 2,
                    closes=closes,
                    ends=ends and closes,
                ),
            )
            done += beats


def compose(
    segments: Sequence[Segment],
    *,
    style: str,
    seed: int,
    request: TempoRequest,
    ends: bool,
) -> Piece:
    """Return the piece for the segments of one section.

    Parameters
    ----------
    segments
        All of one section, in order, without gaps.
    ends
        Whether the music stops with the section.
    """
    turns: dict[Scene, int] = {}
    passages = []
    for segment, beats in zip(segments, count_beats(segments, request), strict=True):
        scene = scene_of(segment)
        passages.append(
            Passage(
                scene=scene,
                start_ms=segment.start_ms,
                end_ms=segment.end_ms,
                beats=beats,
                turn=turns.get(scene, 0),
                key_turn=_key_turn(segment),
            )
        )
        turns[scene] = turns.get(scene, 0) + 1
    return Piece(
        style=style,
        seed=seed,
        section=segments[0].section,
        passages=tuple(passages),
        ends=ends,
    )


def phrase_sizes(beats: int) -> list[int]:
    """Return how a passage is cut into phrases, in beats.

    Phrases have eight bars; up to three bars left over join the last one.

    >>> phrase_sizes(40), phrase_sizes(80), phrase_sizes(18)
    ([40], [32, 32, 16], [18])
    """
    whole, left = divmod(beats, PHRASE_BARS * BAR_BEATS)
    sizes = [PHRASE_BARS * BAR_BEATS] * whole
    if left and whole and left <= _LONGEST_TAG_BARS * BAR_BEATS:
        sizes[-1] += left
    elif left:
        sizes.append(left)
    return sizes


def fitted(chords: tuple[Chord, ...], bars: int) -> tuple[Chord, ...]:
    """Return a line of chords made shorter or longer, its way home kept."""
    if bars > len(chords):
        return chords + chords[-(bars - len(chords)) :]
    if bars == 1:
        return chords[:1]
    return (*chords[: bars - 1], chords[-1])


def _at_rest(chords: tuple[Chord, ...]) -> tuple[Chord, ...]:
    """Return a line that comes home for its last two bars."""
    home = chord("I")
    return (*chords[:-2], home, home)[-len(chords) :]


def _key_turn(segment: Segment) -> int:
    if segment.round is not None:
        return segment.round - 1
    return ((segment.position or 1) - 1) // _MOVEMENTS_A_KEY


def _within(passage: Passage, first_tick: int, start: int, tick: int) -> int:
    """Return the frame of a phrase on which one of its ticks falls."""
    return passage.frame_at(first_tick + tick) - start
