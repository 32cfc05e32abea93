"""What people, phones, players, editors and messengers do to a file on its way."""
# ruff: noqa: ARG001 - damages share one call

from __future__ import annotations

import tempfile
from itertools import pairwise
from pathlib import Path

import numpy as np
import soxr

from tests.benchmarks.damage_tracks import decoded, encoded
from tests.benchmarks.damaged_places import RATE, copied, damage, even, ms
from tests.verification.tracks import music


def gone_through(sound, suffix, options):
    """Return a sound as a codec of one channel gives it back, as long as it was."""
    with tempfile.TemporaryDirectory() as folder:
        path = encoded(sound, Path(folder) / f"mono{suffix}", ("-ac", "1", *options))
        back = decoded(path)[: len(sound)]
    return np.pad(back, ((0, len(sound) - len(back)), (0, 0)))


@damage(
    "sent on twice by a messenger, kbit/s",
    (10, 8, 6),
    "clarity",
    "changed",
    "coarse",
    "dull",
)
@copied
def messenger(place, size, sound):
    options = ("-c:a", "libopus", "-b:a", f"{size}k", "-application", "voip")
    for _ in range(2):
        sound = gone_through(sound, ".ogg", options)
    return sound


@damage("through a telephone line of 8 bits", (1, 2, 3), "dull", "coarse", "thin")
@copied
def telephone_line(place, size, sound):
    for _ in range(int(size)):
        sound = gone_through(sound, ".wav", ("-ar", "8000", "-c:a", "pcm_mulaw"))
    return sound


@damage("pauses shortened to, ms", (1500, 800, 400), "From ", "missing", "early")
@copied
def pauses_shortened(place, size, sound):
    rows = sorted(
        (row.start_ms, row.end_ms) for row in (*place.sheet.cues, *place.sheet.tones)
    )
    kept = np.ones(len(sound), np.bool_)
    for (_, end), (start, _) in pairwise(rows):
        kept[ms(end + size) : ms(start)] = False
    return sound[kept]


@damage("treble tilted, dB an octave", (-3, -6, 4), "dull", "thin")
@copied
def tilted(place, size, sound):
    lines = np.fft.rfft(sound, axis=0)
    hz = np.maximum(np.fft.rfftfreq(len(sound), 1 / RATE), 50)
    lines *= ((hz / 1000) ** (size / 20 / np.log10(2)))[:, None]
    return even(np.fft.irfft(lines, len(sound), axis=0).astype(np.float32))


@damage("sample rate taken for another, Hz", (47952, 44100, 32000), "slow", "look like")
@copied
def relabelled(place, size, sound):
    return soxr.resample(sound, size, RATE)


@damage(
    "ring of a telephone over a cue, dBFS",
    (-30, -24, -16),
    "covered",
    "changed",
    "did not have",
)
@copied
def ring(place, size, sound):
    first, last = place.cue()
    at = np.arange(last - first) / RATE
    pitch = np.where(np.floor(at * 20) % 2, 1150, 1400)
    bell = np.sin(2 * np.pi * np.cumsum(pitch) / RATE)
    sound[first:last] += (10 ** (size / 20) * bell)[:, None]


@damage(
    "message sound in a gap, dBFS",
    (-36, -26, -16),
    "extra",
    "planned",
    "between",
    "did not have",
)
@copied
def message_sound(place, size, sound):
    start, at = place.gap(), np.arange(RATE // 2) / RATE
    chime = sum(np.sin(2 * np.pi * hz * at) for hz in (880, 1320, 1760)) / 3
    strike = 10 ** (size / 20) * chime * np.exp(-at * 6)
    sound[start : start + at.size] += strike[:, None]


@damage("cue pasted in once more", (0, 1, 2), "From ", "too long")
@copied
def pasted(place, size, sound):
    first, last = place.cue(int(size))
    return np.insert(sound, [last], sound[first:last], axis=0)


@damage("faded in, s", (5, 10, 20), "quiet", "weaker")
@copied
def faded_in(place, size, sound):
    sound[: ms(1000 * size)] *= np.linspace(0, 1, ms(1000 * size))[:, None]


@damage("faded out, s", (5, 10, 20), "quiet", "weaker")
@copied
def faded_out(place, size, sound):
    sound[-ms(1000 * size) :] *= np.linspace(1, 0, ms(1000 * size))[:, None]


@damage(
    "folded with one side upside down",
    (1, 1, 1),
    "nothing to hear",
    "look like",
    "turned",
    "or is gone",
)
@copied
def cancelled(place, size, sound):
    if sound.shape[1] == 1:
        return 0 * sound
    side = sound[:, :1] - sound[:, 1:]
    return even(side) if side.any() else side


@damage("brought to another loudness, LUFS", (-14, -19, -23), "too loud", "too quiet")
@copied
def normalised(place, size, sound):
    return 10 ** ((size + 16) / 20) * sound


@damage(
    "compressed, to 1 of so many dB",
    (3, 6, 12),
    "covers",
    "stands",
    "covered",
    "louder against",
    "evened out",
)
@copied
def compressed(place, size, sound):
    """Loudness evened out by 50 ms, as a phone or a radio does."""
    width = ms(50)
    power = np.convolve(np.square(sound).mean(axis=1), np.ones(width) / width, "same")
    level_db = 10 * np.log10(np.maximum(power, 1e-6))
    gain_db = np.maximum(-level_db - 18, -20) * (1 - 1 / size)
    return even((sound * 10 ** (gain_db / 20)[:, None]).astype(np.float32))


@damage(
    "voice taken out of the middle",
    (0.8, 0.9, 1),
    "look like",
    "missing",
    "nothing",
    "too quiet",
)
@copied
def voice_out(place, size, sound):
    return sound - size * sound.mean(axis=1, keepdims=True)


@damage("player sticks, ms again", (100, 300, 1000), "From ", "inserted", "late")
@copied
def stuck(place, size, sound):
    first, last = place.cue()
    at = (first + last) // 2
    return np.insert(sound, [at], sound[at - ms(size) : at], axis=0)


@damage(
    "next song comes in early, s",
    (3, 6, 12),
    "covers",
    "covered",
    "stands",
    "planned",
    "did not have",
)
@copied
def next_song(place, size, sound):
    tail = ms(1000 * size)
    song = music(tail, 23, 0) * np.linspace(0, 1, tail)
    sound[-tail:] = sound[-tail:] * np.linspace(1, 0.3, tail)[:, None] + song[:, None]


@damage("one side quieter, dB", (6, 12, 24), "side")
@copied
def balance(place, size, sound):
    if sound.shape[1] == 1:
        sound = np.repeat(sound, 2, axis=1)
    return even((sound * np.array([1, 10 ** (-size / 20)])).astype(np.float32))
