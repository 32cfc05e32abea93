"""Peaks held down by a gain too smooth to hear, without moving a frame.

The gain of each frame is the least that any peak within 5 ms needs, averaged over
the same stretch, so that it never exceeds what a peak allows. Peaks between the
samples count: they are found by interpolation where the samples come near the
ceiling, and nowhere else.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt
from scipy.ndimage import minimum_filter1d, uniform_filter1d
from scipy.signal import sosfilt

from cuetrack.speech.level import TARGET_LUFS, active_lufs
from cuetrack.times import frames_from_ms

if TYPE_CHECKING:
    from cuetrack.arrays import Block, Samples

REACH_FRAMES = frames_from_ms(5)
"""How far either way a peak holds the gain, and over which it is averaged."""

GAIN_REACH_FRAMES = 2 * REACH_FRAMES
"""How far from a peak the gain may still be below 1."""

EDGE_FRAMES = 12
"""How many frames either side say what the sound is between two frames."""

CLIP_PEAK_DBTP = -8.5
"""Where the peaks of a spoken clip are held: 11.5 dB over its loudness.

A mono track of such clips reaches -16 LUFS with peaks at -2 dBTP, so that the
limiter of the whole track has nothing to do and cannot make some cues quieter than
others, which unlimited clips would become by up to 4 LU.
"""

_ALL_PASS_HZ = 300.0
_ALL_PASS_Q = 0.7
_ALL_PASSES = 4

_OFFSETS = (-0.75, -0.5, -0.25, 0.25, 0.5, 0.75)  # four times the rate, both ways
_HIDDEN_PEAK = 2.0  # between its samples a sound may stand twice as high
_KAISER_BETA = 5.0
_CLOSE_ENOUGH_DB = 0.05
_LEAST_YIELD = 0.25
_TRIES = 8

PeakGains = npt.NDArray[np.float64]


def all_passed(samples: Samples, rate_hz: int) -> Samples:
    """Return the same sound with the phases of its low harmonics turned.

    A voice stacks its harmonics into one tall peak a period; all-pass filters draw
    them apart. Nothing a listener hears by changes: no level at any frequency, and
    no instant by more than 8 ms. For the neural voice the tallest peaks lose 3 dB,
    which the limiter then need not take from the vowels.

    Parameters
    ----------
    samples
        Shape (frames,).

    Returns
    -------
    Samples
        20 ms longer, for the filters to ring out in.
    """
    angle = 2 * np.pi * _ALL_PASS_HZ / rate_hz
    width = np.sin(angle) / (2 * _ALL_PASS_Q)
    above = [1 - width, -2 * np.cos(angle), 1 + width]
    sections = np.tile([*above, *above[::-1]], (_ALL_PASSES, 1)) / above[2]
    padded = np.pad(samples, (0, frames_from_ms(20, rate_hz)))
    found: Samples = sosfilt(sections, padded).astype(np.float32)
    return found


def levelled(
    samples: Samples,
    lufs: float = TARGET_LUFS,
    peak_dbtp: float = CLIP_PEAK_DBTP,
) -> Samples:
    """Return a 48 kHz clip at a loudness, its peaks held at a ceiling.

    Parameters
    ----------
    samples
        Shape (frames,), of any level; silence comes back as it is.
    lufs
        Loudness of the active frames, as ``active_lufs`` reads it.
    peak_dbtp
        Highest true peak allowed.
    """
    ceiling = 10.0 ** (peak_dbtp / 20)
    raw_lufs = active_lufs(samples)
    if raw_lufs == float("-inf"):
        return samples

    def held_at(gain_db: float) -> Samples:
        return hold_peaks(samples * np.float32(10.0 ** (gain_db / 20)), ceiling)

    gain_db, step_db, before_db = lufs - raw_lufs, 0.0, 0.0
    held = held_at(gain_db)
    missing_db = lufs - active_lufs(held)
    for _ in range(_TRIES):
        if abs(missing_db) <= _CLOSE_ENOUGH_DB:
            break
        # What the last step gave for each decibel says how far to go now.
        given = 1.0 if not step_db else (before_db - missing_db) / step_db
        before_db, step_db = missing_db, missing_db / max(given, _LEAST_YIELD)
        gain_db += step_db
        held = held_at(gain_db)
        missing_db = lufs - active_lufs(held)
    return held


def hold_peaks(samples: Samples, ceiling: float) -> Samples:
    """Return a clip, shape (frames,), with no true peak above ``ceiling``."""
    sound = samples[:, np.newaxis]
    needed = needed_gains(np.pad(sound, ((EDGE_FRAMES, EDGE_FRAMES), (0, 0))), ceiling)
    if needed is None:
        return samples
    needed = np.pad(needed, GAIN_REACH_FRAMES, constant_values=1.0)
    return samples * smooth_gains(needed).astype(np.float32)


def needed_gains(sound: Block, ceiling: float) -> PeakGains | None:
    """Return the gain each frame's own peak needs, one for all channels.

    Parameters
    ----------
    sound
        With ``EDGE_FRAMES`` of what is before and after it.
    ceiling
        Highest amplitude allowed, between samples too.

    Returns
    -------
    PeakGains | None
        Shape (frames,) without the edges, None where nothing is needed.
    """
    inner = sound[EDGE_FRAMES:-EDGE_FRAMES]
    worth_a_look = ceiling / _HIDDEN_PEAK
    if max(float(inner.max()), -float(inner.min())) <= worth_a_look:
        return None
    frames = np.flatnonzero(_may_peak(sound, worth_a_look))
    peaks = _peaks_around(sound, frames)
    high = peaks > ceiling
    if not high.any():
        return None
    needed = np.ones(len(inner))
    needed[frames[high]] = ceiling / peaks[high]
    return needed


def smooth_gains(needed: PeakGains) -> PeakGains:
    """Return gains without a jump, at no frame above what is needed near it.

    Parameters
    ----------
    needed
        With ``GAIN_REACH_FRAMES`` of what is before and after.

    Returns
    -------
    PeakGains
        Shape (frames,) without what was before and after.
    """
    least = minimum_filter1d(needed, 2 * REACH_FRAMES + 1)
    # Two averages of this length reach exactly as far as the minimum held.
    for _ in range(2):
        uniform_filter1d(least, REACH_FRAMES + 1, output=least)
    gains: PeakGains = least[GAIN_REACH_FRAMES:-GAIN_REACH_FRAMES]
    return gains


def _may_peak(sound: Block, worth_a_look: float) -> npt.NDArray[np.bool_]:
    """Tell at which frames the sound may stand highest, give or take a frame.

    Those are the local maxima of the amplitude, and wherever the sign changes from
    frame to frame, as it does in the highest treble.
    """
    near = sound[EDGE_FRAMES - 1 : len(sound) - EDGE_FRAMES + 1]
    amplitude = np.abs(near)
    before, here, after = amplitude[:-2], amplitude[1:-1], amplitude[2:]
    turns = (here >= before) & (here >= after)
    negative = np.signbit(near)
    flips = (negative[1:-1] != negative[:-2]) | (negative[1:-1] != negative[2:])
    worth: npt.NDArray[np.bool_] = ((turns | flips) & (here > worth_a_look)).any(axis=1)
    return worth


def _peaks_around(sound: Block, frames: npt.NDArray[np.intp]) -> PeakGains:
    """Return the highest amplitude within three quarters of a frame of each."""
    taps = 2 * EDGE_FRAMES + 1
    near = np.lib.stride_tricks.sliding_window_view(sound, taps, axis=0)[frames]
    between = np.abs(near @ _INTERPOLATORS).max(axis=(1, 2), initial=0)
    at = np.abs(near[:, :, EDGE_FRAMES]).max(axis=1, initial=0)
    peaks: PeakGains = np.maximum(between, at).astype(np.float64)
    return peaks


def _interpolators() -> Block:
    """Return windowed sincs that read between frames, one column per offset."""
    places = np.arange(-EDGE_FRAMES, EDGE_FRAMES + 1)[:, np.newaxis]
    distance = places - np.array(_OFFSETS)
    inside = np.clip(1 - (distance / (EDGE_FRAMES + 1)) ** 2, 0, None)
    window = np.i0(_KAISER_BETA * np.sqrt(inside)) / np.i0(_KAISER_BETA)
    kernel = np.sinc(distance) * window
    columns: Block = (kernel / kernel.sum(axis=0)).astype(np.float32)
    return columns


_INTERPOLATORS = _interpolators()
