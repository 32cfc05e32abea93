"""The Speech Intelligibility Index of ANSI S3.5-1997, by one-third octaves.

All spectra are spectrum levels in dB SPL per Hz, free field at the listener's
place; thresholds are dB HL. The last axis of every array is the band, from low
to high; the others broadcast. Clause numbers stand beside the steps. The index
is meant for otologically normal listeners; with raised thresholds alone it
over-predicts for older ears.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt

from cuetrack.sound.hearing.sii_tables import (
    CENTRES_HZ,
    IMPORTANCE,
    INTERNAL_NOISE_DB,
    NORMAL_SPEECH_DB,
)

if TYPE_CHECKING:
    from collections.abc import Sequence

BandLevels = npt.NDArray[np.float64]
"""Values by band, shape (..., bands)."""

NO_NOISE_DB = -50.0
"""Noise spectrum level that stands for none (note in 4.2)."""

SELF_MASKING_DB = -24.0
"""Level of speech as its own masker (4.3.2.1)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class IndexSteps:
    """The intermediate values of one index, each of shape (..., bands).

    ``slope_db`` is C, in dB per octave.
    """

    slope_db: BandLevels
    masking_db: BandLevels
    disturbance_db: BandLevels
    level_factor: BandLevels
    audibility: BandLevels
    index: npt.NDArray[np.float64]


def third_octave_sii(
    speech_db: npt.ArrayLike,
    noise_db: npt.ArrayLike = NO_NOISE_DB,
    threshold_db_hl: npt.ArrayLike = 0.0,
    *,
    importance: Sequence[float] = IMPORTANCE,
) -> npt.NDArray[np.float64]:
    """Return the index, 0..1.

    Parameters
    ----------
    speech_db, noise_db : array_like
        Spectrum levels at the listener, dB SPL per Hz, shape (..., 18).
    threshold_db_hl : array_like
        Hearing thresholds, dB HL, shape (..., 18); 0 is normal hearing.
    importance
        How much each band matters, 18 weights.

    Returns
    -------
    numpy.ndarray
        The index, in the broadcast shape without the band axis.

    Examples
    --------
    >>> round(float(third_octave_sii([54] * 18, [40, 30, 20] + [0] * 15)), 4)
    0.8514
    """
    return steps(speech_db, noise_db, threshold_db_hl, importance=importance).index


def steps(
    speech_db: npt.ArrayLike,
    noise_db: npt.ArrayLike = NO_NOISE_DB,
    threshold_db_hl: npt.ArrayLike = 0.0,
    *,
    importance: Sequence[float] = IMPORTANCE,
) -> IndexSteps:
    """Return the index together with the values that lead to it.

    Shapes as in `third_octave_sii`.
    """
    speech, noise = _by_band(speech_db), _by_band(noise_db)
    slope, masking = masking_levels(speech, noise)
    floor = np.asarray(INTERNAL_NOISE_DB) + _by_band(threshold_db_hl)  # 4.4
    disturbance = np.maximum(masking, floor)  # 4.5: a maximum, not a sum of powers
    level_factor = level_distortion(speech)
    audibility = np.clip((speech - disturbance + 15) / 30, 0, 1)  # 4.7
    index = np.sum(level_factor * audibility * np.asarray(importance), axis=-1)  # 4.8
    return IndexSteps(
        slope_db=slope,
        masking_db=masking,
        disturbance_db=disturbance,
        level_factor=level_factor,
        audibility=audibility,
        index=index,
    )


def masking_levels(
    speech_db: npt.ArrayLike, noise_db: npt.ArrayLike
) -> tuple[BandLevels, BandLevels]:
    """Return the slope C and the equivalent masking spectrum level Z (4.3.2)."""
    speech, noise = np.asarray(speech_db, float), np.asarray(noise_db, float)
    masker = np.maximum(noise, speech + SELF_MASKING_DB)
    centres = np.asarray(CENTRES_HZ)
    slope = -80 + 0.6 * (masker + 10 * np.log10(centres) - 6.353)
    masking = np.empty_like(masker)
    masking[..., 0] = masker[..., 0]
    octaves = 3.32 * np.log10(0.89 * centres[:, None] / centres[None, :])
    for band in range(1, len(centres)):
        spread = masker[..., :band] + slope[..., :band] * octaves[band, :band]
        power = 10 ** (0.1 * noise[..., band]) + np.sum(10 ** (0.1 * spread), axis=-1)
        masking[..., band] = 10 * np.log10(power)
    return slope, masking


def level_distortion(speech_db: npt.ArrayLike) -> BandLevels:
    """Return L (4.6): what speech loses by being louder than normal effort, 0..1."""
    normal = np.asarray(NORMAL_SPEECH_DB)
    lost: BandLevels = (np.asarray(speech_db, dtype=np.float64) - normal - 10) / 160
    return np.clip(1 - lost, 0, 1)


def _by_band(values: npt.ArrayLike) -> BandLevels:
    """Return the values as floats, one for each band on the last axis."""
    array, bands = np.asarray(values, dtype=np.float64), len(CENTRES_HZ)
    if array.ndim == 0:
        return np.full(bands, array)
    if array.shape[-1] != bands:
        raise ValueError(
            f"{array.shape[-1]} bands were given, the method has {bands}: "
            "put one value for each band on the last axis."
        )
    return array
