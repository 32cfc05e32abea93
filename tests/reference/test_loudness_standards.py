"""Loudness and true peak against the signals of the standards, and two meters.

Signals of EBU Tech 3341 and 3342 that can be synthesised: values and tolerances
from memory, checked against public conformance tests found by search, not against
the documents themselves. Levels are the peaks of sines on both channels.
"""

from __future__ import annotations

import numpy as np
import pyloudnorm
import pytest

from cuetrack.sound.limiting import limit
from cuetrack.sound.loudness import gated_lufs, k_weighting, measure, read_subblocks
from tests.sound.outside_meter import by_ffmpeg
from tests.sound.sounds import cut, joined, noise, sine, syllables

pytestmark = pytest.mark.outside


def steps(*parts):
    """A 1 kHz sine on both channels that steps through (dBFS, seconds) parts."""
    levels = np.concatenate(
        [np.full(round(seconds * 48_000), 10 ** (dbfs / 20)) for dbfs, seconds in parts]
    )
    tone = levels * np.sin(2 * np.pi * 1000 * np.arange(len(levels)) / 48_000)
    return np.stack([tone, tone], 1).astype(np.float32)


def faded(tone):
    """50 ms fades, so that switching on does not ring above the tone's own peak."""
    fade = 0.5 - 0.5 * np.cos(np.pi * np.arange(2400) / 2400)
    tone = tone.copy()
    tone[:2400] *= fade
    tone[-2400:] *= fade[::-1]
    return tone.astype(np.float32)[:, np.newaxis]


@pytest.mark.parametrize(
    ("parts", "expected"),
    [
        ([(-23, 20)], -23.0),
        ([(-33, 20)], -33.0),
        ([(-36, 10), (-23, 60), (-36, 10)], -23.0),
        ([(-72, 10), (-36, 10), (-23, 60), (-36, 10), (-72, 10)], -23.0),
        ([(-26, 20), (-20, 20.1), (-26, 20)], -23.0),
    ],
    ids=["3341-1", "3341-2", "3341-3", "3341-4", "3341-5"],
)
def test_integrated_loudness_of_ebu_tech_3341(parts, expected):
    """Both our meters read the signals within 0.1 LU."""
    sound = steps(*parts)
    blocks = lambda: cut(sound, 65_536)  # noqa: E731
    assert measure(blocks(), 2).integrated_lufs == pytest.approx(expected, abs=0.1)
    powers = read_subblocks(blocks(), 2).powers
    assert gated_lufs(powers) == pytest.approx(expected, abs=0.1)


@pytest.mark.parametrize(
    ("parts", "expected"),
    [
        ([(-20, 20), (-30, 20)], 10),
        ([(-20, 20), (-15, 20)], 5),
        ([(-40, 20), (-20, 20)], 20),
        ([(-50, 20), (-35, 20), (-20, 20), (-35, 20), (-50, 20)], 15),
    ],
    ids=["3342-1", "3342-2", "3342-3", "3342-4"],
)
def test_loudness_range_of_ebu_tech_3342(parts, expected):
    """The loudness range is right within 1 LU."""
    levels = measure(cut(steps(*parts), 65_536), 2)
    assert levels.range_lu == pytest.approx(expected, abs=1)


TRUE_PEAKS = pytest.mark.parametrize(
    ("divisor", "amplitude", "phase_degrees", "expected"),
    [
        (4, 0.50, 0, -6.0),
        (4, 0.50, 45, -6.0),
        (6, 0.50, 60, -6.0),
        (8, 0.50, 67.5, -6.0),
        (4, 1.41, 45, 3.0),
    ],
    ids=["3341-15", "3341-16", "3341-17", "3341-18", "3341-19"],
)


@TRUE_PEAKS
def test_true_peak_of_ebu_tech_3341(divisor, amplitude, phase_degrees, expected):
    """Peaks between samples are read within +0.2 and -0.4 dB."""
    tone = faded(sine(48_000 / divisor, 1, amplitude, phase_degrees))
    found = measure([tone], 1).true_peak_dbtp
    assert expected - 0.4 <= found <= expected + 0.2


@TRUE_PEAKS
def test_limiter_holds_the_true_peaks_of_ebu_tech_3341(
    divisor, amplitude, phase_degrees, expected
):
    """6 dB under their peak, the limiter brings each to 6 dB less, within 0.1 dB."""
    tone = faded(sine(48_000 / divisor, 1, amplitude, phase_degrees))
    ceiling_dbtp = expected - 6
    chunks = limit(cut(tone, 7000), 10 ** (ceiling_dbtp / 20))
    found = measure([joined(chunk.sound for chunk in chunks)], 1).true_peak_dbtp
    assert found == pytest.approx(ceiling_dbtp, abs=0.1)


def test_anchor_of_itu_r_bs_1770():
    """A sine of 997 Hz at full scale in one channel reads -3.01 LKFS."""
    tone = sine(997, 5).astype(np.float32)[:, np.newaxis]
    assert measure([tone], 1).integrated_lufs == pytest.approx(-3.01, abs=0.005)
    powers = read_subblocks([tone], 1).powers
    assert gated_lufs(powers) == pytest.approx(-3.01, abs=0.005)


@pytest.mark.parametrize(
    "sound",
    [
        noise(480_000, 2),
        np.pad(syllables(6), (48_000, 96_000))[:, np.newaxis],
        steps((-30, 3), (-18, 4), (-60, 3)),
    ],
    ids=["noise", "syllables", "steps"],
)
def test_independent_meter_agrees(sound):
    """pyloudnorm, which reads 0.042 LU low on every signal, agrees to 0.1 LU."""
    other = pyloudnorm.Meter(48_000).integrated_loudness(sound.astype(np.float64))
    found = measure([sound], sound.shape[1]).integrated_lufs
    assert found == pytest.approx(other + 0.042, abs=0.1)
    powers = read_subblocks([sound], sound.shape[1]).powers
    assert gated_lufs(powers) == pytest.approx(found, abs=1e-4)


@pytest.mark.parametrize("channels", [1, 2])
def test_a_second_independent_meter_agrees(channels):
    """FFmpeg reads sound that swells alike: loudness to 0.02 LU, its range to 1 LU.

    It looks ten times a second for the range, we once; 1 LU is what EBU Tech 3342
    allows a meter.
    """
    swell = np.abs(np.sin(np.arange(40 * 48_000) / 48_000 / 5)) ** 2
    sound = noise(len(swell), channels) * swell[:, np.newaxis].astype(np.float32)
    found, other = measure(cut(sound, 65_536), channels), by_ffmpeg(sound)
    assert found.integrated_lufs == pytest.approx(other["I"][-1], abs=0.02)
    assert found.range_lu == pytest.approx(other["LRA"][-1], abs=1)


@pytest.mark.parametrize("rate_hz", [22_050, 24_000, 44_100, 96_000])
def test_integrated_loudness_at_other_rates(rate_hz):
    """The first signal of EBU Tech 3341 reads -23 LUFS at any rate within 0.02 LU."""
    tone = sine(1000, 20, 10 ** (-23 / 20), rate_hz=rate_hz).astype(np.float32)
    found = measure([np.stack([tone, tone], 1)], 2, rate_hz)
    assert found.integrated_lufs == pytest.approx(-23.0, abs=0.02)


def test_k_weighting_of_44100_hz():
    """Both sections at 44.1 kHz have the poles published for it.

    Coefficients from memory of public implementations of ITU-R BS.1770.
    """
    shelf, pass_high = k_weighting(44_100)
    assert shelf[4:] == pytest.approx([-1.66365511, 0.71259543], abs=2e-8)
    assert pass_high[4:] == pytest.approx([-1.98916967, 0.98919903], abs=2e-8)
