"""What can happen to a whole file, each in three sizes, and what does no harm."""
# ruff: noqa: ARG001 - damages share one call

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import soxr
from scipy.signal import lfilter

from tests.benchmarks.damaged_places import (
    RATE,
    copied,
    damage,
    even,
    filtered,
    ms,
    noise,
)
from tests.verification.tracks import music

if TYPE_CHECKING:
    from tests.benchmarks.damaged_places import Damage


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
    "music that does not give way, dB below the voice",
    (20, 12, 6),
    "covers",
    "stands",
    "did not have",
)
@copied
def other_music(place, size, sound):
    tune = music(len(sound), 21, -size)
    return even((sound + tune[:, None]).astype(np.float32))


@damage(
    "bed up, dB",
    (6, 12, 18),
    "covers",
    "stands",
    "covered",
    "did not have",
    "louder against",
)
@copied
def bed_up(place, size, sound):
    """Raise what is not the same on both sides, as far as there is any."""
    if sound.shape[1] == 1:
        return even(sound + music(len(sound), 5, -30 + size)[:, None])
    side = (sound[:, 0] - sound[:, 1]) / 2
    more = 10 ** (size / 20) * np.roll(side, 480)
    return even((sound + more[:, None]).astype(np.float32))


@damage("echo of 150 ms, dB", (-12, -6, -3), "An echo")
@copied
def echo_all(place, size, sound):
    late = 10 ** (size / 20) * np.roll(sound, ms(150), axis=0)
    return even((sound + late).astype(np.float32))


@damage("reverberation, s", (0.3, 0.8, 2.0), "as in a hall")
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


@damage("one channel late, ms", (0.5, 2, 20), "after the other")
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
    "eight bits and fewer",
    (6, 5, 4),
    "noise",
    "covers",
    "stands",
    "planned",
    "changed",
    "coarse",
)
@copied
def few_bits(place, size, sound):
    steps = 2 ** (size - 1)
    return np.round(sound * steps) / steps


@damage("wow, %", (0.3, 1, 3), "wavers")
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
    "noise reduction swallows the weak, dB",
    (15, 25, 40),
    "changed",
    "broken",
    "cut",
    "missing",
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


@damage("end in front of the start, s", (9, 18, 27), "starts with what belongs")
@copied
def turned_round(place, size, sound):
    return np.roll(sound, ms(1000 * size), axis=0)


@damage("another class", (1, 2, 3), "look like")
@copied
def stranger(place, size, sound):
    """Cut the sound into pieces shorter than a word, and put them in any order."""
    length = ms(120 * size)
    pieces = np.split(sound[: len(sound) // length * length], len(sound) // length)
    return np.concatenate(
        [pieces[n] for n in np.random.default_rng(9).permutation(len(pieces))]
    )


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
