"""The speech transmission index of a room, by formulas of IEC 60268-16 (2020).

The indirect way: how much of a modulation is left by an impulse response and noise, in
seven octaves and at fourteen frequencies. The octave weights are those of table A.1,
the classes those of annex F. Left out are what is masked by lower octaves and the
threshold of hearing: so it is an index of the room, not of a level.
"""

from __future__ import annotations

import numpy as np
from scipy.signal import butter, sosfiltfilt

OCTAVES_HZ = (125, 250, 500, 1000, 2000, 4000, 8000)
MODULATIONS_HZ = np.array(
    [0.63, 0.8, 1, 1.25, 1.6, 2, 2.5, 3.15, 4, 5, 6.3, 8, 10, 12.5]
)
ALPHA = np.array([0.085, 0.127, 0.230, 0.233, 0.309, 0.224, 0.173])
BETA = np.array([0.085, 0.078, 0.065, 0.011, 0.047, 0.095])
CLASSES = ((0.75, "excellent"), (0.6, "good"), (0.45, "fair"), (0.3, "poor"))


def transmission_index(response, rate_hz, *, snr_db):
    """Return the index of a response; speech stands as far over noise in all bands."""
    seconds = np.arange(len(response)) / rate_hz
    waves = np.exp(-2j * np.pi * MODULATIONS_HZ[:, None] * seconds)
    indices = []
    for centre_hz in OCTAVES_HZ:
        edges = np.array([2**-0.5, 2**0.5]) * centre_hz
        sos = butter(3, edges, "bandpass", fs=rate_hz, output="sos")
        energy = sosfiltfilt(sos, np.pad(response, rate_hz // 10)) ** 2
        energy = energy[rate_hz // 10 :][: len(response)]
        left = np.abs(waves @ energy) / energy.sum()
        indices.append(of_modulation(left / (1 + 10 ** (-snr_db / 10))).mean())
    return weighted(np.array(indices))


def of_modulation(left):
    """Return the transmission index of what is left of a modulation, 0..1."""
    left = np.clip(left, 1e-9, 1 - 1e-9)
    return (np.clip(10 * np.log10(left / (1 - left)), -15, 15) + 15) / 30


def weighted(indices):
    """Return the index over all octaves."""
    overlap = np.sqrt(indices[:-1] * indices[1:])
    return float(min(ALPHA @ indices - BETA @ overlap, 1))


def class_of(index):
    """Return the class of an index."""
    return next((word for least, word in CLASSES if index >= least), "bad")
