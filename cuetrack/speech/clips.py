"""From what an engine gives to a clip: trimmed, 48 kHz, levelled, its beat found."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import soxr

from cuetrack.errors import SpeechError
from cuetrack.speech.beat import beat_frame, speech_bounds
from cuetrack.speech.model import BeatRule
from cuetrack.speech.peaks import all_passed, levelled
from cuetrack.times import SAMPLE_RATE_HZ, frames_from_ms

if TYPE_CHECKING:
    from cuetrack.arrays import Samples
    from cuetrack.speech.model import RawSpeech

KEPT_MS = 5
"""Faded sound kept before and after speech."""

SILENCE_MS = 5
"""Zeros around that, for the resampler to ring in."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FinishedSpeech:
    """A clip before it has a key; positions are frames at 48 kHz."""

    samples: Samples
    speech_start: int
    speech_end: int
    beat: int


def finish(
    raw: RawSpeech, rule: BeatRule = BeatRule.RISE, offset_ms: int = 0
) -> FinishedSpeech:
    """Trim, resample, even out and measure; the same input gives the same frames.

    ``offset_ms`` moves the beat that is known, or that ``rule`` finds, later when
    positive; it stays within the speech.

    Raises
    ------
    SpeechError
        If ``raw`` is silent, or holds values that are no numbers.
    """
    if not np.all(np.isfinite(raw.samples)):
        raise SpeechError("The voice gave values that are no numbers.")
    trimmed, cut_frames = _trim(all_passed(raw.samples, raw.rate_hz), raw.rate_hz)
    sound = soxr.resample(trimmed, raw.rate_hz, SAMPLE_RATE_HZ, quality="HQ")
    samples = whole_24_bit(levelled(sound.astype(np.float32)))
    start, end = speech_bounds(samples)
    cut_s = cut_frames / raw.rate_hz
    if raw.beat_s is None:
        vowel_s = None if raw.vowel_s is None else max(raw.vowel_s - cut_s, 0)
        beat = beat_frame(samples, SAMPLE_RATE_HZ, rule, vowel_s)
    else:
        beat = round((raw.beat_s - cut_s) * SAMPLE_RATE_HZ)
    moved = beat + frames_from_ms(offset_ms)
    return FinishedSpeech(
        samples=samples,
        speech_start=start,
        speech_end=end,
        beat=min(max(moved, start), end - 1),
    )


def whole_24_bit(samples: Samples) -> Samples:
    """Return samples as a file of 24 bits keeps them: the nearest 2^-23 of full scale.

    >>> whole_24_bit(np.float32([0.1])) * 2**23
    array([838861.], dtype=float32)
    """
    steps = np.rint(samples * np.float32(2**23))
    np.clip(steps, 1 - 2**23, 2**23 - 1, out=steps)
    kept: Samples = steps * np.float32(2**-23)
    return kept


def _trim(samples: Samples, rate_hz: int) -> tuple[Samples, int]:
    """Return the faded speech between zeros, and how many frames went in front."""
    start, end = speech_bounds(samples)
    kept = frames_from_ms(KEPT_MS, rate_hz)
    silence = frames_from_ms(SILENCE_MS, rate_hz)
    padded = np.pad(samples, kept)[start : end + 2 * kept].astype(np.float32)
    rise = 0.5 - 0.5 * np.cos(np.pi * (np.arange(kept) + 0.5) / kept)
    padded[:kept] *= rise
    padded[-kept:] *= rise[::-1]
    return np.pad(padded, silence), start - kept - silence
