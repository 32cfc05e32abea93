"""Tables of hearing by age (ISO 7029:2017) and of the threshold of a tone, as data.

The digits of ISO 7029:2017, Tables 1 to 5, are those of the Python package
``phonometry`` 3.3.0, the only transcription found: good, but singly sourced.
The free-field thresholds are ISO 226:2023, Table 1 (T_f), from the same package;
those of ISO 226:2003 in the Auditory Modeling Toolbox agree from 125 Hz up.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

ThresholdRow = tuple[float, ...]


class Sex(StrEnum):
    """The two columns of the standard."""

    WOMEN = "women"
    MEN = "men"


@dataclass(frozen=True, slots=True, kw_only=True)
class AgeTable:
    """Hearing of one sex by age; every tuple has one entry a frequency.

    With u the years above 18: the median rises by ``factor * u**exponent`` dB;
    the spread above it (worse hearing) and below it are polynomials in u, from
    the constant up.
    """

    factor: ThresholdRow
    exponent: ThresholdRow
    worse_spread: tuple[ThresholdRow, ...]
    better_spread: tuple[ThresholdRow, ...]


FREQUENCIES_HZ = (125, 250, 500, 750, 1000, 1500, 2000, 3000, 4000, 6000, 8000)
YOUNGEST, OLDEST = 18, 80
"""The ages the standard covers; above 70 its values at 3 kHz and up inform only."""

# fmt: off
BY_SEX = {
    Sex.WOMEN: AgeTable(
        factor=(6.16e-4, 3.98e-4, 2.61e-4, 2.25e-4, 2.21e-4, 2.53e-4,
                3.12e-4, 4.88e-4, 7.37e-4, 1.47e-3, 2.53e-3),
        exponent=(2.451, 2.568, 2.708, 2.775, 2.805, 2.813,
                2.792, 2.728, 2.660, 2.539, 2.439),
        worse_spread=(
            (5.05, .400, -4.60e-2, 1.73e-3, -2.75e-5, 1.71e-7),
            (5.01, .481, -4.88e-2, 1.80e-3, -2.81e-5, 1.67e-7),
            (4.68, .510, -5.16e-2, 1.95e-3, -3.07e-5, 1.77e-7),
            (4.45, .511, -5.25e-2, 2.03e-3, -3.18e-5, 1.81e-7),
            (4.34, .492, -5.15e-2, 2.03e-3, -3.18e-5, 1.78e-7),
            (4.23, .479, -5.12e-2, 2.07e-3, -3.26e-5, 1.80e-7),
            (4.26, .456, -4.91e-2, 2.01e-3, -3.16e-5, 1.70e-7),
            (4.36, .476, -5.15e-2, 2.19e-3, -3.51e-5, 1.91e-7),
            (4.61, .477, -5.07e-2, 2.19e-3, -3.51e-5, 1.88e-7),
            (5.22, .483, -4.83e-2, 2.13e-3, -3.39e-5, 1.74e-7),
            (5.84, .516, -4.89e-2, 2.18e-3, -3.49e-5, 1.77e-7),
        ),
        better_spread=(
            (3.64, .047, 2.28e-3, -6.68e-5, -8.72e-7, 2.30e-8),
            (3.11, .226, -7.71e-3, 9.83e-5, -7.11e-7, 9.02e-9),
            (2.98, .338, -1.74e-2, 3.53e-4, -2.78e-6, 1.01e-8),
            (3.03, .378, -2.24e-2, 5.20e-4, -4.60e-6, 1.50e-8),
            (3.15, .382, -2.39e-2, 5.62e-4, -4.60e-6, 9.87e-9),
            (3.32, .387, -2.64e-2, 6.71e-4, -5.76e-6, 1.07e-8),
            (3.47, .392, -2.84e-2, 7.79e-4, -7.35e-6, 1.71e-8),
            (3.69, .392, -2.96e-2, 8.44e-4, -7.55e-6, 8.16e-9),
            (3.84, .402, -3.17e-2, 9.99e-4, -1.08e-5, 2.99e-8),
            (4.04, .403, -3.15e-2, 1.06e-3, -1.21e-5, 3.44e-8),
            (4.15, .413, -3.01e-2, 1.00e-3, -9.97e-6, 8.74e-9),
        ),
    ),
    Sex.MEN: AgeTable(
        factor=(2.50e-6, 1.39e-4, 4.59e-4, 5.70e-4, 7.02e-4, 1.09e-3,
                1.56e-3, 2.54e-3, 3.40e-3, 4.53e-3, 5.06e-3),
        exponent=(3.841, 2.832, 2.537, 2.512, 2.494, 2.446,
                2.404, 2.350, 2.325, 2.315, 2.328),
        worse_spread=(
            (4.63, .645, -8.85e-2, 3.69e-3, -5.98e-5, 3.39e-7),
            (5.27, .710, -9.13e-2, 3.64e-3, -5.74e-5, 3.22e-7),
            (4.98, .751, -9.20e-2, 3.68e-3, -5.84e-5, 3.28e-7),
            (4.65, .733, -8.81e-2, 3.59e-3, -5.76e-5, 3.24e-7),
            (4.42, .714, -8.54e-2, 3.57e-3, -5.82e-5, 3.29e-7),
            (4.14, .679, -8.04e-2, 3.52e-3, -5.89e-5, 3.35e-7),
            (4.10, .632, -7.53e-2, 3.46e-3, -5.94e-5, 3.40e-7),
            (4.29, .530, -6.28e-2, 3.09e-3, -5.37e-5, 2.95e-7),
            (4.68, .455, -5.52e-2, 2.95e-3, -5.30e-5, 2.92e-7),
            (5.61, .363, -4.72e-2, 2.92e-3, -5.58e-5, 3.12e-7),
            (6.62, .291, -4.16e-2, 2.92e-3, -5.85e-5, 3.33e-7),
        ),
        better_spread=(
            (3.34, .131, -2.02e-2, 1.12e-3, -2.28e-5, 1.57e-7),
            (3.32, .230, -2.54e-2, 1.20e-3, -2.27e-5, 1.46e-7),
            (3.43, .362, -4.11e-2, 1.87e-3, -3.44e-5, 2.21e-7),
            (3.60, .384, -4.43e-2, 1.98e-3, -3.55e-5, 2.22e-7),
            (3.77, .363, -4.19e-2, 1.82e-3, -3.14e-5, 1.89e-7),
            (3.93, .365, -4.22e-2, 1.79e-3, -2.96e-5, 1.70e-7),
            (4.01, .387, -4.47e-2, 1.87e-3, -3.02e-5, 1.69e-7),
            (4.11, .405, -4.56e-2, 1.86e-3, -2.83e-5, 1.46e-7),
            (4.09, .439, -4.78e-2, 1.92e-3, -2.84e-5, 1.40e-7),
            (4.01, .497, -4.97e-2, 1.93e-3, -2.67e-5, 1.18e-7),
            (3.90, .559, -5.62e-2, 2.40e-3, -3.92e-5, 2.29e-7),
        ),
    ),
}

FREE_FIELD_THRESHOLD_DB_SPL = {
    20: 78.1, 25: 68.7, 31.5: 59.5, 40: 51.1, 50: 44.0, 63: 37.5,
    80: 31.5, 100: 26.5, 125: 22.1, 160: 17.9, 200: 14.4, 250: 11.4,
    315: 8.6, 400: 6.2, 500: 4.4, 630: 3.0, 800: 2.2, 1000: 2.4,
    1250: 3.5, 1600: 1.7, 2000: -1.3, 2500: -4.2, 3150: -6.0, 4000: -5.4,
    5000: -1.5, 6300: 6.0, 8000: 12.6, 10000: 13.9, 12500: 12.3,
}
"""Threshold of a tone by its frequency: both ears, frontal, normal hearing."""
# fmt: on
