"""From notes to sound: each on its exact frame, in a small room, at its loudness.

A phrase is rendered at a time with what rings on after it, so that memory does not
grow with the length of the class.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache
from itertools import count
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt
from scipy.fft import irfft, next_fast_len, rfft
from scipy.signal import butter, sosfilt

from cuetrack.sound.composing.drums import DRUMS, TAKES, drum_sound
from cuetrack.sound.composing.instruments import (
    note_sound,
    raised_cosine,
    release_frames,
)
from cuetrack.sound.loudness import LOUDNESS_OFFSET, ratio
from cuetrack.speech.level import K_WEIGHTING
from cuetrack.times import SAMPLE_RATE_HZ, frames_from_ms

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

    from cuetrack.arrays import Block, Samples
    from cuetrack.sound.composing.writing import Note

TAIL_FRAMES = frames_from_ms(2500)
"""What may ring on after the last beat of a phrase."""

MOST_GAIN_DB = 40.0
VOICE_DIP_DB = 6.0
"""How much less of the music there is where a voice over it will live."""

_VOICE_DIP_HZ, _VOICE_DIP_OCTAVES = 1400.0, 3.0
_STRENGTHS = (0.4, 0.65, 0.9)
_TAIL_FADE_FRAMES = frames_from_ms(400)
_LINEAR = 0.7
_CEILING = 0.95


@dataclass(frozen=True, slots=True, kw_only=True)
class StereoPlace:
    """Where a voice sits: ``pan`` from -1 (left) to 1, and what the room adds, dB."""

    pan: float = 0.0
    room_db: float = -13.0


STEREO_PLACES = {
    "kick": StereoPlace(room_db=-30),
    "round bass": StereoPlace(room_db=-26),
    "low drum": StereoPlace(pan=-0.15, room_db=-16),
    "high drum": StereoPlace(pan=0.2, room_db=-15),
    "brush": StereoPlace(pan=-0.08, room_db=-14),
    "clap": StereoPlace(pan=0.1, room_db=-11),
    "rim": StereoPlace(pan=0.2),
    "hat": StereoPlace(pan=-0.25, room_db=-20),
    "shaker": StereoPlace(pan=0.28, room_db=-16),
    "guitar": StereoPlace(pan=-0.25),
    "harp": StereoPlace(pan=0.2, room_db=-9),
    "keys": StereoPlace(pan=0.15),
    "marimba": StereoPlace(pan=0.25, room_db=-11),
    "kalimba": StereoPlace(pan=-0.15, room_db=-9),
    "vibes": StereoPlace(pan=-0.1, room_db=-9),
    "warm pad": StereoPlace(pan=0.0, room_db=-8),
    "low pad": StereoPlace(pan=0.0, room_db=-8),
}


def frame_of(tick: int, ticks: int, frames: int) -> int:
    """Return the frame of a tick when ``ticks`` fill ``frames``; halves round up.

    >>> frame_of(0, 192, 100_001), frame_of(192, 192, 100_001)
    (0, 100001)
    """
    return (2 * tick * frames + ticks) // (2 * ticks)


def render_phrase(
    notes: Iterable[Note], frame_at: Callable[[int], int], frames: int, lufs: float
) -> Block:
    """Return a phrase and what rings on after it, shape (frames + tail, 2).

    Parameters
    ----------
    frame_at
        Gives the frame of the phrase on which a tick falls.
    lufs
        Loudness the phrase is brought to.
    """
    dry = np.zeros((2, frames + TAIL_FRAMES), np.float32)
    room = np.zeros(frames + TAIL_FRAMES, np.float32)
    takes = count()
    for note in sorted(notes, key=lambda note: (note.tick, note.voice, note.pitch)):
        start, end = frame_at(note.tick), frame_at(note.tick + note.ticks)
        sound = _sounding(note, end - start, next(takes))[: dry.shape[1] - start]
        left, right, wet = _seat_gains(note.voice)
        stop = start + len(sound)
        dry[0, start:stop] += sound * left
        dry[1, start:stop] += sound * right
        room[start:stop] += sound * wet
    dry += _in_the_room(room)
    dry[:] = sosfilt(_voice_dip(), dry)
    dry[:, -_TAIL_FADE_FRAMES:] *= raised_cosine(_TAIL_FADE_FRAMES)[::-1]
    dry *= np.float32(ratio(min(lufs - _loudness(dry[:, :frames]), MOST_GAIN_DB)))
    return dry.T


def softly_limited(block: Block) -> Block:
    """Return a block whose peaks are bent round under full scale; others are kept."""
    over = np.abs(block) > _LINEAR
    if over.any():
        room = _CEILING - _LINEAR
        high = np.abs(block[over])
        bent = _LINEAR + room * np.tanh((high - _LINEAR) / room)
        block[over] = np.sign(block[over]) * bent
    return block


def _sounding(note: Note, held: int, take: int) -> Samples:
    """Return a note as it is played: held, let go, at its level."""
    layer = min(_STRENGTHS, key=lambda one: abs(one - note.strength))
    level = np.float32(ratio(note.level_db))
    if note.voice in DRUMS:
        return _drum(note.voice, take % TAKES, layer) * level
    level *= np.float32(0.4 + 0.6 * note.strength)
    ringing = _ringing(note.voice, note.pitch, layer)
    release = release_frames(note.voice)
    if held + release >= len(ringing):
        return ringing * level
    sound = ringing[: held + release] * level
    sound[held:] *= _letting_go(release)
    return sound


@lru_cache(maxsize=1024)
def _drum(voice: str, take: int, strength: float) -> Samples:
    return drum_sound(voice, take, strength)


@lru_cache(maxsize=200)
def _ringing(voice: str, pitch: int, strength: float) -> Samples:
    return note_sound(voice, pitch, strength)


@lru_cache(maxsize=16)
def _letting_go(frames: int) -> Samples:
    return raised_cosine(frames)[::-1]


@lru_cache(maxsize=64)
def _seat_gains(voice: str) -> tuple[np.float32, np.float32, np.float32]:
    place = STEREO_PLACES[voice]
    angle = math.pi / 4 * (1 + place.pan)
    wet = ratio(place.room_db)
    return (
        np.float32(math.sqrt(2) * math.cos(angle)),
        np.float32(math.sqrt(2) * math.sin(angle)),
        np.float32(wet),
    )


def _in_the_room(send: Samples) -> Block:
    """Return what comes back from the room, shape (2, frames)."""
    size = next_fast_len(len(send) + _ROOM_FRAMES, real=True)
    spectrum = rfft(send, size)
    sides = [irfft(spectrum * rfft(one, size), size) for one in _room()]
    wet: Block = np.stack(sides)[:, : len(send)].astype(np.float32)
    return wet


_ROOM_FRAMES = frames_from_ms(1100)


@lru_cache(maxsize=1)
def _room() -> Block:
    """Return the response of a small wooden room to both sides, shape (2, frames).

    Both share most of it, so that little is lost when they are summed.
    """
    rng = np.random.default_rng(7)
    clock = np.arange(_ROOM_FRAMES) / SAMPLE_RATE_HZ
    dying = np.exp(-clock * math.log(1000) / 0.9)
    dying *= np.clip((clock - 0.011) / 0.02, 0, 1)
    middle, side = rng.standard_normal((2, _ROOM_FRAMES)) * dying
    band = butter(1, (180, 4500), "bandpass", output="sos", fs=SAMPLE_RATE_HZ)
    both = sosfilt(band, np.stack([middle + 0.6 * side, middle - 0.6 * side]))
    both[:, -480:] *= np.linspace(1, 0, 480)
    both /= np.sqrt(np.mean(np.sum(both**2, axis=1)))
    response: Block = both.astype(np.float32)
    return response


@lru_cache(maxsize=1)
def _voice_dip() -> npt.NDArray[np.float64]:
    """Return a dip of `VOICE_DIP_DB` that leaves room for a voice, shape (1, 6).

    The peaking equaliser of the Audio EQ Cookbook (R. Bristow-Johnson; from memory).
    """
    amplitude = ratio(-VOICE_DIP_DB / 2)
    angle = 2 * math.pi * _VOICE_DIP_HZ / SAMPLE_RATE_HZ
    octaves = math.log(2) / 2 * _VOICE_DIP_OCTAVES * angle / math.sin(angle)
    alpha = math.sin(angle) * math.sinh(octaves)
    middle = -2 * math.cos(angle)
    above = (1 + alpha * amplitude, middle, 1 - alpha * amplitude)
    below = (1 + alpha / amplitude, middle, 1 - alpha / amplitude)
    return np.array([[*above, *below]]) / below[0]


def _loudness(sound: Block) -> float:
    """Return the loudness of a phrase, shape (2, frames), without gates: BS.1770-4."""
    power = float(np.mean(np.square(sosfilt(K_WEIGHTING, sound)), axis=1).sum())
    return LOUDNESS_OFFSET + 10 * math.log10(power) if power > 0 else -math.inf
