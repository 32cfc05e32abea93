"""Finding a known sound in a stretch of a track, to a fraction of a frame.

Normalised cross-correlation: 1 is the sound itself at any level, 0 nothing of
it. A score of s means that s**2 of the energy at that place is the sound, so
0.5 is reached when speech is 5 dB below what lies over it.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt
from scipy import fft
from scipy.signal import find_peaks

from cuetrack.times import SAMPLE_RATE_HZ
from cuetrack.verification.spectrum import (
    SEARCH_RATE_HZ,
    THINNING,
    Samples32,
    Spectrum,
    narrow_frames,
    narrow_sound,
    narrow_spectrum,
)

if TYPE_CHECKING:
    from collections.abc import Sequence

    from cuetrack.arrays import Samples

Correlation = npt.NDArray[np.float64]

FOUND_SCORE = 0.5
"""Below this a sound counts as not there (true cues score at least 0.55 with
music as loud as the speech, wrong ones at most 0.44)."""

RIVAL_SHARE = 0.8
"""A peak this near to the best one may be the sound too, a lower one is an echo
of its own rhythm."""

APART_FRAMES = SAMPLE_RATE_HZ // 20
"""The same sound cannot start twice within 50 ms."""

_MARGIN = SEARCH_RATE_HZ * 10 // 1000
"""Room for the ringing of the band filter on both sides of a template."""
_COARSE_SHARE = 0.7
"""Between two frames at 12 kHz a peak loses less than this share of its height."""
_MOST_PEAKS = 24
_TURNED_SHARE = 1.05
_NEAR_FRAMES = SAMPLE_RATE_HZ // 200
_SINC_REACH = 24
_FINE_REACH = 2 * THINNING
_PIECE = SEARCH_RATE_HZ // 4
_WEAK_PIECE = 0.1
_SILENCE = 1e-12


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Template:
    """A sound to look for: ``samples`` at 48 kHz, and what it is found by.

    ``sound`` is band-limited and starts ``_MARGIN`` frames (12 kHz) before the first
    frame of the samples.
    """

    samples: Samples
    sound: Samples32
    energy: float

    @property
    def frames(self) -> int:
        """Its length at 48 kHz."""
        return len(self.samples)

    def beginning(self, frames: int) -> Template:
        """Return the template of the first ``frames`` only."""
        if frames >= self.frames:
            return self
        sound = self.sound[: -(-frames // THINNING) + _MARGIN]
        return Template(
            samples=self.samples[:frames], sound=sound, energy=_energy(sound)
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Match:
    """One place where a template fits.

    ``frame`` counts from the start of the stretch, at 48 kHz, with fractions;
    ``gain`` is the factor by which the template sounds there (least squares), below
    zero when it is upside down;
    ``whole`` is the smallest gain of any quarter of a second of it, relative to
    ``gain``: near 0 when a piece is not there.
    """

    frame: float
    score: float
    gain: float
    whole: float


def make_template(samples: Samples) -> Template:
    """Return the template of a mono sound at 48 kHz, shape (frames,)."""
    margin = _MARGIN * THINNING
    length = narrow_frames(len(samples) + 2 * margin)
    sound = narrow_sound(narrow_spectrum(np.pad(samples, margin), length), length)
    kept = -(-len(samples) // THINNING) + 2 * _MARGIN
    sound = sound[:kept]
    return Template(samples=samples, sound=sound, energy=_energy(sound))


def _energy(sound: Samples32) -> float:
    return float(np.dot(sound, sound))


@dataclass(frozen=True, slots=True, kw_only=True)
class SearchWindow:
    """A stretch of the track, ready to be searched any number of times."""

    spectrum: Spectrum
    sound: Samples32
    power: Correlation
    frames: int


def make_search_window(samples: Samples) -> SearchWindow:
    """Return a stretch of mono sound at 48 kHz, shape (frames,), for searching."""
    margin = _MARGIN * THINNING
    length = narrow_frames(len(samples) + 2 * margin)
    spectrum = narrow_spectrum(np.pad(samples, margin), length)
    sound = narrow_sound(spectrum, length)
    power = np.concatenate([[0.0], np.cumsum(np.square(sound, dtype=np.float64))])
    return SearchWindow(
        spectrum=spectrum, sound=sound, power=power, frames=len(samples)
    )


def find(
    stretch: SearchWindow,
    template: Template,
    expected: Sequence[float] = (),
    *,
    turned: bool | None = False,
) -> tuple[Match, ...]:
    """Return every place where the template fits, in order of time.

    A template that sounds upside down (``turned``; None finds out whether) fits as
    well, at a gain below zero.

    Only scores of at least ``FOUND_SCORE``, and of those only what comes near
    to the best or lies where it is ``expected`` (frames from the start of the
    stretch); no two within 50 ms. Empty when there is none, when the template
    is longer than the stretch, or when either is silent.
    """
    products, scores = _correlate(stretch, template)
    if turned or (turned is None and _is_turned(scores)):
        products, scores = -products, -scores
    edged = np.pad(scores, 1, constant_values=-1.0)
    peaks, _ = find_peaks(
        edged,
        height=_COARSE_SHARE * FOUND_SCORE,
        distance=APART_FRAMES // THINNING,
    )
    near = sorted(peaks - 1, key=lambda lag: -scores[lag])[:_MOST_PEAKS]
    matches = [_refine(stretch, template, products, scores, lag) for lag in near]
    best = max((match.score for match in matches), default=0.0)
    floors = (
        FOUND_SCORE if _is_near(match.frame, expected) else RIVAL_SHARE * best
        for match in matches
    )
    kept = (
        match
        for match, floor in zip(matches, floors, strict=True)
        if match.score >= max(FOUND_SCORE, floor)
    )
    return tuple(sorted(kept, key=lambda match: match.frame))


def _is_turned(scores: Correlation) -> bool:
    lowest = -float(scores.min(initial=0.0))
    highest = max(float(scores.max(initial=0.0)), FOUND_SCORE)
    return lowest > _TURNED_SHARE * highest


def _is_near(frame: float, expected: Sequence[float]) -> bool:
    return any(abs(frame - other) <= _NEAR_FRAMES for other in expected)


def best_score(stretch: SearchWindow, template: Template, within: int) -> float:
    """Return the highest score of the template, at least 0.

    Only starts in the first ``within`` frames (48 kHz) of the stretch count.
    """
    _, scores = _correlate(stretch, template)
    reached = np.abs(scores[: -(-within // THINNING)])
    return float(reached.max(initial=0.0))


def _correlate(
    stretch: SearchWindow, template: Template
) -> tuple[Correlation, Correlation]:
    """Return inner products and normalised scores for every lag at 12 kHz."""
    length = stretch.sound.size
    width = template.sound.size
    lags = (stretch.frames - template.frames) // THINNING + 1
    if lags < 1 or template.energy < _SILENCE:
        return np.empty(0), np.empty(0)
    against = fft.rfft(template.sound, length)
    products = fft.irfft(stretch.spectrum * np.conj(against), length)[:lags]
    energy = stretch.power[width : width + lags] - stretch.power[:lags]
    floor = _SILENCE * template.energy
    scores = np.where(
        energy > floor,
        products / np.sqrt(np.maximum(energy, floor) * template.energy),
        0.0,
    )
    return products.astype(np.float64), scores


def _refine(
    stretch: SearchWindow,
    template: Template,
    products: Correlation,
    scores: Correlation,
    lag: int,
) -> Match:
    offset, height = _fine_peak(products, lag)
    gain, whole = _gains(stretch, template, lag, offset)
    score = float(scores[lag]) * max(1.0, height / float(products[lag]))
    return Match(
        frame=float(THINNING * lag + offset),
        score=min(1.0, score),
        gain=gain,
        whole=whole,
    )


def _fine_peak(products: Correlation, lag: int) -> tuple[float, float]:
    """Return how many frames at 48 kHz the peak lies beside ``lag``, and its height.

    Band-limited interpolation to single frames, then a parabola through the
    three highest.
    """
    taps = np.arange(-_SINC_REACH, _SINC_REACH + 1)
    inside = (lag + taps >= 0) & (lag + taps < products.size)
    around = np.where(inside, products[np.clip(lag + taps, 0, products.size - 1)], 0.0)
    steps = np.arange(-_FINE_REACH, _FINE_REACH + 1)
    distance = steps[:, None] / THINNING - taps[None, :]
    window = np.i0(8 * np.sqrt(np.maximum(0, 1 - (distance / (_SINC_REACH + 1)) ** 2)))
    fine = (np.sinc(distance) * window / np.i0(8.0)) @ around
    top = int(np.clip(np.argmax(fine), 1, fine.size - 2))
    before, at, after = fine[top - 1 : top + 2]
    bend = before - 2 * at + after
    bow = 0.5 * (before - after) / bend if bend < 0 else 0.0
    return float(steps[top] + np.clip(bow, -1.0, 1.0)), float(at)


def _gains(
    stretch: SearchWindow, template: Template, lag: int, offset: float
) -> tuple[float, float]:
    """Return the gain at which the template sounds, and that of its weakest piece."""
    whole_lags, rest = divmod(offset / THINNING, 1.0)
    start = lag + int(whole_lags)
    known = _delayed(template.sound, rest)
    heard = stretch.sound[max(0, start) : start + known.size]
    known = known[max(0, -start) :][: heard.size]
    gain = float(np.dot(heard, known)) / template.energy
    edges = np.arange(0, max(known.size - _PIECE // 2, 1), _PIECE)
    energies = np.add.reduceat(np.square(known), edges)
    products = np.add.reduceat(heard * known, edges)
    strong = energies > _WEAK_PIECE * energies.max()
    return gain, float((products[strong] / energies[strong]).min() / gain)


def _delayed(sound: Samples32, lag: float) -> Samples32:
    """Return the sound a fraction of a frame later."""
    length = int(fft.next_fast_len(sound.size + 2 * _MARGIN, real=True))
    turn = np.exp(-2j * np.pi * fft.rfftfreq(length) * lag)
    late: Samples32 = fft.irfft(fft.rfft(sound, length) * turn, length)[: sound.size]
    return late.astype(np.float32)
