"""A voice tried before it speaks a class: good ones pass, bad ones are told why."""

from __future__ import annotations

import numpy as np
import pytest

from cuetrack.errors import SpeechError
from cuetrack.speech import trial
from cuetrack.speech.model import RawSpeech
from cuetrack.speech.trial import tried
from cuetrack.speech.voices import voice_named

RATE_HZ = 22_050


class Reader:
    """Speaks noise of a stated length for each word, in a stated manner."""

    def __init__(self, *, word_ms=330, cut=False, gain=1.0, fails=""):
        self._word_ms = word_ms
        self._cut = cut
        self._gain = gain
        self._fails = fails

    def render(self, spoken):
        if self._fails and self._fails in spoken:
            raise SpeechError("no such sound.")
        frames = len(spoken.split()) * self._word_ms * RATE_HZ // 1000
        sound = np.random.default_rng(1).normal(0, 0.1, frames).astype(np.float32)
        sound = np.clip(self._gain * sound, -1, 1)
        quiet = np.zeros(0 if self._cut else RATE_HZ // 5, np.float32)
        return RawSpeech(samples=np.concatenate([sound, quiet]), rate_hz=RATE_HZ)


@pytest.mark.parametrize(
    ("reader", "remark"),
    [
        (Reader(word_ms=200), "slower"),
        (Reader(word_ms=900), "too long for one a second"),
        (Reader(cut=True), "end is cut off in 10 lines"),
        (Reader(gain=20), "sound is clipped in 10 lines"),
        (Reader(fails="Three"), '"Three" cannot be spoken: no such sound.'),
    ],
)
def test_what_is_wrong_is_told(monkeypatch, reader, remark):
    """Pace, count words, ends and failures, each with its words."""
    monkeypatch.setattr(trial, "open_engine", lambda _: reader)
    found = tried(voice_named("espeak-en"))
    assert not found.sound
    assert "not as it is" in found.verdict
    assert any(remark in told for told in found.remarks)


def test_a_usual_voice_is_fit(monkeypatch):
    """180 words a minute, whole ends, short count words."""
    monkeypatch.setattr(trial, "open_engine", lambda _: Reader())
    found = tried(voice_named("espeak-en"))
    assert found.sound
    assert found.remarks == ()
    assert "nobody listened" in found.verdict


def test_a_shipped_voice_is_fit():
    """The embedded voice passes, as it is."""
    assert tried(voice_named("espeak-en")).sound
