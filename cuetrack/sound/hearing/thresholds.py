"""How well people of an age hear: thresholds by ISO 7029:2017.

It describes otologically normal people of 18 to 80, screened for ear disease
and noise; an ordinary class hears worse, so more than the median must be looked
at. Beyond 80 the polynomials lose their meaning: ages are clamped, and the
result says so.
"""

from __future__ import annotations

from dataclasses import dataclass
from statistics import NormalDist
from typing import TYPE_CHECKING

import numpy as np

from cuetrack.sound.hearing.sii_tables import CENTRES_HZ, Bands
from cuetrack.sound.hearing.threshold_tables import (
    BY_SEX,
    FREE_FIELD_THRESHOLD_DB_SPL,
    FREQUENCIES_HZ,
    OLDEST,
    YOUNGEST,
    Sex,
)

if TYPE_CHECKING:
    import numpy.typing as npt

MEDIAN = 0.5
WORSE_QUARTER = 0.75
"""A quarter of the people of that age hear worse than this percentile."""
WORSE_TENTH = 0.9


@dataclass(frozen=True, slots=True, kw_only=True)
class AgeThresholds:
    """Thresholds in dB HL at ``frequencies_hz``; ``age`` is the age used."""

    frequencies_hz: Bands
    levels_db_hl: Bands
    age: float


def thresholds_by_age(
    age: float, sex: Sex, percentile: float = MEDIAN
) -> AgeThresholds:
    """Return the hearing thresholds at the audiometric frequencies, 125-8000 Hz.

    Parameters
    ----------
    age
        Years; outside 18..80 the nearest of them is used.
    sex
        Which of the standard's two columns.
    percentile
        Share of people who hear better than this, 0..1, ends excluded; 0.75
        is where the worse-hearing quarter begins.

    Raises
    ------
    ValueError
        If the percentile is not between 0 and 1.

    Examples
    --------
    >>> round(thresholds_by_age(70, Sex.WOMEN).levels_db_hl[8], 2)
    27.04
    """
    if not 0 < percentile < 1:
        raise ValueError(
            f"A percentile of {percentile} means nobody: give one between 0 and 1."
        )
    used = min(max(age, YOUNGEST), OLDEST)
    table = BY_SEX[sex]
    years = used - YOUNGEST
    quantile = NormalDist().inv_cdf(percentile)
    spread = table.worse_spread if quantile >= 0 else table.better_spread
    median = np.asarray(table.factor) * years ** np.asarray(table.exponent)
    deviation = np.asarray(spread) @ years ** np.arange(6.0)
    levels = median + quantile * deviation
    return AgeThresholds(
        frequencies_hz=FREQUENCIES_HZ,
        levels_db_hl=tuple(float(level) for level in levels),
        age=used,
    )


def at_bands(thresholds: AgeThresholds) -> Bands:
    """Return the thresholds at the centres of the bands, dB HL.

    Linear in the logarithm of frequency.
    """
    levels = np.interp(
        np.log10(CENTRES_HZ),
        np.log10(thresholds.frequencies_hz),
        thresholds.levels_db_hl,
    )
    return tuple(float(level) for level in levels)


def tone_threshold_db_spl(
    frequency_hz: npt.ArrayLike, threshold_db_hl: npt.ArrayLike
) -> npt.NDArray[np.float64]:
    """Return the level at which a tone is just heard, dB SPL in a free field.

    The loss in dB HL adds to the normal threshold of ISO 226:2023, which is
    interpolated linearly in the logarithm of frequency between 20 and 12500 Hz.
    """
    normal = np.interp(
        np.log10(frequency_hz),
        np.log10(tuple(FREE_FIELD_THRESHOLD_DB_SPL)),
        tuple(FREE_FIELD_THRESHOLD_DB_SPL.values()),
    )
    return normal + np.asarray(threshold_db_hl, dtype=np.float64)
