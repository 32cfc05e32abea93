"""Speech and bed in the track itself: what the leader hears is a mix of the two.

Only their sum is known. The bed under a cue is taken from just beside it, where
it is already down and nobody speaks; what is left is speech. In bands where the
bed is the stronger the rest says little: there the usual colour of the voice,
learnt from all cues, counts the more, as all clips are brought to one loudness.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from cuetrack.verification.room.heard import BANDS, HOP_S

if TYPE_CHECKING:
    from collections.abc import Sequence

    from cuetrack.arrays import Flags, Floats
    from cuetrack.output.track.cue_rows import CueRow
    from cuetrack.output.track.cuefile import CueFile
    from cuetrack.verification.room.heard import BandPowers


ACTIVE_SHARE = 10**-2.5
"""25 dB below the loudest: the rule by which clips are levelled."""

_BESIDE_MS = 80.0
_BLUR_MS = 30.0
_LEAST_POWER = 1e-16
_MOST_APART = 1.6
"""A cue may be 2 dB louder or quieter than the usual one."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CueInTrack:
    """Mean squares of a cue while it is spoken, and of the bed under it, by band."""

    cue: CueRow
    speech: Floats
    bed: Floats


def hops_of(start_ms: float, end_ms: float) -> slice:
    """Return the hops centred within a stretch, at least one."""
    first = int(np.ceil(start_ms / 1000 / HOP_S))
    return slice(max(first, 0), max(int(end_ms / 1000 / HOP_S) + 1, first + 1, 1))


def cues_in_track(
    powers: BandPowers, cues: Sequence[CueRow], cue_file: CueFile, *, has_bed: bool
) -> tuple[CueInTrack, ...]:
    """Return what is speech and what is bed in each of the cues.

    Parameters
    ----------
    powers
        Of the track, shape (hops, 18).
    cues
        Those that are wanted.
    has_bed
        Whether there may be music under them.
    """
    sums = [_active_mean(powers, cue) for cue in cues]
    if not has_bed or not cues:
        return tuple(
            CueInTrack(cue=cue, speech=both + _LEAST_POWER, bed=np.zeros(BANDS))
            for cue, both in zip(cues, sums, strict=True)
        )
    busy = _busy(cue_file, len(powers))
    both = np.array(sums)
    bed = np.array([_bed_beside(powers, cue, busy) for cue in cues])
    speech = _parted(both, bed)
    return tuple(
        CueInTrack(cue=cue, speech=one, bed=under)
        for cue, one, under in zip(cues, speech, bed, strict=True)
    )


def _parted(both: Floats, bed: Floats) -> Floats:
    """Return the speech of each cue, shape (cues, 18)."""
    rest = both - bed
    usual = np.maximum(rest.mean(axis=0), 1e-3 * both.mean(axis=0)) + _LEAST_POWER
    louder = np.maximum(rest.sum(axis=1), 0) / usual.sum()
    louder = np.clip(louder, 1 / _MOST_APART, _MOST_APART)[:, None]
    trust = np.clip(rest / np.maximum(bed, _LEAST_POWER), 0, 1)
    parted: Floats = trust * rest + (1 - trust) * np.minimum(louder * usual, both)
    return parted + _LEAST_POWER


def _active_mean(powers: BandPowers, cue: CueRow) -> Floats:
    during = powers[hops_of(cue.start_ms, cue.end_ms)]
    strength = during.sum(axis=1)
    mean: Floats = during[strength >= ACTIVE_SHARE * strength.max()].mean(
        axis=0, dtype=np.float64
    )
    return mean


def _bed_beside(powers: BandPowers, cue: CueRow, busy: Flags) -> Floats:
    """Return the bed where it is down and free of speech and tones."""
    reach_ms = _BESIDE_MS + _BLUR_MS
    sides = [
        hops_of(cue.start_ms - reach_ms, cue.start_ms),
        hops_of(cue.end_ms, cue.end_ms + reach_ms),
    ]
    beside = np.concatenate([powers[side][~busy[side]] for side in sides])
    if not len(beside):
        during = powers[hops_of(cue.start_ms, cue.end_ms)]
        beside = np.quantile(during, [0.1], axis=0)
    mean: Floats = beside.mean(axis=0, dtype=np.float64)
    return mean


def _busy(cue_file: CueFile, hops: int) -> Flags:
    """Return at which hops a cue or a tone sounds, or blurs into the window."""
    busy = np.zeros(hops, np.bool_)
    stretches = [(row.start_ms, row.end_ms) for row in cue_file.cues]
    stretches += [(row.start_ms, row.end_ms) for row in cue_file.tones]
    for start_ms, end_ms in stretches:
        busy[hops_of(start_ms - _BLUR_MS, end_ms + _BLUR_MS)] = True
    return busy
