"""What sounds with a cue is measured as it is, whatever the cue itself sounds like."""

from __future__ import annotations

import numpy as np
import pytest

from cuetrack.plan.model import Group
from cuetrack.sound.loudness import measure
from cuetrack.verification.background import (
    background_of,
    clarity_of,
    listening_cells,
)
from tests.fakes import ToneSpeaker


def spoken(text="Sit tall, feet flat on the floor."):
    speaker = ToneSpeaker()
    return speaker.samples(speaker.speak([text])[text].key)


def hiss(frames, level_db, seed=0):
    noise = np.random.default_rng(seed).standard_normal(frames)
    return (10 ** (level_db / 20) * noise).astype(np.float32)


def background(heard, clip):
    return background_of(listening_cells(heard, clip))


@pytest.mark.parametrize("level_db", [-20, -30, -45])
@pytest.mark.parametrize("gain", [1.0, -0.5])
def test_noise_is_measured_through_the_voice(level_db, gain):
    """The mean square of what is added comes back within a decibel, at any gain."""
    clip = spoken()
    found = background(gain * clip + hiss(clip.size, level_db), clip)
    assert 10 * np.log10(found.rest.sum()) == pytest.approx(level_db, abs=1)
    assert found.flicker < 0.35


def test_strokes_in_the_pauses_alone_count_as_in_the_whole_cue():
    """Claps that fall between the words are no louder music than claps upon them."""
    clip = np.tile(spoken(), 2)
    quiet = np.abs(clip) < 0.01 * np.abs(clip).max()
    claps = np.where(quiet, hiss(clip.size, -30), 0).astype(np.float32)
    found = background(clip + claps, clip)
    whole = 10 * np.log10(np.mean(claps.astype(np.float64) ** 2))
    assert 10 * np.log10(found.rest.sum()) == pytest.approx(whole, abs=1)


@pytest.mark.parametrize("seed", range(4))
def test_what_follows_the_voice_is_an_encoders_and_no_background(seed):
    """An error 24 dB under a voice that hardly pauses hides none of the hiss below."""
    swells = np.abs(np.sin(np.linspace(0, 15 * np.pi, 144_000))) + 0.3
    clip, error = (swells * hiss(swells.size, level, seed) for level in (-20, -44))
    found = background(clip + error[::-1] + hiss(clip.size, -50, seed + 9), clip)
    assert 10 * np.log10(found.rest.sum()) == pytest.approx(-50, abs=2)


def test_the_clip_alone_has_nothing_under_it():
    """Of a clip at another level nothing is left over, and nobody loses anything."""
    clip = spoken()
    found = background(0.3 * clip, clip)
    assert found.rest.sum() < 1e-6 * found.speech.sum()
    clarity = clarity_of([found], Group())
    assert clarity.losses.tolist() == [0.0]


@pytest.mark.outside
def test_distance_in_lu_is_that_of_a_loudness_meter():
    """Speech over a hiss reads as ITU-R BS.1770 has the two apart, within 1.5 LU.

    The meter counts the gaps between the syllables of the voice too.
    """
    clip = np.tile(spoken(), 4)
    noise = hiss(clip.size, -40)
    apart = [measure([one[:, None]], 1).integrated_lufs for one in (clip, noise)]
    clarity = clarity_of([background(clip + noise, clip)], Group())
    assert clarity.over_lu[0] == pytest.approx(apart[0] - apart[1], abs=1.5)


def test_a_word_of_a_tenth_of_a_second_is_measured_too():
    """However short the clip, there are windows enough to say what sounds with it."""
    clip = spoken("No.")[:4800]
    found = background(clip + hiss(clip.size, -30), clip)
    assert np.isfinite(found.flicker)
    assert found.rest.sum() > 1e-4
