"""The four tones of the clock, made for older ears and exact to the sample.

Told apart by rhythm and direction, not by pitch alone: the tick is one short
pulse, halfway two even ones (up, then down), the stop three falling ones, the
start one long rise. Fundamentals keep within 500-1000 Hz and four harmonics end
at 4 kHz, because an older listener needs 35 dB more at 4 kHz than at 1 kHz
(JIS S 0014:2013, which is ISO 24501:2010) and a low fundamental with harmonics
also survives small loudspeakers. Every pulse glides: a matched filter finds a
glide to the sample in music, where a steady tone slips by whole periods.

Each is as loud as a spoken clip, by the same measure. Nothing here claims
conformity with ISO 24500 or ISO 24501.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt

from cuetrack.cues.model import TONE_LENGTH_MS, ToneKind
from cuetrack.speech.level import TARGET_LUFS, active_lufs
from cuetrack.times import SAMPLE_RATE_HZ, frames_from_ms

if TYPE_CHECKING:
    from cuetrack.speech.model import Samples

RAMP_MS = 15
"""Raised-cosine fade of each pulse: no click, and still a definite instant."""

HARMONIC_LEVELS_DB = (0.0, -4.0, -8.0, -12.0)
"""Level of each harmonic re the fundamental, the fundamental first."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Pulse:
    """One sounding part of a tone: its place in the tone and where it glides."""

    start_ms: int
    length_ms: int
    from_hz: float
    to_hz: float


PULSES: dict[ToneKind, tuple[Pulse, ...]] = {
    ToneKind.START: (Pulse(start_ms=0, length_ms=400, from_hz=500, to_hz=1000),),
    ToneKind.STOP: (
        Pulse(start_ms=0, length_ms=140, from_hz=1000, to_hz=860),
        Pulse(start_ms=170, length_ms=140, from_hz=800, to_hz=680),
        Pulse(start_ms=340, length_ms=160, from_hz=640, to_hz=500),
    ),
    ToneKind.HALFWAY: (
        Pulse(start_ms=0, length_ms=130, from_hz=560, to_hz=880),
        Pulse(start_ms=170, length_ms=130, from_hz=880, to_hz=560),
    ),
    ToneKind.TICK: (Pulse(start_ms=0, length_ms=120, from_hz=620, to_hz=1000),),
}


@cache
def tone(kind: ToneKind) -> Samples:
    """Return the tone as 48 kHz mono; its first frame starts the first fade.

    Returns
    -------
    Samples
        Shape (frames,), exactly ``TONE_LENGTH_MS`` long, read-only.
    """
    sound = np.zeros(frames_from_ms(TONE_LENGTH_MS[kind]))
    for pulse in PULSES[kind]:
        start = frames_from_ms(pulse.start_ms)
        wave = _wave(pulse)
        sound[start : start + len(wave)] += wave
    samples = sound.astype(np.float32)
    samples *= np.float32(10 ** ((TARGET_LUFS - active_lufs(samples)) / 20))
    samples.setflags(write=False)
    return samples


def _wave(pulse: Pulse) -> npt.NDArray[np.float64]:
    frames = frames_from_ms(pulse.length_ms)
    share = np.arange(frames) / frames
    # The integral of a frequency that moves by equal steps, in cycles.
    cycles = (frames / SAMPLE_RATE_HZ) * (
        pulse.from_hz * share + (pulse.to_hz - pulse.from_hz) * share**2 / 2
    )
    harmonics = (
        10 ** (level_db / 20) * np.sin(2 * np.pi * number * cycles)
        for number, level_db in enumerate(HARMONIC_LEVELS_DB, start=1)
    )
    return sum(harmonics, np.zeros(frames)) * _fades(frames)


def _fades(frames: int) -> npt.NDArray[np.float64]:
    ramp_frames = frames_from_ms(RAMP_MS)
    ramp = 0.5 - 0.5 * np.cos(np.pi * np.arange(ramp_frames) / ramp_frames)
    envelope = np.ones(frames)
    envelope[:ramp_frames] = ramp
    envelope[-ramp_frames:] = ramp[::-1]
    return envelope
