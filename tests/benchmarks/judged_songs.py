"""More tunes for the judges, most of them like speech: sung vowels and words, strings.

Made by rule, each from a number of its own for chance, so that a law found on some can
be judged on others.
"""

from __future__ import annotations

from functools import cache
from itertools import cycle, pairwise

import numpy as np
from scipy.signal import butter, hilbert, iirpeak, lfilter, resample_poly, sosfilt

from cuetrack.speech.clips import finish
from cuetrack.speech.engines import open_engine
from cuetrack.speech.voices import find_voice

RATE = 48_000
SUNG_RATE = 16_000  # of what is made of formants, for the sake of time

VOWELS = {  # rough formants of sung vowels in Hz, from memory of phonetics textbooks
    "a": (750, 1200, 2700),
    "e": (480, 1850, 2600),
    "i": (310, 2200, 2950),
    "o": (480, 850, 2650),
    "u": (330, 750, 2450),
}
WORDS = (
    "Down by the river the willow is green, the loveliest valley that ever was seen.",
    "Carry me over the hill and the sea, somebody's waiting at home there for me.",
)
SCALE = np.array([0, 2, 4, 5, 7, 9, 11])
CHORDS = ((0, 2, 4), (3, 5, 7), (4, 6, 8), (5, 7, 9))


def _hz(tonic_hz, degree):
    octave, step = divmod(degree, 7)
    return tonic_hz * 2 ** (octave + SCALE[step] / 12)


def _sung(pitch_hz, vowel, seconds, chance):
    """A vowel on a pitch, with vibrato that comes in late and a soft beginning."""
    at = np.arange(int(seconds * SUNG_RATE)) / SUNG_RATE
    rate, depth = chance.uniform(4.8, 6), chance.uniform(0.006, 0.016)
    wobble = depth * np.minimum(at / 0.4, 1) * np.sin(2 * np.pi * rate * at)
    phase = 2 * np.pi * np.cumsum(pitch_hz * (1 + wobble)) / SUNG_RATE
    count = int(6500 / pitch_hz)
    raw = sum(np.cos(n * phase + n * n) / n**1.2 for n in range(1, count))
    hz_shift = chance.uniform(0.93, 1.07)  # a longer or shorter head
    formed = sum(
        lfilter(*iirpeak(hz * hz_shift, 7, fs=SUNG_RATE), raw) for hz in VOWELS[vowel]
    )
    swell = np.minimum(1, np.minimum(at / 0.05, at[::-1] / 0.08))
    return swell * formed / np.std(formed)


def _placed(frames, notes, rate):
    """Notes, each a start in seconds and a sound, on a track of ``rate``."""
    track = np.zeros(frames * rate // RATE + rate)
    for start_s, sound in notes:
        low = round(start_s * rate)
        part = sound[: max(len(track) - low, 0)]
        track[low : low + len(part)] += part
    return resample_poly(track, RATE // rate, 1)[:frames]


def _melody(seconds, beat_s, chance):
    """Pairs of start and end, with a degree of the scale that wanders."""
    start, degree = 0.0, 0
    while start < seconds:
        lasts = beat_s * chance.choice([0.5, 1, 1, 1.5, 2])
        degree = int(np.clip(degree + chance.integers(-2, 3), -3, 7))
        yield start, lasts, degree
        start += lasts


def solo(frames, side, seed=101):
    """One singer on vowels, near, over a soft bass."""
    chance = np.random.default_rng(seed)
    vowels = cycle(chance.permutation(list(VOWELS)))
    notes = [
        (start, _sung(_hz(233, degree), vowel, lasts, chance))
        for (start, lasts, degree), vowel in zip(
            _melody(frames / RATE, 0.5, chance), vowels, strict=False
        )
    ]
    at = np.arange(frames) / RATE
    bass = 0.4 * np.sin(2 * np.pi * 87 * at + 0.4 * side)
    return _placed(frames, notes, SUNG_RATE) + bass * (1 + np.sin(2 * np.pi * at)) / 2


def chorale(frames, side, seed=211):
    """Four parts on slow chords, each singer with a vowel and a vibrato of its own."""
    chance = np.random.default_rng(seed + side)
    notes = []
    for number, start in enumerate(np.arange(0, frames / RATE, 1.2)):
        chord = CHORDS[(number * 3 + number // 4) % 4]
        vowel = list(VOWELS)[(number * 2) % 5]
        for part, tonic in zip((*chord, chord[0]), (98, 131, 196, 262), strict=True):
            pitch = _hz(tonic, part) * chance.normal(1, 0.003)
            notes.append((start, _sung(pitch, vowel, 1.25, chance)))
    return np.tanh(_placed(frames, notes, SUNG_RATE) / 3)


def _plucked(pitch_hz, seconds, chance):
    """A string by a delay line that loses its top (Karplus and Strong, 1983)."""
    period = round(RATE / pitch_hz)
    push = np.zeros(int(seconds * RATE))
    push[:period] = chance.uniform(-1, 1, period)
    loop = np.zeros(period + 2)
    loop[0], loop[period], loop[period + 1] = 1, -0.498, -0.498
    return lfilter([1], loop, push)


def guitar(frames, side, seed=307):
    """Broken chords on plucked strings, eight notes to the bar."""
    chance = np.random.default_rng(seed)
    strings = {}
    notes = []
    for number, start in enumerate(np.arange(0, frames / RATE, 0.22)):
        chord = CHORDS[number // 8 % 4]
        degree = (chord[0] - 7, *chord, chord[0] + 7)[
            (0, 2, 3, 4, 3, 2, 3, 1)[number % 8]
        ]
        if degree not in strings:
            strings[degree] = _plucked(_hz(147, degree), 2.2, chance)
        weight = 0.8 + 0.2 * np.cos(number + side)
        notes.append((start, weight * strings[degree]))
    return np.tanh(1.2 * _placed(frames, notes, RATE))


def dance(frames, side, seed=401):
    """Kick on every beat, stabs of bright chords between, a bass; squashed."""
    chance = np.random.default_rng(seed)
    beat_s = 60 / 126
    at = np.arange(int(beat_s * RATE)) / RATE
    kick = np.sin(2 * np.pi * 48 * at + 9 * np.exp(-at * 50)) * np.exp(-at * 9)
    hat = sosfilt(
        butter(2, 6500, "highpass", fs=RATE, output="sos"), chance.normal(size=len(at))
    )
    hat = 0.3 * np.roll(hat * np.exp(-at * 60), len(at) // 2)
    notes = []
    for number, start in enumerate(np.arange(0, frames / RATE, beat_s)):
        notes.append((start, 1.5 * kick + hat))
        for degree in CHORDS[number // 4 % 4]:
            pitch = _hz(220, degree) * (1 + 0.002 * side)
            saw = sum(np.sin(2 * np.pi * n * pitch * at + n) / n for n in range(1, 30))
            stab = 0.4 * saw * np.exp(-at * 9)
            notes += [(start + late * beat_s, stab) for late in (0.25, 0.75)]
        low = _hz(55, CHORDS[number // 4 % 4][0])
        notes.append((start + beat_s / 2, 0.8 * np.sin(2 * np.pi * low * at)))
    return np.tanh(1.3 * _placed(frames, notes, RATE))


@cache
def _read(text):
    samples = finish(open_engine(find_voice(None, "en")).render(text)).samples
    return resample_poly(np.asarray(samples, float), SUNG_RATE, RATE)


def song(frames, side, seed=503, strum=0.35):
    """Sung words: a verse read out drives the bands of a sung tone, over a guitar."""
    chance = np.random.default_rng(seed)
    verse = np.concatenate([_read(text) for text in chance.permutation(WORDS)])
    length = frames * SUNG_RATE // RATE + 1
    verse = np.resize(np.concatenate([verse, np.zeros(SUNG_RATE // 2)]), length)
    tone = np.zeros(length + 2 * SUNG_RATE)
    for start, lasts, degree in _melody(length / SUNG_RATE, 0.45, chance):
        at = np.arange(int(lasts * SUNG_RATE)) / SUNG_RATE
        pitch = _hz(196, degree)
        phase = 2 * np.pi * pitch * at + 0.08 * np.sin(2 * np.pi * 5.5 * at)
        low = int(start * SUNG_RATE)
        part = sum(np.cos(n * phase + n * n) for n in range(1, int(7500 / pitch)))
        tone[low : low + len(part)] += part
    edges = np.geomspace(120, 7600, 19)
    sung = np.zeros(length)
    for low, high in pairwise(edges):
        band = butter(2, (low, high), "bandpass", fs=SUNG_RATE, output="sos")
        follow = butter(2, 25, fs=SUNG_RATE, output="sos")
        swell = np.maximum(sosfilt(follow, np.abs(hilbert(sosfilt(band, verse)))), 0)
        carried = sosfilt(band, tone[:length])
        sung += swell * carried / (np.std(carried) + 1e-9)
    voice = resample_poly(sung / np.std(sung), RATE, SUNG_RATE)[:frames]
    strings = guitar(frames, side, seed + 1)
    return np.tanh(0.5 * (voice + strum * strings / np.std(strings)))


SONGS = {
    "solo": solo,
    "chorale": chorale,
    "guitar": guitar,
    "dance": dance,
    "song": song,
}
