"""Music whose every beat is known: drums struck at a steady tempo."""

from __future__ import annotations

import numpy as np
import soundfile

from cuetrack.sound.loudness import measure
from cuetrack.sound.music import Tune

SECOND = 48_000
_DRAW = np.random.default_rng(0)
_CLOCK = np.arange(9600) / SECOND
HAT = 0.2 * _DRAW.standard_normal(9600) * np.exp(-_CLOCK / 0.01)
KICK = (
    np.sin(2 * np.pi * 60 * _CLOCK) * np.exp(-_CLOCK / 0.06)
    + 0.5 * _DRAW.standard_normal(9600) * np.exp(-_CLOCK / 0.004)
)  # fmt: skip
SNARE = 0.6 * _DRAW.standard_normal(9600) * np.exp(-_CLOCK / 0.03)


def drums(bpm, seconds, start=0.0, sway=0.0):
    """Kick and snare on the beats, a hat on every half, stereo float32.

    ``sway`` is the share by which the tempo goes up and down, every two minutes.
    """
    sound = np.zeros(round(seconds * SECOND) + len(HAT))
    at, half = start, 0
    while at < seconds:
        stroke = HAT if half % 2 else HAT + (SNARE if half % 4 else KICK)
        first = round(at * SECOND)
        sound[first : first + len(HAT)] += 0.3 * stroke
        at += 30 / bpm * (1 + sway * np.sin(at / 20))
        half += 1
    mono = sound[: round(seconds * SECOND)].astype(np.float32)
    return np.stack([mono, mono], axis=1)


def beat_times(bpm, seconds, start=0.0):
    """Where ``drums`` strikes the beats, in frames."""
    return np.arange(start, seconds, 60 / bpm) * SECOND


def struck(sound, near):
    """Where a stroke starts close to each of some frames: it passes 0.05 first."""
    found = []
    for place in near:
        low = max(round(place) - 2400, 0)
        part = np.abs(sound[low : low + 4800, 0])
        found.append(low + np.argmax(part > 0.05 * np.max(np.abs(sound))))
    return np.array(found)


def as_tune(path, sound):
    """Write a sound where ready music would be."""
    soundfile.write(path, sound, SECOND, subtype="FLOAT")
    lufs = measure([sound.astype(np.float32)], 2).integrated_lufs
    return Tune(path=path, first_frame=0, end_frame=len(sound), lufs=lufs)
