"""The table of engines is complete, and a broken engine is explained."""

from __future__ import annotations

import sys

import pytest

from cuetrack.errors import SpeechError
from cuetrack.speech import keys, languages
from cuetrack.speech.engines import ENGINES, open_engine, worker_count
from cuetrack.speech.keys import PACKAGES, identity_of
from cuetrack.speech.model import Voice
from cuetrack.speech.voice_files import SETTINGS
from cuetrack.speech.voices import voice_named


def test_every_engine_has_its_entries() -> None:
    """An engine that voice files may name can be opened, set and identified."""
    assert set(ENGINES) == set(SETTINGS) == set(PACKAGES)


@pytest.mark.parametrize("name", ["joe", "espeak-en", "system"])
def test_clips_are_stored_under_what_their_sound_depends_on(name) -> None:
    """The identity of a voice names its engine, its language and every package."""
    voice = voice_named(name)
    assert open_engine(voice)
    identity = identity_of(voice)
    assert {"engine", "language", *PACKAGES[voice.engine]} <= set(identity)
    assert worker_count(voice) >= 1


def test_engine_that_cannot_be_imported_is_explained(monkeypatch) -> None:
    """A missing part of an installation is an error in words."""
    monkeypatch.setitem(sys.modules, "cuetrack.speech.espeak", None)
    with pytest.raises(SpeechError, match="espeak engine cannot be loaded"):
        open_engine(voice_named("espeak-en"))


def test_missing_package_is_named(monkeypatch) -> None:
    """Without an engine's package the error says how to install it."""
    monkeypatch.setitem(keys.PACKAGES, "espeak", ("no-such-package-at-all",))
    with pytest.raises(SpeechError, match="pip install no-such-package-at-all"):
        identity_of(voice_named("espeak-en"))


def test_missing_model_file_is_named(tmp_path) -> None:
    """A voice file whose model is gone says which file it wants."""
    voice = Voice(
        name="gone",
        engine="neural",
        language="en",
        settings=(("model", "gone.onnx"),),
        folder=tmp_path,
    )
    with pytest.raises(SpeechError, match=r"gone\.onnx, which is not there"):
        identity_of(voice)


def test_missing_language_data_is_explained(monkeypatch, tmp_path) -> None:
    """An espeak-ng without languages says what to install again."""
    monkeypatch.setattr(
        languages.espeakng_loader, "get_data_path", lambda: str(tmp_path)
    )
    with pytest.raises(SpeechError, match="espeakng-loader again"):
        languages.espeak_languages.__wrapped__()
