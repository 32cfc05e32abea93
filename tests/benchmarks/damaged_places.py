"""A finished track that can be damaged, and what all damages are made of."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np
from scipy.signal import butter, sosfilt

from tests.verification.tracks import TARGET_LUFS, levelled

if TYPE_CHECKING:
    from cuetrack.output.track.cuefile import CueFile

RATE = 48_000
LEVEL = 10 ** ((-16 - TARGET_LUFS) / 20)


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """A track to be damaged, shape (frames, channels), and where its cues are."""

    sheet: CueFile
    sound: np.ndarray
    seed: int

    def cue(self, number=0, least_ms=1200):
        """First and last frame of a cue of at least so many ms."""
        rows = [row for row in self.sheet.cues if row.end_ms - row.start_ms > least_ms]
        row = rows[(self.seed + 3 * number) % len(rows)]
        return round(row.start_ms * 48), round(row.end_ms * 48)

    def word(self, length, number=0):
        """First and last frame of the loudest stretch of so many frames of a cue."""
        first, last = self.cue(number)
        power = np.cumsum(np.square(self.sound[first:last].mean(axis=1)))
        at = first + int(np.argmax(power[length:] - power[:-length]))
        return at, at + length

    def gap(self):
        """First frame inside the longest stretch with no cue and no tone."""
        rows = sorted(
            (row.start_ms, row.end_ms) for row in (*self.sheet.cues, *self.sheet.tones)
        )
        (_, end), _ = max(pairwise(rows), key=lambda two: two[1][0] - two[0][1])
        return round(end * 48) + RATE // 4


def even(sound):
    """Bring a sound to the loudness of a made track."""
    return LEVEL * levelled(sound)


Damage = Callable[[Place, float], np.ndarray]
DAMAGES: dict[str, tuple[Damage, tuple[float, float, float], tuple[str, ...]]] = {}
"""What is done, in three sizes, and words of which one must stand in the verdict."""


def damage(name, sizes, *words):
    def add(function):
        DAMAGES[name] = (function, sizes, words)
        return function

    return add


def copied(function):
    """Let a function write into its own copy of the sound."""

    def done(place, size):
        sound = place.sound.copy()
        left = function(place, size, sound)
        return sound if left is None else left

    done.damages = function
    return done


def ms(length_ms):
    return round(length_ms * 48)


def faded(sound, first, last, gain=0.0):
    """Bring a stretch to a gain, with 2 ms of slope at both ends."""
    slope = np.linspace(1, gain, 96)
    shape = np.full(last - first, gain)
    shape[: min(96, shape.size)] = slope[: shape.size]
    shape[-96:] = slope[::-1][-shape.size :]
    sound[first:last] *= shape[:, None]


def noise(frames, level_db, seed=0):
    return 10 ** (level_db / 20) * np.random.default_rng(seed).standard_normal(frames)


def filtered(sound, kind, hz, order=2):
    return sosfilt(butter(order, hz, kind, fs=RATE, output="sos"), sound, axis=0)
