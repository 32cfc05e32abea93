"""Standard speech spectra of ANSI S3.5-1997, Table 3, from the R package ``SII``.

Spectrum levels in dB SPL per Hz at 1 m, by vocal effort; 160 Hz to 8 kHz.
"""

from __future__ import annotations

import numpy as np

from cuetrack.sound.hearing.sii_tables import NORMAL_SPEECH_DB

# fmt: off
SPEECH_DB = {
    "normal": np.array(NORMAL_SPEECH_DB),
    "raised": np.array((
        33.81, 33.92, 38.98, 38.57, 39.11, 40.15, 38.78, 36.37, 33.86,
        31.89, 28.58, 25.32, 22.35, 20.15, 16.78, 11.47, 7.67, 5.07)),
    "loud": np.array((
        35.29, 37.76, 41.55, 43.78, 43.30, 44.85, 45.55, 44.05, 42.16,
        40.53, 37.70, 34.39, 30.98, 28.21, 25.41, 18.35, 13.87, 11.39)),
    "shout": np.array((
        30.77, 36.65, 42.50, 46.51, 47.40, 49.24, 51.21, 51.44, 51.31,
        49.63, 47.65, 44.32, 40.80, 38.13, 34.41, 28.24, 23.45, 20.72)),
}
# fmt: on
