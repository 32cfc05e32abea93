"""Clicks inside a cue: what is over in an instant, and louder than the voice.

The clip is taken out first. What is left is bed, noise and the error of an encoder,
none of which is as short: a click is a peak that stands far out of all that is left
around it. A single wrong frame sounds in the whole band; below 400 Hz, where music
keeps its bass under a voice, nothing is looked at.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from scipy.signal import butter, sosfilt

from cuetrack.times import SAMPLE_RATE_HZ
from cuetrack.verification.limits import CLICK_CREST, CLICK_SHARE

if TYPE_CHECKING:
    from cuetrack.arrays import Samples

_TICK = SAMPLE_RATE_HZ // 800  # 1.25 ms
_AROUND_TICKS = 20
_NEAR_TICKS = 4
_EDGE_TICKS = 12
"""Within 15 ms of its ends, a tone that ends or starts there may reach in."""

_ABOVE_BASS = butter(2, 400, "highpass", fs=SAMPLE_RATE_HZ, output="sos")
_LEAST = 1e-20


def click_in(heard: Samples, known: Samples) -> int | None:
    """Return where a click stands out most, ms from the start; None where none does.

    Parameters
    ----------
    heard, known
        The file from the first speech of a cue on, and the clip: 48 kHz, the same
        number of frames.
    """
    if known.size <= 2 * _EDGE_TICKS * _TICK:
        return None
    gain = float(np.dot(heard, known)) / max(float(np.dot(known, known)), _LEAST)
    voice = float(np.sqrt(np.mean(np.square(gain * known))))
    left = sosfilt(_ABOVE_BASS, heard - gain * known)
    ticks = left[: left.size // _TICK * _TICK].reshape(-1, _TICK)
    powers = np.square(ticks).sum(axis=1)
    wide = np.convolve(powers, np.ones(2 * _AROUND_TICKS + 1), "same")
    near = np.convolve(powers, np.ones(2 * _NEAR_TICKS + 1), "same")
    others = 2 * (_AROUND_TICKS - _NEAR_TICKS) * _TICK
    level = np.sqrt(np.maximum(wide - near, 0.0) / others)
    peaks = np.abs(ticks).max(axis=1)
    loud = (peaks > CLICK_SHARE * voice) & (peaks > CLICK_CREST * level)
    loud[:_EDGE_TICKS] = loud[loud.size - _EDGE_TICKS :] = False
    if not loud.any():
        return None
    worst = int(np.argmax(np.where(loud, peaks, 0.0)))
    return round(worst * _TICK * 1000 / SAMPLE_RATE_HZ)
