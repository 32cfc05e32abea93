"""The fake speaker keeps the promises others build their tests on."""

from __future__ import annotations

from itertools import combinations

import numpy as np
from fakes import ToneSpeaker, text_ms
from scipy.signal import fftconvolve

TEXTS = ("Three.", "Two.", "One.", "Go!", "Halfway there.", "Last one, keep tall.")


def test_same_text_is_the_same_sound() -> None:
    """Two speakers say one text alike, sample for sample."""
    one, two = ToneSpeaker(), ToneSpeaker()
    key = one.speak(["Halfway."])["Halfway."].key
    assert two.speak(["Halfway."])["Halfway."].key == key
    np.testing.assert_array_equal(one.samples(key), two.samples(key))


def test_positions_are_those_of_the_sound() -> None:
    """Speech starts and ends where samples are heard, and lasts as long as stated."""
    speaker = ToneSpeaker()
    for text, clip in speaker.speak(TEXTS).items():
        samples = speaker.samples(clip.key)
        assert samples.dtype == np.float32
        assert samples.size == clip.frames
        heard = np.flatnonzero(np.abs(samples) > 1e-4)
        assert abs(heard[0] - clip.speech_start) < 48
        assert abs(heard[-1] + 1 - clip.speech_end) < 96
        assert clip.speech_end - clip.speech_start == 48 * text_ms(text)
        assert speaker.timing(text).length_ms == text_ms(text)


def test_any_two_texts_are_told_apart() -> None:
    """No clip looks like another to a matched filter, at any shift."""
    speaker = ToneSpeaker()
    sounds = [speaker.samples(clip.key) for clip in speaker.speak(TEXTS).values()]
    for one, two in combinations(sounds, 2):
        match = fftconvolve(one, two[::-1])
        limit = np.sqrt(np.sum(one**2) * np.sum(two**2))
        assert np.max(np.abs(match)) < 0.5 * limit


def test_speaks_each_text_once() -> None:
    """A text asked for again is not rendered again."""
    speaker = ToneSpeaker()
    speaker.speak(["Rest.", "Rest.", "Go!"])
    speaker.speak(["Go!"])
    assert speaker.rendered == 2
