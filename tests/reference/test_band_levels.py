"""Band levels and loudness against a filter bank and another loudness meter.

Sources: IEC 61260-1 band edges realised as Butterworth filters by SciPy;
FFmpeg's ebur128; the anchor of ITU-R BS.1770-4, annex 1.
"""

from __future__ import annotations

import numpy as np
import pytest
from scipy.signal import butter, sosfilt

from cuetrack.sound.hearing.bands import spectrum
from tests.sound.outside_meter import by_ffmpeg

pytestmark = pytest.mark.outside

RATE = 48_000


def coloured_noise(seconds, slope_db_per_octave, seed=3):
    """Noise whose density falls or rises evenly; about -20 dB overall."""
    random = np.random.default_rng(seed)
    lines = np.fft.rfft(random.standard_normal(int(seconds * RATE)))
    at_hz = np.maximum(np.fft.rfftfreq(int(seconds * RATE), 1 / RATE), 20)
    lines *= (at_hz / 1000) ** (slope_db_per_octave / 6.02)
    sound = np.fft.irfft(lines)
    return (0.1 * sound / sound.std()).astype(np.float32)


@pytest.mark.parametrize("slope_db_per_octave", [-6, -3, 0])
def test_bands_agree_with_a_filter_bank(slope_db_per_octave):
    """Sixth-order Butterworth bands of red, pink and white noise agree to 0.3 dB."""
    sound = coloured_noise(30, slope_db_per_octave)
    found = spectrum(sound).band_db
    for band, level in enumerate(found):
        centre_hz = 1000 * 10 ** ((band - 8) / 10)
        edges_hz = centre_hz * 10 ** np.array([-0.05, 0.05])
        filtered = sosfilt(
            butter(6, edges_hz, "bandpass", fs=RATE, output="sos"),
            sound.astype(np.float64),
        )
        expected = 10 * np.log10(np.mean(filtered**2))
        assert level == pytest.approx(expected, abs=0.3)


@pytest.mark.parametrize("slope_db_per_octave", [-6, -3, 0])
def test_loudness_agrees_with_ffmpeg(slope_db_per_octave):
    """Steady noise reads as by FFmpeg within the 0.1 LU of EBU Tech 3341.

    FFmpeg reads the anchor of ITU-R BS.1770 as -3.016: 0.005 LU low.
    """
    sound = coloured_noise(20, slope_db_per_octave)
    expected = by_ffmpeg(sound[:, np.newaxis])["I"][-1] + 0.005
    assert spectrum(sound).loudness_lufs == pytest.approx(expected, abs=0.1)


def test_anchor_tone_of_bs_1770():
    """A full-scale sine of 997 Hz in one channel reads -3.01."""
    time = np.arange(20 * RATE) / RATE
    sound = np.sin(2 * np.pi * 997 * time).astype(np.float32)
    assert spectrum(sound).loudness_lufs == pytest.approx(-3.01, abs=0.02)
