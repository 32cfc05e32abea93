"""Clips are trimmed, at 48 kHz, equally loud, and the same every time."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from cuetrack.errors import SpeechError
from cuetrack.speech.clips import finish
from cuetrack.speech.level import TARGET_LUFS, active_lufs
from cuetrack.speech.model import BeatRule, RawSpeech


def raw(*, lead=2000, frames=8000, tail=3000, gain=0.2, rate_hz=22_050, vowel_s=None):
    """A hum that swells in and out, with faint noise before and after it."""
    draw = np.random.default_rng(3)
    seconds = np.arange(frames) / rate_hz
    hum = sum(np.sin(2 * np.pi * 150 * n * seconds) / n for n in range(1, 15))
    hum *= np.minimum(1, np.minimum(seconds, seconds[::-1]) / 0.01)
    noise = 1e-4 * draw.standard_normal(lead + frames + tail)
    noise[lead : lead + frames] += hum
    return RawSpeech(
        samples=(gain * noise).astype(np.float32), rate_hz=rate_hz, vowel_s=vowel_s
    )


@settings(max_examples=30, deadline=None)
@given(
    lead=st.integers(0, 8000),
    frames=st.integers(2500, 20_000),
    tail=st.integers(0, 8000),
    gain=st.floats(0.001, 0.9),
    rate_hz=st.sampled_from([16_000, 22_050, 24_000, 44_100, 48_000]),
)
def test_every_clip_has_the_same_level_and_margins(
    lead, frames, tail, gain, rate_hz
) -> None:
    """Whatever came in: -20 LUFS while it speaks, 10 ms of margin on both sides.

    Levels are as near as evening out goes, 0.05 dB; turning phases moves an edge by
    8 ms at most.
    """
    clip = finish(raw(lead=lead, frames=frames, tail=tail, gain=gain, rate_hz=rate_hz))
    assert clip.samples.dtype == np.float32
    assert active_lufs(clip.samples) == pytest.approx(TARGET_LUFS, abs=0.06)
    assert 9 * 48 <= clip.speech_start <= 11 * 48
    assert 9 * 48 <= clip.samples.size - clip.speech_end <= 11.5 * 48
    length_s = (clip.speech_end - clip.speech_start) / 48_000
    assert length_s == pytest.approx(frames / rate_hz, abs=0.008)
    assert clip.speech_start <= clip.beat < clip.speech_end


def test_edges_are_silent() -> None:
    """A clip starts and ends in practically nothing, so that no edge clicks."""
    samples = finish(raw()).samples
    assert np.abs(samples[:96]).max() < 1e-3
    assert np.abs(samples[-96:]).max() < 1e-3


def test_engine_vowel_keeps_its_place_through_trimming() -> None:
    """A vowel 50 ms after the speech started is still 50 ms after it, give or take
    the 8 ms by which turning phases moves an instant."""
    speech = raw(lead=4410, vowel_s=0.25)
    clip = finish(speech, BeatRule.VOWEL)
    assert (clip.beat - clip.speech_start) / 48 == pytest.approx(50, abs=8)


def test_correction_moves_the_beat_by_whole_milliseconds() -> None:
    """A word's correction shifts the beat, and stays within the speech."""
    plain, later = finish(raw()), finish(raw(), offset_ms=15)
    assert later.beat - plain.beat == 15 * 48
    far = finish(raw(), offset_ms=-500)
    assert far.beat == far.speech_start


def test_same_speech_is_the_same_clip() -> None:
    """The chain adds nothing of its own."""
    np.testing.assert_array_equal(finish(raw()).samples, finish(raw()).samples)


@pytest.mark.parametrize(
    ("samples", "message"),
    [([], "silence"), ([0.0] * 500, "silence"), ([0.1, float("nan")], "no numbers")],
)
def test_what_is_no_speech_is_refused(samples, message) -> None:
    """Silence and broken values never become a clip."""
    with pytest.raises(SpeechError, match=message):
        finish(RawSpeech(samples=np.array(samples, np.float32), rate_hz=22_050))


def test_silence_has_no_loudness() -> None:
    """Nothing reads minus infinity, not an error."""
    assert active_lufs(np.zeros(4800, np.float32)) == float("-inf")
    assert active_lufs(np.zeros(0, np.float32)) == float("-inf")
