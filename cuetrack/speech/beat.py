"""Where a spoken word is heard to fall: its beat point.

Listeners tap to a word's perceptual centre, which lies between its first sound and
its vowel (Marcus 1981; Cummins and Port 1998). The rule ``rise`` needs no model of
speech: half the height of the first strong peak of the 300-3400 Hz envelope. It is
exact for the instant it defines; of what is perceived, no more than about +-40 ms
is claimed.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from scipy.signal import butter, find_peaks, sosfiltfilt

from cuetrack.errors import SpeechError
from cuetrack.speech.model import BeatRule

if TYPE_CHECKING:
    from cuetrack.arrays import Samples

RISE_BAND_HZ = (300.0, 3400.0)
"""The telephone band: voiced sound is in it, most of a hiss is not."""

VOWEL_BAND_HZ = (500.0, 1500.0)
"""Marcus (1981): the vowel starts where energy in this band grows fastest."""

ENVELOPE_HZ = 20.0
STRONG = 0.5
"""A peak is strong when it reaches this share of the highest."""

SPEECH_DB = -40.0
"""Speech begins and ends where it passes this level, relative to its own peak."""

_MARGIN_S = 0.1


def speech_bounds(samples: Samples) -> tuple[int, int]:
    """Return the first frame of speech and the frame after its last.

    Speech is what lies within 40 dB of the peak of the whole sound.

    Raises
    ------
    SpeechError
        If the sound is empty or silent.

    >>> speech_bounds(np.array([0, 0, 1, -1, 0.001], dtype=np.float32))
    (2, 4)
    """
    level = np.abs(samples)
    peak = float(level.max()) if level.size else 0.0
    if not peak > 1e-5:
        raise SpeechError("The voice gave silence where speech was expected.")
    loud = np.flatnonzero(level >= peak * 10 ** (SPEECH_DB / 20))
    return int(loud[0]), int(loud[-1]) + 1


def beat_frame(
    samples: Samples,
    rate_hz: int,
    rule: BeatRule = BeatRule.RISE,
    vowel_s: float | None = None,
) -> int:
    """Return the frame of the beat of the first strong syllable.

    Parameters
    ----------
    samples
        Mono sound, shape (frames,), speech somewhere in it.
    rate_hz
        Frames per second; more than 6800.
    rule
        ``rise``: 50 % of the first strong peak of the 300-3400 Hz envelope.
        ``start``: the first frame of speech. ``vowel``: where the engine says
        that the stressed vowel starts, else where 500-1500 Hz grows fastest.
    vowel_s
        The engine's own vowel start, seconds from the first frame, or None.
    """
    if rule is BeatRule.START:
        return speech_bounds(samples)[0]
    if rule is BeatRule.VOWEL:
        if vowel_s is not None:
            return min(round(vowel_s * rate_hz), samples.size - 1)
        return _fastest_growth(samples, rate_hz)
    return _half_rise(samples, rate_hz)


def _half_rise(samples: Samples, rate_hz: int) -> int:
    envelope = _envelope(samples, rate_hz, RISE_BAND_HZ)
    peak = _first_strong_peak(envelope)
    below = np.flatnonzero(envelope[:peak] < STRONG * envelope[peak])
    return _within(samples, rate_hz, int(below[-1]) + 1 if below.size else 0)


def _fastest_growth(samples: Samples, rate_hz: int) -> int:
    envelope = _envelope(samples, rate_hz, VOWEL_BAND_HZ)
    peak = _first_strong_peak(envelope)
    growth = np.diff(envelope[: peak + 1])
    return _within(samples, rate_hz, int(np.argmax(growth)))


def _envelope(
    samples: Samples, rate_hz: int, band_hz: tuple[float, float]
) -> np.ndarray[tuple[int], np.dtype[np.float64]]:
    """Return the band's envelope without delay, with a margin of silence around."""
    margin = np.zeros(_margin_frames(rate_hz))
    sound = np.concatenate([margin, samples, margin])
    band = butter(2, band_hz, "bandpass", fs=rate_hz, output="sos")
    smooth = butter(2, ENVELOPE_HZ, fs=rate_hz, output="sos")
    strength = np.abs(sosfiltfilt(band, sound, padtype=None))
    envelope: np.ndarray[tuple[int], np.dtype[np.float64]] = sosfiltfilt(
        smooth, strength, padtype=None
    )
    return envelope


def _first_strong_peak(envelope: np.ndarray[tuple[int], np.dtype[np.float64]]) -> int:
    peaks, _ = find_peaks(envelope, height=STRONG * float(envelope.max()))
    return int(peaks[0]) if peaks.size else int(np.argmax(envelope))


def _within(samples: Samples, rate_hz: int, frame: int) -> int:
    """Take the margin off again and stay inside the sound."""
    return min(max(frame - _margin_frames(rate_hz), 0), samples.size - 1)


def _margin_frames(rate_hz: int) -> int:
    return round(_MARGIN_S * rate_hz)
