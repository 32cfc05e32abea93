"""espeak-ng by direct calls: the same in any order, and safe beside piper."""

from __future__ import annotations

import os
import random
import subprocess
import sys

import espeakng_loader
import numpy as np
import pytest

from cuetrack.errors import SpeechError
from cuetrack.speech import espeak as module
from cuetrack.speech.espeak import EspeakEngine
from cuetrack.speech.languages import espeak_code, espeak_languages
from cuetrack.speech.model import Voice
from cuetrack.speech.voices import voice_named

TEXTS = ("Three.", "Two.", "One.", "Go!", "Halfway there.", "Eight.")

BOTH_ORDERS = """
import hashlib, sys
from cuetrack.speech.voices import voice_named
def espeak():
    from cuetrack.speech.espeak import EspeakEngine
    return EspeakEngine(voice_named("espeak-en")).render("Halfway there.")
def neural():
    from cuetrack.speech.neural import NeuralEngine
    return NeuralEngine(voice_named("joe")).render("Halfway there.")
order = [espeak, neural, espeak] if sys.argv[1] == "espeak" else [neural, espeak]
sounds = {part.__name__: part().samples.tobytes() for part in order}
print(sorted((name, hashlib.sha256(sound).hexdigest()) for name, sound in
      sounds.items()))
"""


def espeak_voice(language, **settings):
    return Voice(
        name="test",
        engine="espeak",
        language=language,
        settings=tuple(settings.items()),
    )


def test_a_clip_never_depends_on_what_was_said_before(espeak) -> None:
    """Texts rendered in any order, any number of times, are the same to the sample."""
    first = {text: espeak.render(text).samples for text in TEXTS}
    shuffled = list(TEXTS) * 2
    random.Random(4).shuffle(shuffled)
    for text in shuffled:
        np.testing.assert_array_equal(espeak.render(text).samples, first[text])


@pytest.mark.parametrize(
    ("word", "vowel_ms"),
    [("Three.", (180, 300)), ("Eight.", (0, 5)), ("About seven.", (560, 680))],
)
def test_vowel_is_the_first_with_main_stress(espeak, word, vowel_ms) -> None:
    """The vowel reported is that of the first main stress, not of the first sound."""
    low, high = vowel_ms
    assert low <= espeak.render(word).vowel_s * 1000 <= high


def test_rate_and_variant_change_the_sound() -> None:
    """Faster is shorter; another variant is another sound."""
    slow = EspeakEngine(espeak_voice("en", rate="100")).render("Halfway there.")
    fast = EspeakEngine(espeak_voice("en", rate="160")).render("Halfway there.")
    other = EspeakEngine(espeak_voice("en", rate="160", variant="f3"))
    assert fast.samples.size < 0.75 * slow.samples.size
    assert not np.array_equal(other.render("Halfway there.").samples, fast.samples)


@pytest.mark.parametrize(
    ("text", "message"), [("Go\0!", "NUL"), ("Go\ud800!", "place 3")]
)
def test_text_that_the_library_would_cut_is_refused(espeak, text, message) -> None:
    """What cannot be handed over whole is an error, not a shorter clip."""
    with pytest.raises(SpeechError, match=message):
        espeak.render(text)


def test_unknown_language_is_refused() -> None:
    """A refusal is an error; the previous voice does not go on silently."""
    with pytest.raises(SpeechError, match="no voice for the language 'xx'"):
        EspeakEngine(espeak_voice("xx"))


def test_missing_library_says_what_to_install(monkeypatch) -> None:
    """Without its library the engine says which package to install."""
    monkeypatch.setattr(
        module.espeakng_loader, "get_library_path", lambda: "/nowhere/libespeak.so"
    )
    with pytest.raises(SpeechError, match="espeakng-loader"):
        EspeakEngine(espeak_voice("en"))


def test_every_listed_language_is_accepted() -> None:
    """The library accepts every code we say it speaks, and each mapped one."""
    data = os.fsencode(espeakng_loader.get_data_path())
    codes = [*espeak_languages(), *map(espeak_code, ("en-gb", "fr-fr", "zh", "no"))]
    with module._loaded() as library:
        assert library.espeak_Initialize(2, 0, data, 0) > 0
        refused = [c for c in codes if library.espeak_SetVoiceByName(c.encode()) != 0]
    assert refused == []
    assert len(codes) > 100


def test_every_shipped_language_speaks() -> None:
    """Each espeak voice that ships says a number in its language."""
    for code in ("en", "es", "fr", "de", "it", "pt", "nl", "pl", "sv"):
        speech = EspeakEngine(voice_named(f"espeak-{code}")).render("10")
        assert speech.samples.size > 0.2 * speech.rate_hz
        assert np.abs(speech.samples).max() > 0.05


def test_both_embedded_engines_live_in_one_process() -> None:
    """Whichever is loaded first, both speak, and say what they say the other way."""
    outputs = {
        subprocess.run(
            [sys.executable, "-c", BOTH_ORDERS, first],
            capture_output=True,
            check=True,
            text=True,
        ).stdout
        for first in ("espeak", "neural")
    }
    assert len(outputs) == 1
    assert "neural" in outputs.pop()
