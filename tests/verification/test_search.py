"""Finding a known sound: exact in place, level and wholeness."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from cuetrack.verification.search import (
    best_score,
    find,
    make_search_window,
    make_template,
)
from tests.fakes import ToneSpeaker

SPEAKER = ToneSpeaker()
TEXTS = ("Three.", "Go!", "Halfway.", "Sit tall, feet flat on the floor.")


def clip(text):
    return SPEAKER.samples(SPEAKER.speak([text])[text].key)


def noise(frames, seed, rms):
    """Noise that falls by 3 dB an octave, like the long-term spectrum of music."""
    spectrum = np.fft.rfft(np.random.default_rng(seed).standard_normal(frames))
    spectrum /= np.sqrt(np.maximum(1, np.arange(spectrum.size)))
    sound = np.fft.irfft(spectrum, frames)
    return sound * rms / np.sqrt(np.mean(sound**2))


@settings(max_examples=40, deadline=None)
@given(
    text=st.sampled_from(TEXTS),
    shift=st.integers(-72_000, 72_000),
    seed=st.integers(0, 2**32 - 1),
)
def test_any_shift_is_measured_within_a_sample_in_noise(text, shift, seed):
    """A cue shifted by up to 1.5 s is found within a sample, noise 12 dB below."""
    sound = clip(text)
    place = 96_000 + shift
    stretch = noise(
        sound.size + 192_000, seed, np.sqrt(np.mean(sound**2)) * 10 ** (-12 / 20)
    )
    stretch[place : place + sound.size] += sound
    (match,) = find(
        make_search_window(stretch.astype(np.float32)), make_template(sound)
    )
    assert match.frame == pytest.approx(place, abs=1)
    assert match.gain == pytest.approx(1, abs=0.1)
    assert match.whole > 0.6


@pytest.mark.parametrize("fraction", [0.25, 0.5, -0.37])
def test_fractions_of_a_frame_are_measured(fraction):
    """A sound delayed by part of a frame is found there within 0.01 frames."""
    sound = np.pad(clip("Halfway."), 4800)
    turn = np.exp(-2j * np.pi * np.fft.rfftfreq(sound.size) * fraction)
    late = np.fft.irfft(np.fft.rfft(sound) * turn, sound.size).astype(np.float32)
    (match,) = find(make_search_window(late), make_template(clip("Halfway.")))
    assert match.frame == pytest.approx(4800 + fraction, abs=0.01)


def test_another_clip_is_not_found():
    """Every clip scores below the threshold against every other."""
    for text in TEXTS:
        stretch = make_search_window(np.pad(clip(text), 20_000))
        for other in TEXTS:
            found = find(stretch, make_template(clip(other)))
            assert bool(found) == (other == text)


def test_a_sound_said_twice_is_found_twice():
    """Two copies in one stretch give two matches in order, each with its gain."""
    sound = clip("Go!")
    stretch = np.zeros(100_000, np.float32)
    stretch[1000 : 1000 + sound.size] = sound
    stretch[60_000 : 60_000 + sound.size] = sound / 2
    first, second = find(make_search_window(stretch), make_template(sound))
    assert (first.frame, second.frame) == pytest.approx((1000, 60_000), abs=0.01)
    assert (first.gain, second.gain) == pytest.approx((1, 0.5), abs=0.01)


def test_the_gain_does_not_depend_on_what_else_sounds():
    """A level is measured on the sound itself, not on the music around it."""
    sound = clip("Sit tall, feet flat on the floor.")
    rms = np.sqrt(np.mean(sound**2))
    stretch = 0.25 * np.pad(sound, 9600) + noise(sound.size + 19_200, 3, 0.1 * rms)
    (match,) = find(
        make_search_window(stretch.astype(np.float32)), make_template(sound)
    )
    assert match.gain == pytest.approx(0.25, abs=0.01)


def test_a_piece_that_is_not_there_shows():
    """Half a sentence still fits, but its weakest piece has no level."""
    sound = clip("Sit tall, feet flat on the floor.")
    half = np.where(np.arange(sound.size) < 0.6 * sound.size, sound, 0)
    (match,) = find(
        make_search_window(np.pad(half, 9600).astype(np.float32)), make_template(sound)
    )
    assert match.whole < 0.1


def test_silence_and_short_stretches_hold_nothing():
    """Nothing is found in silence, of silence, or in less than the sound needs."""
    sound = clip("Go!")
    silence = np.zeros(sound.size * 2, np.float32)
    assert find(make_search_window(silence), make_template(sound)) == ()
    assert find(make_search_window(sound), make_template(silence[: sound.size])) == ()
    assert find(make_search_window(sound[:2000]), make_template(sound)) == ()
    assert (
        best_score(make_search_window(silence), make_template(sound), sound.size) == 0
    )


def test_the_beginning_of_a_template_is_found_alone():
    """The first half second of a sentence is a template of its own."""
    sound = clip("Sit tall, feet flat on the floor.")
    beginning = make_template(sound).beginning(24_000)
    stretch = make_search_window(np.pad(sound[:24_000], 9600))
    assert best_score(stretch, beginning, within=9700) > 0.95
    assert best_score(stretch, beginning, within=9000) < 0.5
    assert make_template(sound).beginning(10**6).frames == sound.size
