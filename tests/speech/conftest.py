"""Engines that are loaded once, and voice folders that are nobody's own."""

from __future__ import annotations

import pytest

from cuetrack.speech import voices
from cuetrack.speech.espeak import EspeakEngine
from cuetrack.speech.neural import NeuralEngine
from cuetrack.speech.voices import voice_named


@pytest.fixture(autouse=True)
def user_voices(tmp_path, monkeypatch):
    """Give each test an empty folder for the voices of its user."""
    folder = tmp_path / "user-voices"
    folder.mkdir()
    monkeypatch.setenv("CUETRACK_VOICES", str(folder))
    monkeypatch.setattr(
        voices.platformdirs, "user_data_dir", lambda _: str(tmp_path / "nobody")
    )
    return folder


@pytest.fixture(scope="session")
def neural():
    """The default English voice, loaded once."""
    return NeuralEngine(voice_named("joe"))


@pytest.fixture(scope="session")
def espeak():
    """The English espeak voice."""
    return EspeakEngine(voice_named("espeak-en"))
