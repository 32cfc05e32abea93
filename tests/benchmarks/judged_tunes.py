"""Tunes made by rule for the judges: loud and dense, each busy in another way."""

from __future__ import annotations

from functools import cache

import numpy as np
from scipy.signal import butter, iirpeak, lfilter, sosfilt

from cuetrack.sound.hearing.bands import spectrum
from tests.sound.sounds import SoundBed

RATE = 48_000
LUFS = -20.0  # that of the voice


def _chords(frames, beats, pitches, make):
    """Chords of ``beats`` beats at 120 a minute, each note made by ``make``."""
    sound = np.zeros(frames)
    step = beats * RATE // 2
    for number, start in enumerate(range(0, frames, step)):
        at = np.arange(min(step, frames - start)) / RATE
        for pitch in pitches[number % len(pitches)]:
            sound[start : start + step] += make(at, pitch, number)
    return sound


def _drums(frames, seed, snare=0.5, hat=0.25):
    """Kick and snare in turn, a hat on every half beat."""
    random = np.random.default_rng(seed)
    beat, sound = RATE // 2, np.zeros(frames + RATE)
    at = np.arange(beat) / RATE
    kick = np.sin(2 * np.pi * 50 * at + 10 * np.exp(-at * 45)) * np.exp(-at * 11)
    hiss = butter(2, 7000, "highpass", fs=RATE, output="sos")
    body = butter(1, (180, 6000), "bandpass", fs=RATE, output="sos")
    for number, start in enumerate(range(0, frames, beat)):
        noise = random.standard_normal((2, beat))
        hit = (
            kick
            if number % 2 == 0
            else snare * sosfilt(body, noise[0]) * np.exp(-at * 16)
        )
        tick = hat * sosfilt(hiss, noise[1]) * np.exp(-at * 70)
        sound[start : start + beat] += hit + tick + np.roll(tick, beat // 2)
    return sound[:frames]


def _saw(at, pitch):
    count = int(9000 / pitch)
    parts = [np.sin(2 * np.pi * pitch * n * at) / n for n in range(1, count)]
    return np.sum(parts, axis=0)


def choir(frames, side):
    """Voices on open vowels with vibrato, singing chords: nearest to speech."""
    vowels = ((800, 1150, 2900), (450, 800, 2830), (350, 1700, 2700), (600, 1700, 2600))

    def voice(at, pitch, number):
        wobble = pitch * (1 + 0.012 * np.sin(2 * np.pi * 5.3 * at + pitch + side))
        phase = 2 * np.pi * np.cumsum(wobble) / RATE
        raw = np.sum([np.cos(n * phase) / n for n in range(1, 26)], axis=0)
        swell = np.minimum(1, np.minimum(at, at[::-1]) / 0.06)
        return swell * sum(
            lfilter(*iirpeak(hz, 8, fs=RATE), raw) for hz in vowels[number % 4]
        )

    sung = _chords(
        frames, 1, ((196, 247, 294), (220, 262, 330), (175, 220, 262)), voice
    )
    return np.tanh(1.5 * sung / np.std(sung) / 2) + 0.3 * _drums(frames, 11 + side)


def rock(frames, side):
    """Distorted power chords, bass, hard drums, squashed."""

    def guitar(at, pitch, _):
        return _saw(at, pitch * (1 + 0.003 * side)) * (0.6 + 0.4 * np.exp(-4 * at))

    strings = _chords(
        frames, 2, ((110, 165, 220), (131, 196, 262), (98, 147, 196)), guitar
    )
    return np.tanh(2.5 * np.tanh(3 * strings) + 1.2 * _drums(frames, 21 + side, 0.9))


def brass(frames, side):
    """A march of bright horns in short notes over a drum line."""

    def horn(at, pitch, number):
        bite = np.minimum(at / 0.02, 1) * np.exp(-at * (3 + number % 3))
        return _saw(at, pitch * (1 + 0.002 * side)) * bite

    horns = _chords(
        frames, 1, ((233, 294, 349, 466), (262, 330, 392), (233, 311, 392, 622)), horn
    )
    return np.tanh(0.5 * horns + 0.5 * _drums(frames, 31 + side, 0.8, 0.4))


def piano(frames, side):
    """Rolling broken chords over five octaves, with a ringing pedal."""
    random = np.random.default_rng(41)
    sound, step = np.zeros(frames + 3 * RATE), RATE // 8
    at = np.arange(2 * RATE) / RATE
    scale = 65.4 * 2 ** (
        np.array([0, 4, 7, 9, 12, 16, 19, 24, 28, 31, 36, 40, 43]) / 12
    )
    for start in range(0, frames, step):
        pitch = random.choice(scale)
        struck = sum(
            np.sin(2 * np.pi * n * pitch * at + side) / n * np.exp(-at * (1.5 + n))
            for n in range(1, 12)
        )
        sound[start : start + len(at)] += struck * random.uniform(0.6, 1)
    return np.tanh(0.8 * sound[:frames])


TUNES = {"choir": choir, "rock": rock, "brass": brass, "piano": piano}


@cache
def tune_bed(name, frames):
    """One of the tunes as a bed, as loud as the voice."""
    sides = [TUNES[name](frames, side) for side in (0, 1)]
    sound = np.stack(sides, axis=1).astype(np.float32)
    gain_db = LUFS - spectrum(sound).loudness_lufs
    return SoundBed(sound * np.float32(10 ** (gain_db / 20)))
