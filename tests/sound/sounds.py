"""Sounds the tests make: syllables, music, and ways to cut them into blocks."""

from __future__ import annotations

import math

import numpy as np
from scipy.signal import butter, sosfilt

from cuetrack.speech.level import active_lufs
from cuetrack.times import SAMPLE_RATE_HZ


def noise(frames, channels=1, seed=0, rms=0.1):
    """White noise, shape (frames, channels)."""
    draw = np.random.default_rng(seed).standard_normal((frames, channels))
    return (rms * draw).astype(np.float32)


def sine(hz, seconds, amplitude=1.0, phase_degrees=0.0, rate_hz=SAMPLE_RATE_HZ):
    """One channel, shape (frames,), float64."""
    turns = hz * np.arange(round(seconds * rate_hz)) / rate_hz
    return amplitude * np.sin(2 * np.pi * turns + np.radians(phase_degrees))


def syllables(seconds, seed=0, lufs=-20.0):
    """Voiced syllables with pauses, one channel, as loud as a clip."""
    draw = np.random.default_rng(seed)
    clock = np.arange(round(seconds * SAMPLE_RATE_HZ)) / SAMPLE_RATE_HZ
    pitch_hz = 120 + 20 * np.sin(2 * np.pi * 1.3 * clock + draw.uniform(0, 6))
    turns = np.cumsum(pitch_hz) / SAMPLE_RATE_HZ
    hum = sum(
        np.cos(2 * np.pi * n * turns + draw.uniform(0, 6)) / n for n in range(1, 30)
    )
    beats = np.maximum(np.sin(2 * np.pi * 2.5 * clock + draw.uniform(0, 6)), 0) ** 0.5
    sound = (hum * beats).astype(np.float32)
    return sound * np.float32(10 ** ((lufs - active_lufs(sound)) / 20))


def music(seconds, seed=0, rms=0.1):
    """Chords, bass and a drum, one channel; steady in level and busy at 200-2000 Hz.

    Like most recorded music it has little above 16 kHz.
    """
    draw = np.random.default_rng(seed)
    beat = SAMPLE_RATE_HZ // 2
    sound = np.zeros(round(seconds * SAMPLE_RATE_HZ))
    scale = 220 * 2 ** (np.array([0, 2, 4, 5, 7, 9, 11, 12, 14, 16, 19, 24]) / 12)
    for start in range(0, len(sound), beat):
        part = sound[start : start + beat]
        clock = np.arange(len(part)) / SAMPLE_RATE_HZ
        for hz in [*draw.choice(scale, 4, replace=False), 55, 110]:
            for n in range(1, 5):
                part += np.sin(2 * np.pi * n * hz * clock + draw.uniform(0, 6)) / n
        part += 2 * draw.standard_normal(len(part)) * np.exp(-clock / 0.03)
    return (rms * treble_cut(sound) / np.sqrt(np.mean(sound**2))).astype(np.float32)


def treble_cut(sound, hz=16_000):
    """Take away what lies above some frequency, along the first axis."""
    sections = butter(10, hz, output="sos", fs=SAMPLE_RATE_HZ)
    return sosfilt(sections, sound, axis=0)


def pink(frames, seed=0):
    """Noise that falls about 3 dB an octave, shape (frames,)."""
    # Three real poles and zeros, spaced so that the slope is near -3 dB an octave.
    sections = [
        [1, -zero, 0, 1, -pole, 0]
        for zero, pole in (
            (0.98443604, 0.99572754),
            (0.83392334, 0.94790649),
            (0.07568359, 0.53567505),
        )
    ]
    white = np.random.default_rng(seed).standard_normal(frames)
    return sosfilt(np.array(sections), white)


def cut(sound, frames):
    """Give a sound in blocks of some size, or of each of several sizes in turn."""
    sizes = [frames] if isinstance(frames, int) else list(frames)
    start = turn = 0
    while start < len(sound):
        size = sizes[turn % len(sizes)]
        yield sound[start : start + size]
        start, turn = start + size, turn + 1


def joined(blocks):
    """Put blocks together again."""
    return np.concatenate(list(blocks))


class SoundBed:
    """Some sound as a bed."""

    def __init__(self, sound):
        self._sound = sound
        self.length_frames = len(sound)

    def blocks(self, block_frames):
        return cut(self._sound, block_frames)


class Clips(dict):
    """A clip source over a dictionary, counting what it is asked for."""

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.asked = []

    def samples(self, key):
        self.asked.append(key)
        return self[key]


def mono_sum_loss_db(blocks):
    """By how much the power of the channels drops when they are added.

    0 for the same sound in all channels, 3.01 for two that have nothing in common,
    infinite where they cancel. Silence loses nothing.
    """
    apart = together = 0.0
    for block in blocks:
        exact = block.astype(np.float64)
        apart += float(np.sum(np.mean(exact**2, axis=1)))
        together += float(np.sum(np.mean(exact, axis=1) ** 2))
    if not apart:
        return 0.0
    return 10 * math.log10(apart / together) if together else math.inf
