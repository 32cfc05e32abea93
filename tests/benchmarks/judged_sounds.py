"""What the judges hear: cues by the default voice over beds as loud as the voice.

The beds are those of our own, and tunes made by rule: loud and dense, each busy in
another way. Calls under `SHORTEST_S` are left out: the judges score them erratically,
some worse even as the music sinks.
"""

from __future__ import annotations

from functools import cache

import numpy as np
from scipy.signal import butter, iirpeak, lfilter, sosfilt

from cuetrack.sound.composing.bed import OwnMusic, bed_under
from cuetrack.sound.hearing.bands import spectrum
from cuetrack.sound.mixing import Event, MixPlan
from cuetrack.speech.clips import finish
from cuetrack.speech.engines import open_engine
from cuetrack.speech.voices import find_voice
from tests.benchmarks.judged_songs import SONGS
from tests.sound.composed import timeline
from tests.sound.sounds import Clips, SoundBed

RATE = 48_000
LUFS = -20.0  # that of the voice
SHORTEST_S = 0.75

WORDINGS = (
    "Stop and sit back if you feel faint or your chest is tight.",
    "Hold on to the chair with one hand, all the time.",
    "If your knee hurts, leave this one out and breathe.",
    "Do not hold your breath. Count aloud if that helps.",
    "Tell your helper now if anything feels wrong.",
    "Begin now: side taps.",
    "Start now: heel raises, both together.",
    "Next: easy march.",
    "That is half.",
    "Left foot out, and back in.",
    "Slow the arms down and let the shoulders drop.",
    "Ten seconds to go.",
    "Now rest, hands on your thighs.",
    "Last round, gently.",
)


def _chords(frames, beats, pitches, make):
    """Chords of ``beats`` beats at 120 a minute, each note made by ``make``.

    Notes come again after twelve chords.
    """
    sound = np.zeros(frames)
    step = beats * RATE // 2
    made = {}
    for number, start in enumerate(range(0, frames, step)):
        for pitch in pitches[number % len(pitches)]:
            note = (pitch, number % 12)
            if note not in made:
                made[note] = make(np.arange(step) / RATE, *note)
            sound[start : start + step] += made[note][: frames - start]
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
    make = (TUNES | SONGS)[name]
    sides = [make(frames, side) for side in (0, 1)]
    sound = np.stack(sides, axis=1).astype(np.float32)
    gain_db = LUFS - spectrum(sound).loudness_lufs
    return SoundBed(sound * np.float32(10 ** (gain_db / 20)))


@cache
def clips():
    """Every wording by the default voice, the judged ones alone."""
    engine = open_engine(find_voice(None, "en"))
    said = {text: finish(engine.render(text)).samples for text in WORDINGS}
    return Clips({k: v for k, v in said.items() if len(v) >= SHORTEST_S * RATE})


@cache
def bed_of(name, folder):
    """A bed as loud as the voice, 20 s of it before the first cue."""
    frames = 20 * RATE + sum(len(clip) + 2 * RATE for clip in clips().values())
    if name in TUNES | SONGS:
        return tune_bed(name, frames)
    class_ = timeline(("opening", 10_000), ("work", frames // 48 - 10_000 + 1))
    wanted = {part.section: OwnMusic(style=name) for part in class_.segments}
    return bed_under(class_, wanted, 90_125, folder=folder)


def mix_plan(name, folder):
    """Every cue over a bed, 2 s between them; own beds are kept in the folder."""
    events, at = [], 20 * RATE
    for key, clip in clips().items():
        events.append(Event(start_frame=at, key=key, frames=len(clip)))
        at += len(clip) + 2 * RATE
    bed = bed_of(name, folder)
    return MixPlan(length_frames=bed.length_frames, events=tuple(events), bed=bed)
