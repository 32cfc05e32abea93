"""What verification catches and what it leaves: a table of damages, and one of makes.

Run it by hand: ``python -m tests.benchmarks.damages``. It makes four short tracks
(speech alone, over a bed of our own, over a dense tune, another voice with tones),
damages each in over sixty ways at three sizes, stores them in three formats, and
prints for each kind how many were caught, and how many under the right name. Then
come tracks with nothing wrong, in all formats and at low rates: none may be
complained of. ``--quick`` takes one track, one format and the middle size.
"""
# ruff: noqa: ARG001, T201 - damages share one call, and printing is what it is for

from __future__ import annotations

import argparse
import re
import subprocess
import tempfile
import time
from collections import Counter, defaultdict
from collections.abc import Callable
from dataclasses import dataclass
from itertools import pairwise, product
from pathlib import Path
from typing import TYPE_CHECKING

import imageio_ffmpeg
import numpy as np
import soundfile
import soxr
from msgspec import structs
from scipy.signal import butter, lfilter, sosfilt

from cuetrack.output.track.cuefile import read_cue_file
from cuetrack.speech.store import ClipStore
from cuetrack.verification import verify_track
from tests.verification.tracks import TARGET_LUFS, levelled, music

if TYPE_CHECKING:
    from cuetrack.output.track.cuefile import CueFile
    from cuetrack.verification import Report

RATE = 48_000
LEVEL = 10 ** ((-16 - TARGET_LUFS) / 20)
FORMATS = {
    "flac": (".flac", ()),
    "mp3": (".mp3", ("-b:a", "128k")),
    "opus": (".opus", ("-b:a", "96k")),
}
HONEST = {
    **FORMATS,
    "wav": (".wav", ("-c:a", "pcm_s16le")),
    "m4a": (".m4a", ("-b:a", "128k")),
    "ogg": (".ogg", ("-c:a", "libvorbis", "-q:a", "5")),
    "mp3 at 32 kbit/s": (".mp3", ("-b:a", "32k")),
    "mp3 at 64 kbit/s": (".mp3", ("-b:a", "64k")),
    "m4a at 48 kbit/s": (".m4a", ("-b:a", "48k")),
    "opus at 64 kbit/s": (".opus", ("-b:a", "64k")),
    "44.1 kHz": (".flac", ("-ar", "44100")),
    "32 kHz": (".wav", ("-ar", "32000")),
}
PLAN = """\
title: Four gentle minutes at Larkfield Hall
group: {{facts: [experienced]}}
acknowledge: {{T01: a trial, T04: a trial, T07: a trial}}
warm-up: {{for: 20 s, movements: [shoulder roll]}}
intervals: {{work: 20 s, rest: 15 s, rounds: 1, movements: [heel dig]}}
cool-down: {{for: 20 s, movements: [chest stretch]}}
{more}
"""
TRACKS = {
    "speech": "",
    "own bed": "music: {own: steady}",
    "tune": "music: {files: tune.flac, rights: my own}",
    "other voice": "voice: espeak-en\ncounting: tones",
}


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

    def gap(self, frames=RATE):
        """First frame of a stretch with no cue and no tone."""
        rows = sorted(
            (row.start_ms, row.end_ms) for row in (*self.sheet.cues, *self.sheet.tones)
        )
        for (_, end), (start, _) in pairwise(rows[5:]):
            if start - end > min(frames / 48 + 600, 4000):
                return round(end * 48) + RATE // 4
        return len(self.sound) // 2


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


# Pieces of single cues.


@damage("hole in a word, ms", (60, 100, 200), "broken", "cut short")
@copied
def hole(place, size, sound):
    faded(sound, *place.word(ms(size)))


@damage("word turned down to -20 dB, ms", (80, 150, 300), "broken", "cut short")
@copied
def turned_down(place, size, sound):
    faded(sound, *place.word(ms(size)), gain=0.1)


@damage("end of a cue cut off, ms", (150, 250, 500), "cut short")
@copied
def end_off(place, size, sound):
    _, last = place.cue()
    faded(sound, last - ms(size), last + ms(60))


@damage("start of a cue cut off, ms", (150, 250, 500), "cut short", "missing", "first")
@copied
def start_off(place, size, sound):
    first, _ = place.cue()
    faded(sound, first - ms(60), first + ms(size))


@damage(
    "cue faded out from its middle, dB", (20, 40, 60), "cut short", "broken", "quiet"
)
@copied
def fade_out(place, size, sound):
    first, last = place.cue()
    middle = (first + last) // 2
    sound[middle:last] *= 10 ** (-np.linspace(0, size, last - middle) / 20)[:, None]


@damage("piece played backwards, ms", (150, 300, 600), "changed", "broken")
@copied
def backwards(place, size, sound):
    at, end = place.word(ms(size))
    sound[at:end] = sound[at:end][::-1]


@damage("piece of another cue in its place, ms", (150, 300, 600), "changed", "broken")
@copied
def other_piece(place, size, sound):
    at, end = place.word(ms(size))
    other, _ = place.word(ms(size), number=1)
    sound[at:end] = place.sound[other : other + end - at]


@damage("syllable said twice, ms", (100, 200, 400), "changed", "broken")
@copied
def stutter(place, size, sound):
    at, end = place.word(ms(size))
    sound[at : at + (end - at)] = place.sound[2 * at - end : at]


@damage("click in a word, times full scale", (0.5, 0.8, 1.0), "click")
@copied
def click(place, size, sound):
    at, _ = place.word(ms(100))
    sound[at + 960 : at + 964] += size


@damage("crackle in a cue, clicks", (3, 10, 30), "click", "covered", "changed")
@copied
def crackle(place, size, sound):
    first, last = place.cue()
    at = np.random.default_rng(place.seed).integers(first, last, int(size))
    sound[at] += 0.8


@damage(
    "dropouts of 20 ms in a cue, how many", (4, 8, 12), "broken", "cut short", "changed"
)
@copied
def dropouts(place, size, sound):
    first, last = place.cue()
    for at in np.linspace(first + 2000, last - 3000, int(size)).astype(int):
        sound[at : at + ms(20)] = 0


@damage("dropouts of 50 ms all along, a minute", (10, 30, 60), "broken", "cut short")
@copied
def many_dropouts(place, size, sound):
    count = int(size * len(sound) / RATE / 60)
    for at in np.random.default_rng(place.seed).integers(0, len(sound) - 4800, count):
        faded(sound, at, at + ms(70))


@damage("cue replaced by silence at -60 dB", (1, 2, 3), "missing")
@copied
def silent_cue(place, size, sound):
    for number in range(int(size)):
        first, last = place.cue(number)
        sound[first:last] = noise((last - first, 1), -60)


@damage("two cues swapped", (1, 2, 3), "other words", "changed", "cut", "missing")
@copied
def swapped(place, size, sound):
    (first, last), (other, end) = place.cue(int(size)), place.cue(int(size) + 1)
    length = min(last - first, end - other)
    sound[first : first + length] = place.sound[other : other + length]
    sound[other : other + length] = place.sound[first : first + length]


@damage("cue moved, ms", (5, 80, 800), "moved")
@copied
def moved(place, size, sound):
    first, last = place.cue()
    piece = place.sound[first:last].copy()
    sound[first:last] = 0
    sound[first + ms(size) : first + ms(size) + len(piece)] += piece


@damage("cue stretched, %", (1, 3, 10), "missing", "moved", "changed", "cut", "broken")
@copied
def stretched(place, size, sound):
    first, last = place.cue()
    slow = soxr.resample(place.sound[first:last], RATE, RATE * (1 + size / 100))
    sound[first : first + len(slow)] = slow


@damage("cue at another level, dB", (-6, -10, 6), "too quiet", "too loud")
@copied
def cue_level(place, size, sound):
    first, last = place.cue()
    sound[first:last] *= 10 ** (size / 20)


@damage("cue muffled, Hz", (1000, 700, 400), "too quiet", "changed", "dull", "missing")
@copied
def muffled(place, size, sound):
    first, last = place.cue()
    sound[first:last] = filtered(sound[first:last], "lowpass", size, 4)


@damage(
    "cue through a telephone, from Hz", (800, 1200, 1800), "thin", "quiet", "missing"
)
@copied
def telephone(place, size, sound):
    first, last = place.cue()
    sound[first:last] = filtered(sound[first:last], "highpass", size, 4)


@damage("echo over a cue, dB", (-10, -6, -3), "covered", "background", "changed")
@copied
def echo_cue(place, size, sound):
    first, last = place.cue()
    late = 10 ** (size / 20) * place.sound[first:last]
    sound[first + ms(150) : last + ms(150)] += late


@damage("beep over a cue, dBFS", (-30, -20, -10), "covered", "background")
@copied
def beep(place, size, sound):
    first, last = place.cue()
    at = np.arange(last - first) / RATE
    sound[first:last] += (10 ** (size / 20) * np.sin(2 * np.pi * 1000 * at))[:, None]


@damage("hiss over a cue, dBFS", (-34, -26, -20), "covered", "background")
@copied
def hiss_cue(place, size, sound):
    first, last = place.cue()
    sound[first:last] += noise((last - first, 1), size)


@damage("another voice over a cue, dB", (-12, -6, 0), "covered", "background")
@copied
def talked_over(place, size, sound):
    first, last = place.cue()
    other, end = place.cue(1)
    length = min(last - first, end - other)
    sound[first : first + length] += (
        10 ** (size / 20) * place.sound[other + 2400 : other + 2400 + length]
    )


@damage("tone doubled, ms later", (150, 300, 600), "twice", "extra", "nothing", "moved")
@copied
def doubled_tone(place, size, sound):
    row = place.sheet.tones[1]
    first, last = round(row.start_ms * 48), round(row.end_ms * 48)
    sound[first + ms(size) : last + ms(size)] += place.sound[first:last]


@damage("tone taken out", (0, 1, 2), "missing")
@copied
def tone_out(place, size, sound):
    row = place.sheet.tones[int(size)]
    faded(sound, round(row.start_ms * 48), round(row.end_ms * 48))


@damage("tone moved, ms", (5, 50, 200), "moved", "missing")
@copied
def tone_moved(place, size, sound):
    row = place.sheet.tones[1]
    first, last = round(row.start_ms * 48), round(row.end_ms * 48)
    piece = place.sound[first:last].copy()
    sound[first:last] = 0
    sound[first + ms(size) : last + ms(size)] += piece


@damage("cue said again in a gap, dB", (-12, -6, 0), "extra", "planned", "twice")
@copied
def extra_cue(place, size, sound):
    first, last = place.cue()
    at = place.gap(last - first)
    sound[at : at + last - first] += 10 ** (size / 20) * place.sound[first:last]


@damage("foreign sound in a gap, dBFS", (-40, -30, -20), "extra", "planned")
@copied
def foreign(place, size, sound):
    at = place.gap()
    steps = np.arange(RATE // 2) / RATE
    sweep = np.sin(2 * np.pi * (300 * steps + 1500 * steps**2))
    sound[at : at + steps.size] += (10 ** (size / 20) * sweep)[:, None]


# The whole file.


@damage("white noise, dBFS", (-40, -30, -24), "noise")
@copied
def white(place, size, sound):
    return sound + noise(sound.shape, size)


@damage("pink noise, dBFS", (-40, -30, -24), "noise", "covers", "stands only")
@copied
def pink(place, size, sound):
    hiss = lfilter(
        [0.049922, -0.095993, 0.050613, -0.004408],
        [1, -2.494956, 2.017266, -0.522189],
        noise(sound.shape, 0),
        axis=0,
    )
    return sound + hiss * 10 ** (size / 20) / hiss.std()


@damage("hum of 50 Hz, dBFS", (-40, -30, -20), "hum", "noise", "planned")
@copied
def hum(place, size, sound):
    at = np.arange(len(sound)) / RATE
    return sound + (10 ** (size / 20) * np.sin(2 * np.pi * 50 * at))[:, None]


@damage("constant offset", (0.01, 0.05, 0.2), "offset", "peak", "planned")
@copied
def offset(place, size, sound):
    return sound + size


@damage("clipped, dB", (3, 6, 12), "clipped")
@copied
def clipped(place, size, sound):
    voice = max(
        np.abs(sound[round(row.start_ms * 48) : round(row.end_ms * 48)]).max()
        for row in place.sheet.cues
    )
    top = voice * 10 ** (-size / 20)
    return even(np.clip(sound, -top, top).astype(np.float32))


@damage("driven soft, dB", (6, 12, 18), "clipped")
@copied
def driven(place, size, sound):
    gain = 10 ** (size / 20)
    return even(np.tanh(gain * sound).astype(np.float32))


@damage("too loud, dB", (1, 3, 6), "too loud", "peak")
@copied
def louder(place, size, sound):
    return sound * 10 ** (size / 20)


@damage("too quiet, dB", (1, 3, 12), "too quiet")
@copied
def quieter(place, size, sound):
    return sound * 10 ** (-size / 20)


@damage(
    "music that does not give way, dB below the voice", (20, 12, 6), "covers", "stands"
)
@copied
def other_music(place, size, sound):
    tune = music(len(sound), 21, -size)
    return even((sound + tune[:, None]).astype(np.float32))


@damage("bed up, dB", (6, 12, 18), "covers", "stands", "covered")
@copied
def bed_up(place, size, sound):
    """Raise what is not the same on both sides, as far as there is any."""
    if sound.shape[1] == 1:
        return even(sound + music(len(sound), 5, -30 + size)[:, None])
    side = (sound[:, 0] - sound[:, 1]) / 2
    more = 10 ** (size / 20) * np.roll(side, 480)
    return even((sound + more[:, None]).astype(np.float32))


@damage("echo of 150 ms, dB", (-12, -6, -3), "covers", "stands", "covered")
@copied
def echo_all(place, size, sound):
    late = 10 ** (size / 20) * np.roll(sound, ms(150), axis=0)
    return even((sound + late).astype(np.float32))


@damage("reverberation, s", (0.3, 0.8, 2.0), "covers", "stands", "covered", "changed")
@copied
def reverberant(place, size, sound):
    length = round(size * RATE)
    tail = noise(length, -32, 4) * 10 ** (-3 * np.arange(length) / length)
    wet = np.stack([_convolved(side, tail) for side in sound.T], axis=1)
    return even((sound + wet).astype(np.float32))


def _convolved(sound, tail):
    frames = sound.size + tail.size
    both = np.fft.rfft(sound, frames) * np.fft.rfft(tail, frames)
    return np.fft.irfft(both, frames)[: sound.size]


@damage("plays slow, %", (0.02, 0.1, 0.5), "too slow")
@copied
def slow(place, size, sound):
    return soxr.resample(sound, RATE, RATE * (1 + size / 100))


@damage("plays fast, %", (0.02, 0.1, 0.5), "too fast")
@copied
def fast(place, size, sound):
    return soxr.resample(sound, RATE, RATE / (1 + size / 100))


@damage("head cut off, ms", (20, 50, 300), "head of the file")
@copied
def head_off(place, size, sound):
    return sound[ms(size) :]


@damage("silence in front, ms", (20, 51, 300), "late")
@copied
def padded(place, size, sound):
    return np.pad(sound, ((ms(size), 0), (0, 0)))


@damage("silence inserted in the middle, ms", (20, 50, 500), "From ", "inserted")
@copied
def inserted(place, size, sound):
    at = place.gap()
    return np.insert(sound, [at] * ms(size), 0, axis=0)


@damage("piece taken out of the middle, ms", (20, 50, 500), "From ", "missing")
@copied
def taken_out(place, size, sound):
    at = place.gap()
    return np.delete(sound, slice(at, at + ms(size)), axis=0)


@damage("seconds taken out of the middle", (3, 10, 20), "From ", "missing", "not in it")
@copied
def seconds_out(place, size, sound):
    at = len(sound) // 2
    return np.delete(sound, slice(at, at + ms(1000 * size)), axis=0)


@damage("half a file, share", (0.3, 0.5, 0.7), "ends at")
@copied
def half(place, size, sound):
    return sound[: round(size * len(sound))]


@damage("tail cut off, s", (2, 5, 10), "ends at", "too short")
@copied
def tail_off(place, size, sound):
    return sound[: len(sound) - ms(1000 * size)]


@damage("silence behind, s", (0.5, 2, 20), "too long")
@copied
def longer(place, size, sound):
    return np.pad(sound, ((0, ms(1000 * size)), (0, 0)))


@damage(
    "other half of the class twice, s", (5, 10, 20), "too long", "From ", "inserted"
)
@copied
def repeated(place, size, sound):
    at = len(sound) // 2
    again = sound[at - ms(1000 * size) : at]
    return np.concatenate([sound[:at], again, sound[at:]])


@damage("all tones at another level, dB", (-12, 9, 12), "tones", "quiet", "loud")
@copied
def tone_level(place, size, sound):
    for row in place.sheet.tones:
        first, last = round(row.start_ms * 48), round(row.end_ms * 48)
        sound[first:last] *= 10 ** (size / 20)


@damage("all speech at another level, dB", (-10, -6, 6), "tones", "loud", "quiet")
@copied
def speech_level(place, size, sound):
    for row in place.sheet.cues:
        first, last = round(row.start_ms * 48), round(row.end_ms * 48)
        sound[first:last] *= 10 ** (size / 20)
    return even(sound.astype(np.float32))


@damage("level drifts, dB", (8, 12, 20), "quiet", "loud")
@copied
def drift(place, size, sound):
    return even(
        (sound * 10 ** (-np.linspace(0, size, len(sound)) / 20)[:, None]).astype(
            np.float32
        )
    )


@damage("one channel turned", (1, 1, 1), "turned")
@copied
def channel_turned(place, size, sound):
    if sound.shape[1] == 1:
        sound = np.repeat(sound, 2, axis=1)
    return sound * np.array([1, -1])


@damage("one channel silent", (1, 1, 1), "silent")
@copied
def channel_silent(place, size, sound):
    if sound.shape[1] == 1:
        sound = np.repeat(sound, 2, axis=1)
    return even((sound * np.array([1, 0])).astype(np.float32))


@damage(
    "one channel late, ms", (0.5, 2, 20), "moved", "changed", "covers", "late", "stands"
)
@copied
def channel_late(place, size, sound):
    if sound.shape[1] == 1:
        sound = np.repeat(sound, 2, axis=1)
    return np.stack([sound[:, 0], np.roll(sound[:, 1], ms(size))], axis=1)


@damage("all muffled, Hz", (2000, 1000, 500), "dull", "muffled", "missing", "look like")
@copied
def all_muffled(place, size, sound):
    return even(filtered(sound, "lowpass", size, 4).astype(np.float32))


@damage("all thin, from Hz", (600, 1000, 2000), "thin", "missing", "look like")
@copied
def all_thin(place, size, sound):
    return even(filtered(sound, "highpass", size, 4).astype(np.float32))


@damage(
    "eight bits and fewer", (6, 5, 4), "noise", "covers", "stands", "planned", "changed"
)
@copied
def few_bits(place, size, sound):
    steps = 2 ** (size - 1)
    return np.round(sound * steps) / steps


@damage("wow, %", (0.3, 1, 3), "moved", "missing", "changed", "broken", "look like")
@copied
def wow(place, size, sound):
    at = np.arange(len(sound))
    swing = size / 100 * RATE / (2 * np.pi * 0.8) * np.sin(2 * np.pi * 0.8 * at / RATE)
    return np.stack([np.interp(at + swing, at, side) for side in sound.T], axis=1)


@damage("pitch up by stretching, %", (1, 3, 6), "missing", "look like", "too fast")
@copied
def pitched(place, size, sound):
    quick = soxr.resample(sound, RATE, RATE / (1 + size / 100))
    return np.pad(quick, ((0, len(sound) - len(quick)), (0, 0)))


@damage("pumping, dB", (8, 12, 20), "quiet", "broken", "cut", "loud", "changed")
@copied
def pumping(place, size, sound):
    at = np.arange(len(sound)) / RATE
    dip_db = size * (0.5 + 0.5 * np.sin(2 * np.pi * at / 3))
    return even((sound * 10 ** (-dip_db / 20)[:, None]).astype(np.float32))


@damage(
    "gated below, dBFS", (-30, -24, -18), "broken", "cut short", "missing", "changed"
)
@copied
def gated(place, size, sound):
    power = np.convolve(np.square(sound.mean(axis=1)), np.ones(480) / 480, "same")
    return sound * (power > 10 ** (size / 10))[:, None]


@damage(
    "noise reduction swallows the weak, dB", (15, 25, 40), "changed", "broken", "cut"
)
@copied
def swallowed(place, size, sound):
    """Take out of every 20 ms the spectral lines under a floor."""
    window, out = np.hanning(961)[:960], np.zeros_like(sound)
    for at in range(0, len(sound) - 960, 480):
        lines = np.fft.rfft(sound[at : at + 960] * window[:, None], axis=0)
        floor = np.abs(lines).max() * 10 ** (-(45 - size) / 20)
        out[at : at + 960] += np.fft.irfft(lines * (np.abs(lines) > floor), axis=0)
    return out


@damage("another class", (1, 2, 3), "look like")
@copied
def stranger(place, size, sound):
    return np.roll(sound, ms(9000 * size), axis=0)


@damage("silent file", (1, 1, 1), "nothing to hear", "look like")
@copied
def silent(place, size, sound):
    return sound * 0


# What nobody hears: may be named, and must not fail.
HARMLESS: dict[str, Damage] = {
    "turned upside down": lambda place, _: -place.sound,
    "sides exchanged": lambda place, _: place.sound[:, ::-1],
    "folded to one channel": lambda place, _: place.sound.mean(axis=1, keepdims=True),
    "16 bits with dither": lambda place, _: (
        np.round(place.sound * 32768 + noise(place.sound.shape, -6)) / 32768
    ),
    "hiss at -75 dBFS": lambda place, _: place.sound + noise(place.sound.shape, -75),
    "rumble below 40 Hz taken out": lambda place, _: filtered(
        place.sound, "highpass", 40
    ),
    "half a decibel louder in the treble": lambda place, _: (
        place.sound + 0.06 * filtered(place.sound, "highpass", 5000, 1)
    ),
}


def make_tracks(folder: Path) -> None:
    """Make the four tracks as FLAC, with the program as a user has it."""
    sides = [music(60 * RATE, seed, 0) for seed in (11, 12)]
    tune = np.stack([0.7 * sides[0] + 0.3 * sides[1], 0.3 * sides[0] + 0.7 * sides[1]])
    soundfile.write(folder / "tune.flac", (tune / np.abs(tune).max() * 0.9).T, RATE)
    made = folder / "made"
    for name, more in TRACKS.items():
        plan = folder / f"{name.replace(' ', '-')}.yaml"
        plan.write_text(PLAN.format(more=more), encoding="utf-8")
        subprocess.run(
            [
                "python",
                "-m",
                "cuetrack",
                "make",
                plan,
                "--format",
                "flac",
                "--out",
                made,
            ],
            check=True,
            capture_output=True,
        )


def cropped(sound, sheet: CueFile) -> tuple[np.ndarray, CueFile]:
    """Return a minute and a bit of a track around its first tones, and its sheet."""
    rows = sorted((row.start_ms, row.end_ms) for row in (*sheet.cues, *sheet.tones))
    tone_ms = min(row.start_ms for row in sheet.tones)
    gaps = [
        int((end + start) / 2)
        for (_, end), (start, _) in pairwise(rows)
        if start - end > 700
    ]
    first = max(gap for gap in gaps if gap < tone_ms - 15_000)
    last = min(gap for gap in gaps if gap > first + 65_000)

    def kept(rows):
        return tuple(
            structs.replace(
                row,
                start_ms=row.start_ms - first,
                end_ms=row.end_ms - first,
                **(
                    {"beat_ms": None, "anchor_ms": None} if hasattr(row, "clip") else {}
                ),
            )
            for row in rows
            if first < row.start_ms < last
        )

    short = structs.replace(
        sheet,
        duration_ms=last - first,
        cues=kept(sheet.cues),
        tones=kept(sheet.tones),
        segments=(),
    )
    return even(sound[ms(first) : ms(last)].astype(np.float32)), short


def encoded(sound, folder: Path, suffix: str, options: tuple[str, ...]) -> Path:
    """Store a sound as a file of one format."""
    source = folder / "source.wav"
    soundfile.write(source, sound.astype(np.float32), RATE, subtype="FLOAT")
    path = folder / f"damaged{suffix}"
    program = imageio_ffmpeg.get_ffmpeg_exe()
    command = [program, "-y", "-loglevel", "error", "-i", str(source), *options]
    subprocess.run([*command, str(path)], check=True)
    return path


def words_of(report: Report) -> str:
    """All that a report says is wrong, in one string."""
    rows = [f"{row.verdict}: {row.note}" for row in report.rows if row.note]
    checks = [check.sentence for check in report.checks if check.passed is not True]
    return "\n".join([report.headline, *rows, *checks])


def run_damages(places, formats, sizes, folder: Path, only: str) -> None:
    """Print how many of each kind were caught, and named rightly."""
    store = ClipStore()
    totals: Counter[str] = Counter()
    print(f"{'damage':45} {'size':>6}  caught named of")
    for name, (function, all_sizes, words) in DAMAGES.items():
        if not re.search(only, name):
            continue
        for number in sizes:
            size, counts, missed = all_sizes[number], Counter(), defaultdict(list)
            for (track, place), form in product(places.items(), formats):
                path = encoded(function(place, size), folder, *FORMATS[form])
                report = verify_track(path, place.sheet, store)
                caught = not report.passed
                named = caught and any(word in words_of(report) for word in words)
                counts.update(caught=caught, named=named, all=1)
                if not named:
                    missed["misnamed" if caught else "missed"].append(f"{track}/{form}")
            totals.update(counts)
            more = "; ".join(f"{kind} {', '.join(at)}" for kind, at in missed.items())
            print(
                f"{name:45} {size:6g}  {counts['caught']:4} {counts['named']:5} "
                f"{counts['all']:4}  {more}",
                flush=True,
            )
    print(f"together: {dict(totals)} of {len(DAMAGES)} kinds")


def run_honest(places, folder: Path) -> None:
    """Print what is complained of where nothing is wrong."""
    store = ClipStore()
    alarms = total = 0
    for track, place in places.items():
        kinds = [(name, place.sound, *form) for name, form in HONEST.items()]
        kinds += [
            (f"{name}, {form}", function(place, 0), *FORMATS[form])
            for name, function in HARMLESS.items()
            for form in ("flac", "mp3")
        ]
        for name, sound, suffix, options in kinds:
            path = encoded(sound, folder, suffix, options)
            report = verify_track(path, place.sheet, store)
            total += 1
            if not report.passed:
                alarms += 1
                print(f"false alarm: {track}, {name}: {report.headline}", flush=True)
    print(f"{alarms} false alarms in {total} honest files")


def main() -> None:
    """Print both tables."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--folder", type=Path, help="keeps the tracks between runs")
    parser.add_argument("--quick", action="store_true")
    parser.add_argument("--only", default="", help="kinds with this in their name")
    parser.add_argument("--honest", action="store_true", help="only what is not wrong")
    arguments = parser.parse_args()
    start = time.monotonic()
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        kept = arguments.folder or folder
        if not (kept / "made").exists():
            make_tracks(kept)
        places = {}
        for seed, track in enumerate(TRACKS):
            stem = kept / "made" / track.replace(" ", "-")
            sound, _ = soundfile.read(stem.with_suffix(".flac"), always_2d=True)
            sound, sheet = cropped(sound, read_cue_file(stem.with_suffix(".cues.json")))
            places[track] = Place(sheet=sheet, sound=sound, seed=seed)
        if not arguments.only:
            run_honest(places, folder)
        if arguments.quick:
            quick = {"own bed": places["own bed"]}
            run_damages(quick, ["mp3"], [1], folder, arguments.only)
        elif not arguments.honest:
            run_damages(places, list(FORMATS), [0, 1, 2], folder, arguments.only)
    print(f"{time.monotonic() - start:.0f} s")


if __name__ == "__main__":
    main()
