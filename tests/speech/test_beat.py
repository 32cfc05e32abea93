"""The beat is found where it was built in, and evens out what onsets leave uneven."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.signal import butter, sosfiltfilt

from cuetrack.errors import SpeechError
from cuetrack.speech.beat import beat_frame, speech_bounds
from cuetrack.speech.clips import finish
from cuetrack.speech.model import BeatRule

RATE_HZ = 48_000
DIGITS = (
    "One.",
    "Two.",
    "Three.",
    "Four.",
    "Five.",
    "Six.",
    "Seven.",
    "Eight.",
    "Nine.",
    "Ten.",
)


def syllable(
    *, hiss_ms=80, hiss=0.2, low_hz=3800, rise_ms=30, vowel_ms=250, pitch_hz=120, lead=0
):
    """A hiss, then a vowel of 20 harmonics; returns the sound and its rise's middle."""
    frames = {ms: ms * RATE_HZ // 1000 for ms in (hiss_ms, rise_ms, vowel_ms)}
    draw = np.random.default_rng(7)
    noise = draw.standard_normal(frames[hiss_ms])
    if hiss_ms:
        band = butter(2, (low_hz, 9000), "bandpass", fs=RATE_HZ, output="sos")
        noise = sosfiltfilt(band, noise, padtype=None)
        noise *= hiss / max(np.abs(noise).max(), 1e-9)
    seconds = np.arange(frames[vowel_ms]) / RATE_HZ
    vowel = sum(
        np.sin(2 * np.pi * pitch_hz * n * seconds + n * n) / n for n in range(1, 21)
    )
    shape = np.ones(vowel.size)
    ramp = 0.5 - 0.5 * np.cos(np.pi * np.arange(frames[rise_ms]) / frames[rise_ms])
    shape[: ramp.size] = ramp
    shape[-1920:] *= np.linspace(1, 0, 1920)
    sound = np.concatenate([np.zeros(lead), noise, vowel / 3 * shape])
    middle = lead + frames[hiss_ms] + frames[rise_ms] // 2
    return sound.astype(np.float32), middle


@settings(max_examples=60, deadline=None)
@given(
    built=st.fixed_dictionaries(
        {
            "hiss_ms": st.integers(0, 200),
            "hiss": st.floats(0.02, 0.4),
            "rise_ms": st.integers(5, 60),
            "vowel_ms": st.integers(150, 500),
            "pitch_hz": st.floats(85, 220),
            "lead": st.integers(0, 2400),
        }
    )
)
def test_rise_is_found_within_10_ms(built) -> None:
    """Whatever stands before the vowel, the middle of its rise is the beat."""
    sound, middle = syllable(**built)
    assert abs(beat_frame(sound, RATE_HZ) - middle) <= 480


@given(gain_db=st.floats(-40, 20), shift=st.integers(0, 4800))
@settings(max_examples=20, deadline=None)
def test_beat_follows_the_sound_not_its_level(gain_db, shift) -> None:
    """Louder or quieter the beat stays; later by some frames it moves by as many."""
    sound, _ = syllable()
    moved = np.concatenate([np.zeros(shift), sound]) * 10 ** (gain_db / 20)
    beat = beat_frame(moved.astype(np.float32), RATE_HZ)
    assert beat == pytest.approx(beat_frame(sound, RATE_HZ) + shift, abs=1)


def test_only_the_first_of_two_syllables_counts() -> None:
    """A second, louder syllable does not draw the beat to itself."""
    first, middle = syllable()
    second, _ = syllable()
    both = np.concatenate([first, np.zeros(4800, np.float32), 1.5 * second])
    assert abs(beat_frame(both, RATE_HZ) - middle) <= 480


def test_start_is_the_first_frame_of_speech() -> None:
    """The rule ``start`` gives the frame at which the sound passes -40 dB."""
    sound, _ = syllable(hiss_ms=0, lead=1000)
    assert beat_frame(sound, RATE_HZ, BeatRule.START) == speech_bounds(sound)[0]
    assert 1000 <= speech_bounds(sound)[0] < 1200


def test_vowel_is_where_the_engine_says() -> None:
    """The rule ``vowel`` believes the engine, to the frame."""
    sound, _ = syllable()
    assert beat_frame(sound, RATE_HZ, BeatRule.VOWEL, vowel_s=0.1) == 4800


def test_vowel_is_found_in_the_sound_when_the_engine_is_silent() -> None:
    """Without the engine's word the fastest growth of 500-1500 Hz is taken."""
    sound, middle = syllable(hiss_ms=120)
    assert abs(beat_frame(sound, RATE_HZ, BeatRule.VOWEL) - middle) <= 720


@pytest.mark.parametrize("sound", [np.zeros(0), np.zeros(480)])
def test_silence_has_no_speech(sound) -> None:
    """Nothing to hear is an error, not a beat at zero."""
    with pytest.raises(SpeechError, match="silence"):
        speech_bounds(sound.astype(np.float32))


@pytest.mark.parametrize("engine", ["espeak", "neural"])
def test_beat_of_every_digit_lies_within_its_speech(engine, request) -> None:
    """Digits have their beat between their first sound and 250 ms after it."""
    for word in DIGITS:
        clip = finish(request.getfixturevalue(engine).render(word))
        assert clip.speech_start < clip.beat < clip.speech_end
        assert clip.beat - clip.speech_start < 250 * 48
