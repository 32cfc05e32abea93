"""The five tones of the clock, made for older ears and exact to the sample.

Told apart by rhythm and direction, not by pitch alone: the tick is one short
pulse, halfway a longer one that falls, the other side two even ones (up, then
down), the stop three falling ones, the start one long rise. Fundamentals keep
within 500-1000 Hz and four harmonics end at 4 kHz, because an older listener needs
35 dB more at 4 kHz than at 1 kHz (JIS S 0014:2013, which is ISO 24501:2010) and a
low fundamental with harmonics also survives small loudspeakers. Every pulse glides:
a matched filter finds a glide to the sample in music, where a steady tone slips by
whole periods.

Each is as loud as a spoken clip, by the same measure. Nothing here claims
conformity with ISO 24500 or ISO 24501.
"""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt

from cuetrack.cues.tonekinds import TONES, Pulse, ToneKind
from cuetrack.speech.level import TARGET_LUFS, active_lufs
from cuetrack.times import SAMPLE_RATE_HZ, frames_from_ms

if TYPE_CHECKING:
    from cuetrack.arrays import Samples

RAMP_MS = 15
"""Raised-cosine fade of each pulse: no click, and still a definite instant."""

HARMONIC_LEVELS_DB = (0.0, -4.0, -8.0, -12.0)
"""Level of each harmonic re the fundamental, the fundamental first."""


@cache
def tone(kind: ToneKind) -> Samples:
    """Return the tone as 48 kHz mono; its first frame starts the first fade.

    Returns
    -------
    Samples
        Shape (frames,), exactly as long as ``TONES`` says, read-only.
    """
    sound = np.zeros(frames_from_ms(TONES[kind].length_ms))
    for pulse in TONES[kind].pulses:
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
