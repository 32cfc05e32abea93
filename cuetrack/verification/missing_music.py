"""Music that is no longer in a file, by its band print, and from when to when."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from cuetrack.sound.band_print import STEP_MS
from cuetrack.times import clock
from cuetrack.verification.limits import ALL_ALONG_SHARE

if TYPE_CHECKING:
    import numpy.typing as npt

    from cuetrack.arrays import Flags, Floats

_LOUD_DBFS = -55.0
_GONE_DB = 20.0
_FEWEST_STEPS = 6
"""Three seconds."""


def missing_music(made: Floats, heard: Floats, spoken: Flags, free: Flags) -> str:
    """Return between which times the music is gone, in a sentence; empty if it is not.

    Parameters
    ----------
    made, heard
        The print of the cue sheet and that of the file, dBFS, shape (steps, bands).
    spoken, free
        Steps in which a cue is spoken, and in which nothing but music sounds.
    """
    steps = min(len(made), len(heard))
    before, after = _levels_db(made[:steps]), _levels_db(heard[:steps])
    change = after - before
    played = free[:steps] & (before > _LOUD_DBFS)
    if not spoken[:steps].any() or not played.any():
        return ""
    voice_db = float(np.median(change[spoken[:steps]]))
    gone = np.flatnonzero(played & (change < voice_db - _GONE_DB))
    if gone.size < _FEWEST_STEPS:
        return ""
    first, last = int(gone[0]), int(gone[-1])
    if gone.size < ALL_ALONG_SHARE * played[first : last + 1].sum():
        return ""
    return f"The music is missing {_when(first, last, np.flatnonzero(played))}."


def _levels_db(print_db: Floats) -> Floats:
    """Return the level of each step, all bands together."""
    levels: Floats = 10 * np.log10(np.sum(10 ** (print_db / 10), axis=1))
    return levels


def _when(first: int, last: int, played: npt.NDArray[np.intp]) -> str:
    """Return when the steps are in which music is gone, of those in which it played."""
    start, end = clock(first * STEP_MS), clock((last + 1) * STEP_MS)
    if last < played[-1]:
        return f"from {start} to {end}"
    return "all along" if first == played[0] else f"from {start} on"
