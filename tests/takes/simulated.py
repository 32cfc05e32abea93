"""Takes as a phone records them, with everything about them known.

Speech engines read; what a reader does wrong, the room, the hum of the mains, noise
and levels are put in on purpose and written down as the truth.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt
import soxr
from scipy.signal import butter, fftconvolve, sosfilt

from cuetrack.times import SAMPLE_RATE_HZ, frames_from_ms
from tests.verification.rooms import stored_places

if TYPE_CHECKING:
    from collections.abc import Sequence

    from cuetrack.speech.model import Speaker

Sound = npt.NDArray[np.float32]

NEAR = 0.1
"""A phone at arm's length: what comes back from the room is 20 dB weaker than at
four metres, as the direct sound is that much stronger."""


@dataclass(frozen=True, kw_only=True)
class Said:
    """One thing that is said: of a line, or of none; then a pause.

    ``good`` says that it is the whole line and nothing else. ``gain_db`` is how much
    louder it is said than the rest. A breath is taken at each ``|`` of the text; a
    text of nothing is a knock.
    """

    line: str | None
    text: str
    pause_ms: int = 900
    good: bool = True
    gain_db: float = 0.0


@dataclass(frozen=True, kw_only=True)
class Spoken:
    """Where something was said, in frames of the take at 48 kHz."""

    said: Said
    start: int
    end: int


@dataclass(frozen=True, kw_only=True)
class SimulatedTake:
    """What the phone wrote, and where everything in it truly is."""

    sound: Sound
    spoken: tuple[Spoken, ...]


@dataclass(frozen=True, kw_only=True)
class Surroundings:
    """Where a take is read.

    ``tail`` scales what the room gives back (1: four metres from the phone), of the
    room of that name; ``noise_db`` and ``hum_db`` are below the level of speech.
    """

    room: str = "carpeted room"
    tail: float = NEAR
    noise_db: float = 50.0
    hum_db: float = 65.0
    hum_hz: float = 50.0
    level_db: float = -26.0
    fading_db: float = 0.0


def read_aloud(
    script: Sequence[Said],
    speaker: Speaker,
    place: Surroundings,
    seed: int = 0,
) -> SimulatedTake:
    """Return what a phone in a place writes while a reader says all this."""
    draw = np.random.default_rng(seed)
    clips = speaker.speak(
        {part for one in script for part in one.text.split("|") if part}
    )
    parts = [np.zeros(frames_from_ms(1200), np.float32)]
    spoken, at = [], parts[0].size
    for one in script:
        if one.text:
            said = [clips[part] for part in one.text.split("|")]
            breath = np.zeros(frames_from_ms(int(draw.integers(250, 450))))
            sounds = [speaker.samples(clip.key) for clip in said]
            sound = np.concatenate([x for one in sounds for x in (one, breath)][:-1])
            sound = sound * 10 ** (one.gain_db / 20)
            start = at + said[0].speech_start
            end = at + sound.size - said[-1].frames + said[-1].speech_end
            spoken.append(Spoken(said=one, start=start, end=end))
        else:
            sound = knock(draw)
        pause = np.zeros(frames_from_ms(round(one.pause_ms * draw.uniform(0.9, 1.1))))
        parts += [sound.astype(np.float32), pause.astype(np.float32)]
        at += parts[-2].size + parts[-1].size
    dry = np.concatenate([*parts, np.zeros(frames_from_ms(800), np.float32)])
    return SimulatedTake(sound=recorded(dry, place, draw), spoken=tuple(spoken))


def recorded(dry: Sound, place: Surroundings, draw: np.random.Generator) -> Sound:
    """Return dry speech as it arrives, levelled, with the noises of the place."""
    at_phone = near_phone(dry, place)
    active = at_phone[np.abs(at_phone) > 0.03 * np.abs(at_phone).max()]
    level = float(np.sqrt(np.mean(active.astype(float) ** 2)))
    fading = np.linspace(0, -place.fading_db, at_phone.size)
    at_phone = at_phone / level * 10 ** (fading / 20)
    noise = pink(at_phone.size, draw) * 10 ** (-place.noise_db / 20)
    seconds = np.arange(at_phone.size) / SAMPLE_RATE_HZ
    hum = sum(
        np.sin(2 * np.pi * place.hum_hz * n * seconds + n) / n for n in (1, 2, 3, 5, 7)
    )
    hum = hum / np.sqrt(np.mean(hum**2)) * 10 ** (-place.hum_db / 20)
    mixed = (at_phone + noise + hum) * 10 ** (place.level_db / 20)
    return mixed.astype(np.float32)


def near_phone(dry: Sound, place: Surroundings) -> Sound:
    """Return speech with the answer of the room."""
    narrow = stored_places()[place.room].response
    direct = round(0.001 * 16_000)
    narrow = np.concatenate([narrow[:direct], narrow[direct:] * place.tail])
    answer = soxr.resample(narrow, 16_000, SAMPLE_RATE_HZ) / 3
    # Above 8 kHz no response is stored: the direct sound passes as it is.
    split = butter(4, 7500, "highpass", fs=SAMPLE_RATE_HZ, output="sos")
    treble = sosfilt(split, dry)
    low = fftconvolve(dry, answer)[: dry.size] / np.sqrt(np.sum(narrow[:direct] ** 2))
    return (low + treble).astype(np.float32)


def pink(frames: int, draw: np.random.Generator) -> Sound:
    """Return noise with as much power in every octave from 40 Hz on, RMS 1."""
    size = 1 << (frames - 1).bit_length()
    hz = np.fft.rfftfreq(size, 1 / SAMPLE_RATE_HZ)
    lines = np.fft.rfft(draw.standard_normal(size)) / np.sqrt(np.maximum(hz, 40))
    noise = np.fft.irfft(lines, size)[:frames]
    return (noise / np.sqrt(np.mean(noise**2))).astype(np.float32)


def knock(draw: np.random.Generator) -> Sound:
    """Return a door, a chair or a page: a burst that dies away."""
    frames = frames_from_ms(int(draw.integers(80, 400)))
    burst = pink(frames, draw) * np.exp(-np.arange(frames) / frames_from_ms(40))
    return (0.25 * burst).astype(np.float32)
