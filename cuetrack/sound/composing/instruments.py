"""Instruments with pitch: plucked, struck and swelling sounds, made from partials.

A plucked string or a struck bar sounds as a sum of partials, each dying away at its
own pace; a pad as a few slightly detuned voices that swell. Ratios and decays follow
the acoustics of the instrument each is named after (N. H. Fletcher and T. D. Rossing,
The Physics of Musical Instruments, 2nd edition, 1998: strings 2.7, marimba and
vibraphone 19.3 to 19.5; from memory); levels were set by looking at spectra. All are
held back between 500 and 3000 Hz, where speech is.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from scipy.signal import sosfilt

from cuetrack.sound.loudness import ratio
from cuetrack.times import SAMPLE_RATE_HZ, frames_from_ms

if TYPE_CHECKING:
    from cuetrack.arrays import Samples

_A4 = 69
_SIXTY_DB = math.log(1000.0)
_HIGHEST_HZ = 12_000.0
_EVEN_FRAMES = frames_from_ms(400)  # about as long as the ear gathers loudness
_OUT_FRAMES = frames_from_ms(60)
_NOTE_RMS = 0.1

SPEECH_DIP_HZ = 1300.0
SPEECH_DIP_DB = -5.0
_SPEECH_DIP_WIDTH = 0.5  # the quality of the filter: about 500 to 3000 Hz


@dataclass(frozen=True, slots=True, kw_only=True)
class Struck:
    """A sound that dies away.

    ``partials`` are (ratio to the pitch, level in dB, seconds to die away by 60 dB
    at 220 Hz); higher notes die away sooner. ``softening_db`` is how much darker a
    partial twice as high gets when struck softest. ``knock_db`` is the noise of the
    stroke around ``knock_hz``. ``tremble_hz`` makes it swell and sink.
    """

    partials: tuple[tuple[float, float, float], ...]
    attack_ms: float = 2.0
    softening_db: float = 5.0
    knock_db: float | None = None
    knock_hz: float = 900.0
    tremble_hz: float = 0.0
    tremble: float = 0.0
    release_ms: int = 140


@dataclass(frozen=True, slots=True, kw_only=True)
class Swelling:
    """A sound that swells and stays: ``voices`` detuned by up to ``cents``."""

    levels_db: tuple[float, ...]
    voices: int = 3
    cents: float = 6.0
    attack_ms: float = 350.0
    seconds: float = 9.0
    release_ms: int = 700


Timbre = Struck | Swelling


def _string(
    pluck: float, seconds: float, count: int = 10
) -> tuple[tuple[float, float, float], ...]:
    """Return the partials of a string plucked at a share of its length.

    Their amplitudes are those of an ideal string let go, sin(n pi p) / n^2, made
    brighter by the finger; their decay grows with the square of their number.
    """
    found = []
    for n in range(1, count + 1):
        amplitude = abs(math.sin(n * math.pi * pluck)) / n**1.25
        if amplitude > 1e-3:
            level_db = 20 * math.log10(amplitude / math.sin(math.pi * pluck))
            stiff = n * math.sqrt(1 + 4e-5 * n * n)
            found.append((stiff, level_db, seconds / (1 + 0.03 * (n * n - 1))))
    return tuple(found)


TIMBRES: dict[str, Timbre] = {
    "guitar": Struck(
        partials=_string(0.21, 3.4), knock_db=-26, knock_hz=400, softening_db=6
    ),
    "harp": Struck(partials=_string(0.38, 4.2, 8), attack_ms=3, softening_db=4),
    "keys": Struck(
        partials=(
            (1.0, 0.0, 4.5),
            (2.001, -12.0, 3.0),
            (3.003, -18.0, 1.8),
            (4.0, -26.0, 1.0),
            (7.1, -25.0, 0.35),
        ),
        attack_ms=3,
        softening_db=7,
        tremble_hz=4.2,
        tremble=0.08,
    ),
    "marimba": Struck(
        partials=((1.0, 0.0, 1.5), (3.99, -12.0, 0.5), (9.9, -26.0, 0.18)),
        knock_db=-20,
        knock_hz=350,
        release_ms=220,
    ),
    "vibes": Struck(
        partials=((1.0, 0.0, 5.0), (4.0, -14.0, 2.2), (10.1, -28.0, 0.5)),
        tremble_hz=4.8,
        tremble=0.22,
        release_ms=260,
    ),
    "kalimba": Struck(
        partials=((1.0, 0.0, 2.2), (2.0, -22.0, 1.2), (5.8, -26.0, 0.25)),
        knock_db=-24,
        knock_hz=300,
        release_ms=220,
    ),
    "round bass": Struck(
        partials=(
            (1.0, 0.0, 2.6),
            (2.0, -3.0, 2.2),
            (3.0, -9.0, 1.5),
            (4.0, -16.0, 1.0),
            (5.0, -22.0, 0.7),
            (6.0, -27.0, 0.5),
        ),
        attack_ms=6,
        knock_db=-24,
        knock_hz=180,
        softening_db=3,
        release_ms=90,
    ),
    "warm pad": Swelling(levels_db=(0.0, -7.0, -13.0, -19.0, -26.0)),
    "low pad": Swelling(levels_db=(0.0, -9.0, -18.0), cents=5.0, attack_ms=600.0),
}
"""Every voice with pitch that a style may name."""


def hertz(pitch: int) -> float:
    """Return the frequency of a key in equal temperament, A4 at 440 Hz.

    >>> hertz(57)
    220.0
    """
    return float(440.0 * 2 ** ((pitch - _A4) / 12))


def note_sound(voice: str, pitch: int, strength: float) -> Samples:
    """Return a note left to ring, shape (frames,); all are about equally loud.

    Starts and ends at nothing, without a step.
    """
    timbre = TIMBRES[voice]
    if isinstance(timbre, Struck):
        sound = _struck(timbre, hertz(pitch), strength)
    else:
        sound = _swelling(timbre, hertz(pitch))
    sound = sosfilt(_dip(), sound).astype(np.float32)
    loudest = _loudest_rms(sound)
    sound *= np.float32(_NOTE_RMS / loudest)
    return faded(sound, timbre.attack_ms, _OUT_FRAMES)


def release_frames(voice: str) -> int:
    """Return how long a note of a voice takes to end when it is let go."""
    return frames_from_ms(TIMBRES[voice].release_ms)


def faded(sound: Samples, attack_ms: float, out_frames: int) -> Samples:
    """Return a sound that starts and ends softly, along raised cosines."""
    attack = max(2, round(attack_ms * SAMPLE_RATE_HZ / 1000))
    sound[:attack] *= raised_cosine(attack)
    sound[-out_frames:] *= raised_cosine(out_frames)[::-1]
    return sound


def raised_cosine(frames: int) -> Samples:
    """Return a rise from 0 to 1, shape (frames,)."""
    steps = np.arange(frames) / max(1, frames - 1)
    return (0.5 - 0.5 * np.cos(np.pi * steps)).astype(np.float32)


def _struck(timbre: Struck, pitch_hz: float, strength: float) -> Samples:
    shorter = (220.0 / pitch_hz) ** 0.5
    longest = max(seconds for _, _, seconds in timbre.partials) * shorter
    sound = np.zeros(round(longest * SAMPLE_RATE_HZ), np.float32)
    clock = np.arange(len(sound), dtype=np.float32) / np.float32(SAMPLE_RATE_HZ)
    for number, (multiple, level_db, seconds) in enumerate(timbre.partials):
        partial_hz = pitch_hz * multiple
        if partial_hz > _HIGHEST_HZ:
            continue
        darker_db = timbre.softening_db * math.log2(multiple) * (1 - strength)
        amplitude = ratio(level_db - darker_db)
        lasting = seconds * shorter
        part = clock[: round(lasting * SAMPLE_RATE_HZ)]
        decay = np.exp(part * np.float32(-_SIXTY_DB / lasting))
        wave = np.sin(part * np.float32(2 * math.pi * partial_hz) + np.float32(number))
        sound[: len(part)] += np.float32(amplitude) * decay * wave
    if timbre.tremble:
        swell = np.cos(2 * np.pi * timbre.tremble_hz * clock)
        sound *= (1 - timbre.tremble * (0.5 - 0.5 * swell)).astype(np.float32)
    if timbre.knock_db is not None:
        knock = _knock(timbre.knock_hz) * np.float32(
            ratio(timbre.knock_db) * strength * np.abs(sound).max() * 4
        )
        sound[: len(knock)] += knock[: len(sound)]
    return sound


def _swelling(timbre: Swelling, pitch_hz: float) -> Samples:
    frames = round(timbre.seconds * SAMPLE_RATE_HZ)
    clock = np.arange(frames) / SAMPLE_RATE_HZ
    sound = np.zeros(frames)
    middle = (timbre.voices - 1) / 2
    for voice in range(timbre.voices):
        cents = timbre.cents * (voice - middle) / max(middle, 1)
        voice_hz = pitch_hz * 2 ** (cents / 1200)
        for number, level_db in enumerate(timbre.levels_db, start=1):
            if voice_hz * number > _HIGHEST_HZ:
                break
            start = 1.7 * voice + 0.9 * number + 0.05 * pitch_hz
            turns = 2 * np.pi * voice_hz * number * clock + start
            sound += ratio(level_db) * np.sin(turns)
    return sound.astype(np.float32)


def _knock(centre_hz: float) -> Samples:
    """Return the noise of a finger or mallet: 25 ms around a frequency."""
    frames = frames_from_ms(25)
    noise = np.random.default_rng(1).standard_normal(frames)
    omega = 2 * math.pi * centre_hz / SAMPLE_RATE_HZ
    alpha = math.sin(omega) / 2
    band = [alpha, 0, -alpha, 1 + alpha, -2 * math.cos(omega), 1 - alpha]
    shaped = sosfilt([[one / band[3] for one in band]], noise)
    dying = np.exp(-np.arange(frames) / (0.004 * SAMPLE_RATE_HZ))
    knock: Samples = (shaped * dying).astype(np.float32)
    return knock


def _loudest_rms(sound: Samples) -> float:
    """Return the root mean square where a note is loudest."""
    edges = range(0, max(1, len(sound) - _EVEN_FRAMES // 2), _EVEN_FRAMES // 2)
    powers = [
        float(np.mean(np.square(sound[edge : edge + _EVEN_FRAMES]))) for edge in edges
    ]
    return math.sqrt(max(powers))


def _dip() -> list[list[float]]:
    """Return the filter that holds back the range of speech.

    A peaking equaliser: R. Bristow-Johnson, Cookbook formulae for audio equalizer
    biquad filter coefficients.
    """
    omega = 2 * math.pi * SPEECH_DIP_HZ / SAMPLE_RATE_HZ
    alpha = math.sin(omega) / (2 * _SPEECH_DIP_WIDTH)
    gain = 10 ** (SPEECH_DIP_DB / 40)
    cosine = math.cos(omega)
    head = [1 + alpha * gain, -2 * cosine, 1 - alpha * gain]
    tail = [1 + alpha / gain, -2 * cosine, 1 - alpha / gain]
    return [[one / tail[0] for one in (*head, *tail)]]
