"""What can happen to single cues and tones, each in three sizes."""

from __future__ import annotations

import numpy as np
import soxr

from tests.benchmarks.damaged_places import (
    RATE,
    copied,
    damage,
    faded,
    filtered,
    ms,
    noise,
)


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
    "dropouts of 20 ms in a cue, how many",
    (4, 8, 12),
    "broken",
    "cut short",
    "changed",
    "missing at",
)
@copied
def dropouts(place, size, sound):
    first, last = place.cue()
    for at in np.linspace(first + 2000, last - 3000, int(size)).astype(int):
        sound[at : at + ms(20)] = 0


@damage(
    "dropouts of 50 ms all along, a minute",
    (10, 30, 60),
    "broken",
    "cut short",
    "missing at",
)
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


@damage(
    "cue muffled, Hz",
    (1000, 700, 400),
    "too quiet",
    "changed",
    "dull",
    "missing",
    "late",
)
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


@damage(
    "beep over a cue, dBFS", (-30, -20, -10), "covered", "background", "did not have"
)
@copied
def beep(place, size, sound):
    first, last = place.cue()
    at = np.arange(last - first) / RATE
    sound[first:last] += (10 ** (size / 20) * np.sin(2 * np.pi * 1000 * at))[:, None]


@damage(
    "hiss over a cue, dBFS", (-34, -26, -20), "covered", "background", "did not have"
)
@copied
def hiss_cue(place, size, sound):
    first, last = place.cue()
    sound[first:last] += noise((last - first, 1), size)


@damage(
    "another voice over a cue, dB",
    (-12, -6, 0),
    "covered",
    "background",
    "did not have",
)
@copied
def talked_over(place, size, sound):
    first, last = place.cue()
    other, end = place.cue(1)
    length = min(last - first, end - other)
    sound[first : first + length] += (
        10 ** (size / 20) * place.sound[other + 2400 : other + 2400 + length]
    )


@damage("tone doubled, ms later", (150, 300, 600), "once more", "moved")
@copied
def doubled_tone(place, size, sound):
    row = place.sheet.tones[1]
    first, last = round(row.start_ms * 48), round(row.end_ms * 48)
    sound[first + ms(size) : last + ms(size)] += place.sound[first:last]


@damage("tone taken out", (0, 1, 2), "missing")
@copied
def tone_out(place, size, sound):
    row = place.sheet.tones[int(size) % len(place.sheet.tones)]
    faded(sound, round(row.start_ms * 48), round(row.end_ms * 48))


@damage("tone moved, ms", (5, 50, 200), "moved", "missing")
@copied
def tone_moved(place, size, sound):
    row = place.sheet.tones[1]
    first, last = round(row.start_ms * 48), round(row.end_ms * 48)
    piece = place.sound[first:last].copy()
    sound[first:last] = 0
    sound[first + ms(size) : last + ms(size)] += piece


@damage(
    "cue said again in a gap, dB",
    (-12, -6, 0),
    "extra",
    "planned",
    "twice",
    "did not have",
)
@copied
def extra_cue(place, size, sound):
    first, last = place.cue()
    at = place.gap()
    sound[at : at + last - first] += 10 ** (size / 20) * place.sound[first:last]


@damage(
    "foreign sound in a gap, dBFS", (-40, -30, -20), "extra", "planned", "did not have"
)
@copied
def foreign(place, size, sound):
    at = place.gap()
    steps = np.arange(RATE // 2) / RATE
    sweep = np.sin(2 * np.pi * (300 * steps + 1500 * steps**2))
    sound[at : at + steps.size] += (10 ** (size / 20) * sweep)[:, None]
