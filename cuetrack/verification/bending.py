"""Whether the tops of the voice were cut off: clipping, seen against the clip.

A limiter turns down whole stretches, clipping only what is high at that instant. So
within windows of 20 ms the file is laid on the clip and on its cube (what of it is
not the clip itself): clipped sound has less than nothing of the cube.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from cuetrack.times import SAMPLE_RATE_HZ

if TYPE_CHECKING:
    from collections.abc import Sequence

    from cuetrack.arrays import Floats, Samples

_WINDOW = SAMPLE_RATE_HZ // 50
_LOUDEST = 12
_HIGH_SHARE = 0.5
_MOST_OTHER = 0.15
"""Half of the loudest windows hold no more than this that is not the clip, clipped or
under music; of a filtered voice, or one at an unsteady speed, 0.27 and more."""

_LEAST = 1e-20


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CuePeaks:
    """The loudest windows of one cue.

    ``peaks`` of the clip; ``cubes`` how much of its cube is in the file, to be
    divided by ``energies``, for a clip at gain 1. ``other`` is the share of the file
    in each that is not the clip.
    """

    peaks: Floats
    cubes: Floats
    energies: Floats
    other: Floats


def peaks_of(heard: Samples, known: Samples) -> CuePeaks:
    """Return how the file bends the loudest windows of a clip of the same length."""
    whole = known.size // _WINDOW * _WINDOW
    clip = known[:whole].reshape(-1, _WINDOW).astype(np.float64)
    file = heard[:whole].reshape(-1, _WINDOW).astype(np.float64)
    peaks = np.abs(clip).max(axis=1, initial=0.0)
    chosen = np.argsort(-peaks)[:_LOUDEST]
    clip, file = clip[chosen], file[chosen]
    energy = np.maximum(np.square(clip).sum(axis=1), _LEAST)
    gains = (clip * file).sum(axis=1) / energy
    gain = float(np.median(gains)) if chosen.size else 1.0
    cube = clip**3
    cube -= ((cube * clip).sum(axis=1) / energy)[:, None] * clip
    left = file - gains[:, None] * clip
    return CuePeaks(
        peaks=peaks[chosen],
        cubes=(left * cube).sum(axis=1) / (gain or 1.0),
        energies=np.square(cube).sum(axis=1),
        other=np.square(left).sum(axis=1)
        / np.maximum(np.square(file).sum(axis=1), _LEAST),
    )


def bend_of(cues: Sequence[CuePeaks]) -> float | None:
    """Return by which share of itself the highest peak of the voice is bent down.

    Only windows count that reach half of the highest; 0 when there is no voice, None
    where the voice is changed otherwise, so that its peaks cannot be laid on the clip.
    """
    if not cues:
        return 0.0
    peaks = np.concatenate([cue.peaks for cue in cues])
    top = float(peaks.max(initial=0.0))
    high = peaks >= _HIGH_SHARE * top
    other = np.concatenate([cue.other for cue in cues])[high]
    if other.size and float(np.median(other)) > _MOST_OTHER:
        return None
    cubes = np.concatenate([cue.cubes for cue in cues])[high].sum()
    energies = np.concatenate([cue.energies for cue in cues])[high].sum()
    return float(-cubes / max(float(energies), _LEAST) * top**2)
