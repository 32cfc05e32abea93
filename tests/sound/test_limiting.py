"""The limiter: under the ceiling, in its place, and no more than it must."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from cuetrack.sound.limiting import limit
from cuetrack.sound.loudness import measure
from cuetrack.speech.peaks import GAIN_REACH_FRAMES
from tests.sound.outside_meter import by_ffmpeg
from tests.sound.sounds import cut, joined, noise, pink, sine, syllables, treble_cut


def limited(sound, ceiling, frames=65_536):
    return joined(chunk.sound for chunk in limit(cut(sound, frames), ceiling))


def column(sound):
    return np.asarray(sound, np.float32)[:, np.newaxis]


@pytest.mark.parametrize(
    "sound",
    [
        column(3 * syllables(4)),
        treble_cut(noise(96_000, 2, rms=0.5)).astype(np.float32),
        column(treble_cut(0.2 * pink(96_000))),
        column(sine(12_000, 1, 1.2, 45) * np.hanning(48_000)),
        column(sine(8000, 1, 1.2, 60) * np.hanning(48_000)),
        column(sine(19_000, 1, 0.9) * np.hanning(48_000)),
        column(sine(60, 1, 1.5)),
        column(np.sign(sine(441, 1))),
    ],
    ids=["speech", "white", "pink", "fs/4", "fs/6", "19 kHz", "60 Hz", "square"],
)
@pytest.mark.parametrize("ceiling", [0.89, 0.4])
def test_no_peak_stands_above_the_ceiling(sound, ceiling):
    """An independent interpolation finds no true peak above it by 0.05 dB."""
    after = measure([limited(sound, ceiling)], sound.shape[1])
    assert after.true_peak_dbtp <= 20 * np.log10(ceiling) + 0.05


def test_full_treble_noise_is_held_within_a_third_of_a_decibel():
    """Noise up to 24 kHz, which no filter resolves, reads 0.3 dB high at most.

    By FFmpeg's ebur128, which interpolates with a filter of its own.
    """
    after = limited(noise(96_000, rms=0.5), 0.5)
    assert 20 * np.log10(by_ffmpeg(after)["true_peak"][-1] / 0.5) <= 0.3


@given(
    sizes=st.lists(st.integers(300, 50_000), min_size=1, max_size=4),
    length=st.integers(1, 40_000),
)
@settings(max_examples=25, deadline=None)
def test_limiter_does_not_depend_on_the_blocks(sizes, length):
    """However the sound is cut, what comes out is the same to the bit."""
    sound = noise(length, 2, seed=3, rms=0.3)
    whole = limited(sound, 0.5, length)
    assert whole.shape == sound.shape
    assert np.array_equal(limited(sound, 0.5, sizes), whole)


def test_quiet_sound_passes_untouched():
    """Where no peak is too high, every sample stays as it is."""
    sound = column(syllables(3))
    assert np.array_equal(limited(sound, 0.99), sound)
    assert all(chunk.least_gain == 1 for chunk in limit([sound], 0.99))


def test_limiter_acts_near_a_peak_and_nowhere_else():
    """Ten milliseconds from a peak the sound is as before, and no frame moves."""
    sound = column(0.1 * sine(500, 1))
    sound[24_000] = 0.95
    after = limited(sound, 0.5)
    changed = np.flatnonzero((after != sound).any(axis=1))
    assert changed.min() >= 24_000 - GAIN_REACH_FRAMES - 1
    assert changed.max() <= 24_000 + GAIN_REACH_FRAMES + 1
    assert abs(int(np.abs(after).argmax()) - 24_000) == 0
    assert 0.48 < after.max() <= 0.5


def test_gain_has_no_jump():
    """From frame to frame the gain changes by less than a thousandth of its way."""
    sound = np.full((48_000, 1), 0.3, np.float32)
    sound[20_000:20_010] = 0.9
    gains = (limited(sound, 0.45) / sound)[:, 0].astype(np.float64)
    outside = np.r_[gains[:19_990], gains[20_020:]]
    assert np.abs(np.diff(gains)).max() < 0.5 * 2 / 240
    assert outside.min() < 0.99, "the gain reaches beyond the peak"


def test_channels_are_turned_down_together():
    """A peak on one side does not move the voice off the middle."""
    sound = np.full((9600, 2), 0.2, np.float32)
    sound[4000, 1] = 0.9
    after = limited(sound, 0.4)
    apart = np.delete(after, 4000, axis=0)
    assert np.array_equal(apart[:, 0], apart[:, 1])


def test_peak_at_either_end_is_held():
    """The first and the last frame have neighbours on one side only."""
    for place in (0, 4799, 4800, 9650):
        sound = np.zeros((9651, 1), np.float32)
        sound[place] = 0.9
        assert np.abs(limited(sound, 0.3)).max() <= 0.3


def test_nothing_comes_of_nothing():
    """No blocks in, none out."""
    assert not list(limit([], 0.5))
