"""What else sounds under a cue, in the finished file, and what it costs a listener.

The clip is known, the rest is residue: bed, noise, and the error of the encoder, which
follows the speech and hides behind it. So the background of a band is the residue
of its weakest windows, where that error is least, or what a straight line through all
windows leaves where the speech is nothing, if that is less: strokes may fall upon the
weakest and nowhere else. It is judged by the promise that a make gives: what it costs
the Speech Intelligibility Index, and how far the speech stands over it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from cuetrack.sound.hearing.listeners import listeners_of
from cuetrack.sound.hearing.sii import NO_NOISE_DB, third_octave_sii
from cuetrack.sound.hearing.sii_tables import BANDWIDTH_DB
from cuetrack.speech.level import K_WEIGHTING
from cuetrack.times import SAMPLE_RATE_HZ
from cuetrack.verification.cells import CellGrid, compare

if TYPE_CHECKING:
    from collections.abc import Sequence

    from cuetrack.arrays import Floats, Samples
    from cuetrack.plan.model import Group
    from cuetrack.verification.cells import Cells

WEAKEST_SHARE = 0.3
"""The background of a band is the residue in this share of its windows."""

_EDGES_HZ = (0.0, *(1000 * 10 ** ((2 * step - 1) / 20) for step in range(-8, 11)))
_GRID = CellGrid(
    rate_hz=SAMPLE_RATE_HZ,
    window=2048,
    hop=1024,
    edges_hz=(*_EDGES_HZ, SAMPLE_RATE_HZ / 2 + 1),
)
"""Below 141 Hz, the 18 bands of the index, and what lies above them."""

_FEWEST_WINDOWS = 3
_ACTIVE_SHARE = 1e-3
_LEAST_POWER = 1e-16
_FULL_SCALE = (3 / 8) * _GRID.window**2 / 2
"""The squares of all lines of a window of sound whose mean square is 1."""
LISTENING_BANDS = slice(9, 18)
"""800 Hz to 6.3 kHz: enough lines in each for the flicker of a noise to average out."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CueBackground:
    """Mean squares in each band, shape (20,): the voice while it speaks, and the rest.

    ``flicker`` is how much the background changes from window to window, as a share
    of itself: about a third for a steady noise, more for all music.
    """

    speech: Floats
    rest: Floats
    flicker: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Clarity:
    """What the background costs: one value a cue.

    ``losses`` are of the index, for the listener who loses most; ``over_lu`` is
    speech over the rest, K-weighted.
    """

    losses: Floats
    over_lu: Floats


def listening_cells(heard: Samples, known: Samples) -> Cells:
    """Return the cells of a cue in the bands of the index.

    Parameters
    ----------
    heard, known
        The file from the first speech of the cue to its last, and the clip: 48 kHz,
        the same number of frames.
    """
    short = max(0, _GRID.window + (_FEWEST_WINDOWS - 1) * _GRID.hop - known.size)
    before = short // 2
    around = (before, short - before)
    return compare(np.pad(heard, around), np.pad(known, around), _GRID)


def background_of(cells: Cells) -> CueBackground:
    """Return what sounds with a clip and without, from the cells of a cue."""
    speech, residue = cells.speech / _FULL_SCALE, cells.residue / _FULL_SCALE
    total = speech.sum(axis=1)
    active = total >= _ACTIVE_SHARE * total.max()
    count = max(_FEWEST_WINDOWS, math.ceil(WEAKEST_SHARE * len(speech)))
    weakest = np.argsort(speech, axis=0)[:count]
    left = np.take_along_axis(residue, weakest, axis=0)
    rest = _less_of(left.mean(axis=0), _without_speech(residue, speech))
    flicker = left.std(axis=0) / np.maximum(rest, _LEAST_POWER)
    return CueBackground(
        speech=speech[active].mean(axis=0),
        rest=rest,
        flicker=float(np.median(flicker[LISTENING_BANDS])),
    )


def _without_speech(residue: Floats, speech: Floats) -> Floats:
    """Return what is left of a residue where the speech is nothing, in each band.

    The least squares of a line through all windows, which does not fall.
    """
    apart = speech - speech.mean(axis=0)
    spread = np.maximum((apart**2).mean(axis=0), _LEAST_POWER**2)
    slope = np.maximum((apart * residue).mean(axis=0) / spread, 0.0)
    left: Floats = residue.mean(axis=0) - slope * speech.mean(axis=0)
    return left


def _less_of(weakest: Floats, without_speech: Floats) -> Floats:
    """Return the less of two estimates; a line may err by no more than 3 dB."""
    return np.minimum(weakest, np.maximum(without_speech, weakest / 2))


def clarity_of(cues: Sequence[CueBackground], group: Group) -> Clarity:
    """Return what the group loses of each cue.

    The average cue is taken to arrive at the level that is stated for the group.

    Parameters
    ----------
    cues
        At least one.
    group
        Whose ears are counted.
    """
    speech = np.array([cue.speech for cue in cues])
    rest = np.array([cue.rest for cue in cues])
    mean = float(np.mean(speech[:, 1:-1].sum(axis=1)))
    offset_db = group.level_db_spl - 10 * math.log10(max(mean, _LEAST_POWER))
    thresholds = np.array([one.threshold_db_hl for one in listeners_of(group)])
    at_ear = _at_the_ear(speech, offset_db)
    quiet = third_octave_sii(at_ear, threshold_db_hl=thresholds)
    noise = np.maximum(_at_the_ear(rest, offset_db), NO_NOISE_DB)
    mix = third_octave_sii(at_ear, noise, thresholds)
    weights = _k_weights()
    over = (speech @ weights) / np.maximum(rest @ weights, _LEAST_POWER)
    return Clarity(
        losses=np.max(quiet - mix, axis=1),
        over_lu=10 * np.log10(np.maximum(over, _LEAST_POWER)),
    )


def _at_the_ear(powers: Floats, offset_db: float) -> Floats:
    """Return spectrum levels in dB SPL per Hz, shape (cues, 1, 18)."""
    levels: Floats = 10 * np.log10(np.maximum(powers[:, 1:-1], _LEAST_POWER))
    levels += offset_db - np.asarray(BANDWIDTH_DB)
    return levels[:, None, :]


def _k_weights() -> Floats:
    """Return the mean power gain of the K-weighting in each band, shape (20,)."""
    angle = 2 * np.pi * np.arange(_GRID.window // 2 + 1) / _GRID.window
    delay = np.exp(-1j * angle)
    power = np.ones_like(angle)
    for section in K_WEIGHTING:
        upper, lower = section[:3], section[3:]
        gain = np.polyval(upper[::-1], delay) / np.polyval(lower[::-1], delay)
        power *= np.abs(gain) ** 2
    weights: Floats = _GRID.by_band(power[None])[0] / np.diff(_GRID.lines)
    return weights
