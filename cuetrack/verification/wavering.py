"""Whether the speed of a file wavers: wow, when slow, or flutter, when fast.

Within a cue, the file is laid on the clip in windows of 33 ms, in two bands each.
What plays faster and slower comes earlier and later by as much in both; what was
filtered, echoed or coded does not.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from scipy import fft

from cuetrack.times import SAMPLE_RATE_HZ
from cuetrack.verification.limits import FEWEST_DELAYS, WAVER_ALIKE, WAVER_FRAMES
from cuetrack.verification.report import Check
from cuetrack.verification.spectrum import SEARCH_RATE_HZ, THINNING, Samples32

if TYPE_CHECKING:
    from collections.abc import Sequence

    from cuetrack.arrays import Flags, Floats

WAVERING = "steady speed"
_WINDOW = SEARCH_RATE_HZ // 30
_HOP = _WINDOW // 2
_LENGTH = 1024
_REACH = SEARCH_RATE_HZ // 250
_EDGES_HZ = (250, 900, 2500)
_FIT = 0.7
_STRONG_SHARE = 0.03
_FEWEST_IN_CUE = 6
_STEEP_QUANTILE = 0.8
_LEAST = 1e-20


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CueDelays:
    """By how many frames the windows of one cue are late, off a straight line.

    ``frames`` is the mean of both bands, ``apart`` their difference, each of shape
    (windows,); ``steps`` are from window to window, ``turns`` how many change sides.
    """

    frames: Floats
    apart: Floats
    steps: Floats
    turns: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Wavering:
    """By which share the speed goes up and down, and how often a second."""

    share: float
    hz: float


def delays_of(heard: Samples32, known: Samples32) -> CueDelays:
    """Return the delays within a cue, from the file at its place and the clip.

    Both are as the search has them, of one length.
    """
    none = np.empty(0)
    if known.size < _WINDOW + _FEWEST_IN_CUE * _HOP:
        return CueDelays(frames=none, apart=none, steps=none, turns=0)
    file, clip = _spectra(heard), _spectra(known)
    lines = [round(hz * _LENGTH / SEARCH_RATE_HZ) for hz in _EDGES_HZ]
    low, fits_low = _delays(file, clip, slice(*lines[:2]))
    high, fits_high = _delays(file, clip, slice(*lines[1:]))
    at = np.flatnonzero(fits_low & fits_high)
    if at.size < _FEWEST_IN_CUE:
        return CueDelays(frames=none, apart=none, steps=none, turns=0)
    frames = (low[at] + high[at]) / 2
    frames -= np.polyval(np.polyfit(at, frames, 1), at)
    beside = np.diff(at) == 1
    return CueDelays(
        frames=frames,
        apart=low[at] - high[at],
        steps=np.diff(frames)[beside],
        turns=int((np.diff(np.sign(frames)) != 0)[beside].sum()),
    )


def wavering_of(cues: Sequence[CueDelays]) -> Wavering | None:
    """Return how the speed wavers, None where it does not or too little is known."""
    frames = np.concatenate([np.empty(0), *(cue.frames for cue in cues)])
    steps = np.concatenate([np.empty(0), *(cue.steps for cue in cues)])
    if min(frames.size, steps.size) < FEWEST_DELAYS:
        return None
    apart = np.concatenate([cue.apart for cue in cues])
    swing = float(np.median(np.abs(frames)))
    if swing < WAVER_FRAMES or _scatter(apart) > WAVER_ALIKE * swing:
        return None
    step_s = _HOP / SEARCH_RATE_HZ
    steep = float(np.quantile(np.abs(steps), _STEEP_QUANTILE))
    turns = sum(cue.turns for cue in cues)
    return Wavering(
        share=steep / (step_s * SAMPLE_RATE_HZ), hz=turns / steps.size / (2 * step_s)
    )


def wavering_checks(cues: Sequence[CueDelays]) -> tuple[Check, ...]:
    """Return that the speed wavers, nothing where it does not."""
    found = wavering_of(cues)
    if found is None:
        return ()
    often = f"some {found.hz:.0f} times" if found.hz >= 1.5 else "about once"
    return (
        Check(
            name=WAVERING,
            measured=round(found.share, 5),
            wanted=f"cues within {WAVER_FRAMES:g} frames of an even pace",
            passed=False,
            sentence=f"The speed wavers by about {found.share:.1%}, {often} a second, "
            "as of a worn tape or player. Take the track as it was made.",
        ),
    )


def _spectra(sound: Samples32) -> np.ndarray:
    windows = np.lib.stride_tricks.sliding_window_view(sound, _WINDOW)[::_HOP]
    found: np.ndarray = fft.rfft(windows * np.hanning(_WINDOW), _LENGTH)
    return found


def _delays(file: np.ndarray, clip: np.ndarray, band: slice) -> tuple[Floats, Flags]:
    """Return by how many frames each window is late in a band, and which fit."""
    kept = np.zeros(file.shape[1])
    kept[band] = 1.0
    both = fft.irfft(file * np.conj(clip) * kept, _LENGTH)
    around = np.roll(both, _REACH, axis=1)[:, : 2 * _REACH + 1]
    top = np.clip(np.argmax(around, axis=1), 1, 2 * _REACH - 1)
    rows = np.arange(len(around))
    before, at, after = (around[rows, top + side] for side in (-1, 0, 1))
    bend = np.minimum(before - 2 * at + after, -_LEAST)
    late = top - _REACH + 0.5 * (before - after) / bend
    own = np.square(np.abs(clip[:, band])).sum(axis=1)
    heard = np.square(np.abs(file[:, band])).sum(axis=1)
    fit = at * _LENGTH / 2 / np.sqrt(own * heard + _LEAST)
    fits: Flags = (fit > _FIT) & (own > _STRONG_SHARE * own.max())
    return late * THINNING, fits


def _scatter(values: Floats) -> float:
    return float(np.median(np.abs(values - np.median(values))))
