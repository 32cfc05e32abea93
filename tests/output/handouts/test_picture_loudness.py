"""Short-term loudness for the picture, against a meter and a published test tone."""

from __future__ import annotations

import math

import numpy as np
import pytest

from cuetrack.output.handouts.picture_loudness import (
    WINDOW_SUBBLOCKS,
    loudness_series,
    short_term_lufs,
)
from cuetrack.sound.loudness import SUBBLOCK_FRAMES
from cuetrack.times import SAMPLE_RATE_HZ
from tests.sound.outside_meter import by_ffmpeg

SECOND = SAMPLE_RATE_HZ


def in_blocks(sound, frames=65_536):
    return [sound[at : at + frames] for at in range(0, len(sound), frames)]


def sine(seconds, level_dbfs, channels=2):
    times = np.arange(round(seconds * SECOND)) / SECOND
    wave = 10 ** (level_dbfs / 20) * np.sin(2 * np.pi * 1000 * times)
    return np.repeat(wave[:, np.newaxis], channels, axis=1).astype(np.float32)


@pytest.mark.outside
def test_a_test_tone_reads_its_level():
    """EBU Tech 3341, test 1: stereo sine of 1 kHz at -23 dBFS is -23.0 +-0.1 LUFS."""
    lufs = short_term_lufs(in_blocks(sine(20, -23.0)), 2)
    assert lufs[2:19] == pytest.approx(-23.0, abs=0.1)


@pytest.mark.outside
def test_it_agrees_with_an_independent_meter():
    """FFmpeg's ebur128 on the same three seconds of noise that swells."""
    draw = np.random.default_rng(5)
    frames = 12 * SECOND
    swell = 0.02 + 0.2 * np.abs(np.sin(np.arange(frames) / SECOND))
    sound = (draw.standard_normal((frames, 2)) * swell[:, np.newaxis]).astype(
        np.float32
    )
    ours = short_term_lufs(in_blocks(sound), 2)
    theirs = by_ffmpeg(sound)["S"]
    for second in range(2, 11):
        heard = second * SECOND // SUBBLOCK_FRAMES + WINDOW_SUBBLOCKS // 2
        assert ours[second] == pytest.approx(theirs[heard - 1], abs=0.02)


def test_silence_is_minus_infinity():
    """Before, between and after sound, further than half a window from it."""
    quiet = np.zeros((10 * SECOND, 1), np.float32)
    sound = np.concatenate([quiet, sine(2, -20, 1), quiet])
    lufs = short_term_lufs(in_blocks(sound), 1)
    assert math.isinf(lufs[5])
    assert math.isinf(lufs[18])
    assert lufs[11] > -30
    assert len(lufs) == 23


def test_blocks_of_any_size_give_the_same():
    """The sound may come in whatever pieces the mix is made in."""
    draw = np.random.default_rng(2)
    sound = (draw.standard_normal((5 * SECOND, 1)) * 0.1).astype(np.float32)
    one = short_term_lufs([sound], 1)
    many = short_term_lufs(in_blocks(sound, 1_001), 1)
    assert np.array_equal(one, many)


def test_a_track_without_music_has_no_curve_for_it():
    """The series of the bed is empty then."""
    voice = in_blocks(sine(3, -20, 1))
    series = loudness_series(voice, None, 1)
    assert len(series.voice) == 4
    assert series.bed == ()
    assert len(loudness_series(voice, voice, 1).bed) == 4


def test_nothing_gives_a_single_silence():
    """A track of no length has one instant, and it is silent."""
    assert list(short_term_lufs([], 1)) == [-math.inf]
