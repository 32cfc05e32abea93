"""The Speech Intelligibility Index of ANSI S3.5-1997, one-third octave and octave.

All spectra are spectrum levels in dB SPL per Hz, free field at the listener's
place; thresholds are dB HL. The last axis of every array is the band, from low
to high; the others broadcast. Clause numbers stand beside the steps. The index
is meant for otologically normal listeners; with raised thresholds alone it
over-predicts for older ears.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt

from cuetrack.sound.hearing.sii_tables import (
    OCTAVE,
    THIRD_OCTAVE,
    BandTable,
    Effort,
    Importance,
)

if TYPE_CHECKING:
    from collections.abc import Sequence

BandLevels = npt.NDArray[np.float64]
"""Values by band, shape (..., bands)."""

NO_NOISE_DB = -50.0
"""Noise spectrum level that stands for none (note in 4.2)."""

BOTH_EARS_DB = -1.7
"""Added to the thresholds of someone who listens with both ears (5.1.5)."""

SELF_MASKING_DB = -24.0
"""Level of speech as its own masker (4.3.2.1)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class IndexSteps:
    """The intermediate values of one index, each of shape (..., bands).

    ``slope_db`` (C, dB per octave) is None in the octave method, where
    masking does not spread.
    """

    slope_db: BandLevels | None
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
    importance: Importance | Sequence[float] = Importance.STANDARD,
) -> npt.NDArray[np.float64]:
    """Return the index, 0..1, by the one-third-octave method.

    Parameters
    ----------
    speech_db, noise_db : array_like
        Spectrum levels at the listener, dB SPL per Hz, shape (..., 18).
    threshold_db_hl : array_like
        Hearing thresholds, dB HL, shape (..., 18); 0 is normal hearing.
    importance
        A published importance function, or 18 weights.

    Returns
    -------
    numpy.ndarray
        The index, in the broadcast shape without the band axis.

    Examples
    --------
    >>> round(float(third_octave_sii([54] * 18, [40, 30, 20] + [0] * 15)), 4)
    0.8514
    """
    return steps(
        speech_db, noise_db, threshold_db_hl, table=THIRD_OCTAVE, importance=importance
    ).index


def octave_sii(
    speech_db: npt.ArrayLike,
    noise_db: npt.ArrayLike = NO_NOISE_DB,
    threshold_db_hl: npt.ArrayLike = 0.0,
    *,
    importance: Importance | Sequence[float] = Importance.STANDARD,
) -> npt.NDArray[np.float64]:
    """Return the index, 0..1, by the octave method: six bands, no spread of masking.

    Arguments and shapes as in `third_octave_sii`, with 6 bands.
    """
    return steps(
        speech_db, noise_db, threshold_db_hl, table=OCTAVE, importance=importance
    ).index


def steps(
    speech_db: npt.ArrayLike,
    noise_db: npt.ArrayLike = NO_NOISE_DB,
    threshold_db_hl: npt.ArrayLike = 0.0,
    *,
    table: BandTable = THIRD_OCTAVE,
    importance: Importance | Sequence[float] = Importance.STANDARD,
) -> IndexSteps:
    """Return the index together with the values that lead to it.

    Shapes as in `third_octave_sii`; the number of bands is the table's.
    """
    bands = len(table.centres_hz)
    speech = _by_band(speech_db, bands)
    noise = _by_band(noise_db, bands)
    threshold = _by_band(threshold_db_hl, bands)
    weights = (
        table.importance[importance]
        if isinstance(importance, Importance)
        else importance
    )
    slope, masking = masking_levels(speech, noise, table=table)
    floor = np.asarray(table.internal_noise_db) + threshold  # 4.4
    disturbance = np.maximum(masking, floor)  # 4.5: a maximum, not a sum of powers
    level_factor = level_distortion(speech, table=table)
    audibility = np.clip((speech - disturbance + 15) / 30, 0, 1)  # 4.7
    index = np.sum(level_factor * audibility * np.asarray(weights), axis=-1)  # 4.8
    return IndexSteps(
        slope_db=slope,
        masking_db=masking,
        disturbance_db=disturbance,
        level_factor=level_factor,
        audibility=audibility,
        index=index,
    )


def masking_levels(
    speech_db: npt.ArrayLike,
    noise_db: npt.ArrayLike,
    *,
    table: BandTable = THIRD_OCTAVE,
) -> tuple[BandLevels | None, BandLevels]:
    """Return the slope C and the equivalent masking spectrum level Z (4.3.2).

    Where masking does not spread, C is None and Z is the noise itself.
    """
    speech, noise = np.asarray(speech_db, float), np.asarray(noise_db, float)
    if not table.spreads:
        return None, np.broadcast_arrays(noise, speech)[0]
    masker = np.maximum(noise, speech + SELF_MASKING_DB)
    centres = np.asarray(table.centres_hz)
    slope = -80 + 0.6 * (masker + 10 * np.log10(centres) - 6.353)
    masking = np.empty_like(masker)
    masking[..., 0] = masker[..., 0]
    octaves = 3.32 * np.log10(0.89 * centres[:, None] / centres[None, :])
    for band in range(1, len(centres)):
        spread = masker[..., :band] + slope[..., :band] * octaves[band, :band]
        power = 10 ** (0.1 * noise[..., band]) + np.sum(10 ** (0.1 * spread), axis=-1)
        masking[..., band] = 10 * np.log10(power)
    return slope, masking


def level_distortion(
    speech_db: npt.ArrayLike, *, table: BandTable = THIRD_OCTAVE
) -> BandLevels:
    """Return L (4.6): what speech loses by being louder than normal effort, 0..1."""
    normal = np.asarray(table.speech_db[Effort.NORMAL])
    lost: BandLevels = (np.asarray(speech_db, dtype=np.float64) - normal - 10) / 160
    return np.clip(1 - lost, 0, 1)


def standard_speech_db(
    effort: Effort = Effort.NORMAL,
    distance_m: float = 1.0,
    *,
    table: BandTable = THIRD_OCTAVE,
) -> BandLevels:
    """Return the standard speech spectrum at a distance from the talker's mouth.

    Free field: it falls by 6 dB with each doubling of the distance (5.1).
    """
    at_one_metre: BandLevels = np.asarray(table.speech_db[effort])
    return at_one_metre - 20 * math.log10(distance_m)


def _by_band(values: npt.ArrayLike, bands: int) -> BandLevels:
    """Return the values as floats with ``bands`` of them on the last axis."""
    array = np.asarray(values, dtype=np.float64)
    if array.ndim == 0:
        return np.full(bands, array)
    if array.shape[-1] != bands:
        raise ValueError(
            f"{array.shape[-1]} bands were given, the method has {bands}: "
            "put one value for each band on the last axis."
        )
    return array
