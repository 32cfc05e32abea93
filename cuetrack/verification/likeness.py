"""Whether a file grows louder and softer where its track did, whatever its voice says.

A changed voice is not recognised, at another pitch, as a robot, or stretched; but what
is loud and what is quiet keep their places. Another class has them elsewhere.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from cuetrack.verification.limits import ALIKE_SHARE, FAINTEST_DBFS, MOST_STRETCH

if TYPE_CHECKING:
    from cuetrack.arrays import Flags, Floats

_FEWEST_STEPS = 10
_SPOKEN = slice(2, 13)
"""125 Hz to 5.7 kHz."""


def is_alike(made: Floats, heard: Floats, free: Flags) -> bool:
    """Whether a file follows the print of its track, all of it or between its cues.

    Parameters
    ----------
    made, heard
        Both prints, dBFS, shape (steps, bands). That of a file up to so much longer or
        shorter is stretched to fit.
    free
        In which steps of the first nothing is said or sounded.
    """
    steps = len(made)
    if min(steps, len(heard)) < _FEWEST_STEPS:
        return False
    if abs(len(heard) / steps - 1) > MOST_STRETCH:
        return False
    at = np.linspace(0, len(heard) - 1, steps)
    known = np.arange(len(heard))
    fitted = np.stack([np.interp(at, known, band) for band in heard[:, _SPOKEN].T], 1)
    return any(
        _correlation(made[chosen, _SPOKEN], fitted[chosen]) > ALIKE_SHARE
        for chosen in (np.ones(steps, np.bool_), free)
        if chosen.sum() >= _FEWEST_STEPS
    )


def _correlation(made: Floats, heard: Floats) -> float:
    """Return how well two prints go together in time, each band by itself."""
    one, other = (
        levels - levels.mean(axis=0)
        for levels in (
            np.maximum(made, FAINTEST_DBFS),
            np.maximum(heard, FAINTEST_DBFS),
        )
    )
    both = float(np.square(one).sum() * np.square(other).sum()) ** 0.5
    return float((one * other).sum()) / both if both else 0.0
