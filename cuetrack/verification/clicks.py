"""Clicks inside a cue: what is over in an instant, and louder than the voice.

The clip is taken out first. What is left is bed, noise and the error of an encoder,
none of which is as short: a click is a peak that stands far out of all that is left
around it, and is over within a millisecond, where the shortest stroke of a drum rings
on for some. A single wrong frame sounds in the whole band; below 400 Hz, where music
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

_RINGING = SAMPLE_RATE_HZ // 100
_INSTANT_SHARE = 0.7
"""So much of what sounds within 10 ms of its peak falls into one tick; of a stroke of a
drum that fades by 8.7 dB in 5 ms, less than half does."""

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
    by_peak = sorted(np.flatnonzero(loud), key=lambda tick: -peaks[tick])
    clicks = (int(tick) for tick in by_peak if _is_instant(left, int(tick) * _TICK))
    worst = next(clicks, None)
    return None if worst is None else round(worst * _TICK * 1000 / SAMPLE_RATE_HZ)


def _is_instant(left: Samples, tick_start: int) -> bool:
    """Whether the peak of a tick is over in an instant, and does not ring."""
    peak = tick_start + int(np.argmax(np.abs(left[tick_start : tick_start + _TICK])))
    around = np.square(left[max(0, peak - _RINGING) : peak + _RINGING + 1])
    instant = np.convolve(around, np.ones(_TICK), "valid").max()
    return bool(instant >= _INSTANT_SHARE * around.sum())
