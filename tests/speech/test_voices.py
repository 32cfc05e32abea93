"""Voices are found where they should be, and wrong files are told apart in words."""

from __future__ import annotations

import subprocess
import sys
from typing import TYPE_CHECKING

import pytest

from cuetrack.errors import SpeechError
from cuetrack.speech import voices
from cuetrack.speech.model import BeatRule
from cuetrack.speech.voice_files import read_voice
from cuetrack.speech.voices import (
    find_voice,
    known_languages,
    known_voices,
    shipped_folder,
    voice_named,
)

if TYPE_CHECKING:
    from pathlib import Path

SHIPPED = {"joe", "system", "ada", "tom", "elena", "claire", "giulia", "beatriz"} | {
    f"espeak-{code}" for code in ("en", "es", "fr", "de", "it", "pt", "nl", "pl", "sv")
}

GOOD = """\
engine: espeak
language: en
settings: {rate: 130}
"""


def write(folder: Path, name: str, text: str) -> Path:
    path = folder / f"{name}.yaml"
    path.write_text(text, encoding="utf-8")
    return path


def test_every_shipped_voice_reads_and_states_its_licence() -> None:
    """All voices that ship are known, legal, and say where they come from."""
    assert set(known_voices()) == SHIPPED
    for name in SHIPPED:
        assert voice_named(name).name == name
        text = (shipped_folder() / f"{name}.yaml").read_text(encoding="utf-8")
        assert "\nlicence:" in text
        assert "\norigin:" in text


@pytest.mark.parametrize(
    ("language", "name", "spoken"),
    [
        ("en", "joe", "en"),
        ("en-GB", "joe", "en"),
        ("fr", "espeak-fr", "fr"),
        ("fr-fr", "espeak:fr", "fr"),
        ("pt_BR", "espeak:pt-br", "pt-br"),
        ("de-at", "espeak:de", "de"),
        ("cy", "espeak:cy", "cy"),
        ("zh", "espeak:cmn", "cmn"),
        ("no", "espeak:nb", "nb"),
    ],
)
def test_each_language_has_a_default_voice(language, name, spoken) -> None:
    """English is neural, every other language espeak's nearest."""
    voice = find_voice(None, language)
    assert (voice.name, voice.language) == (name, spoken)


def test_regional_voice_keeps_the_settings_of_its_language() -> None:
    """A region without a file of its own speaks as fast as its language."""
    assert (
        find_voice("espeak:fr-be", "fr").settings == voice_named("espeak-fr").settings
    )


@pytest.mark.parametrize(
    ("name", "language", "message"),
    [
        ("jo", "en", "Did you mean joe"),
        ("joe", "fr", "speaks 'en', not 'fr'. Choose espeak:fr"),
        (None, "xx", "No voice speaks the language 'xx'"),
        ("espeak:frr", "fr", "Did you mean fr"),
        ("espeak:", "en", "does not speak ''"),
        ("espeak:de", "en", "speaks 'de', not 'en'"),
    ],
)
def test_voice_that_does_not_fit_is_explained(name, language, message) -> None:
    """The error names what was asked, what is near, and what to choose."""
    with pytest.raises(SpeechError, match=message):
        find_voice(name, language)


def test_same_language_under_two_codes_fits() -> None:
    """Chinese and Norwegian have one code for people and one for espeak-ng."""
    assert find_voice("espeak:cmn", "zh").language == "cmn"
    assert find_voice("espeak:no", "no").language == "nb"


def test_system_voice_takes_the_plans_language() -> None:
    """The operating system's voice is asked for the language of the plan."""
    assert find_voice("system", "sv").language == "sv"
    assert voice_named("SYSTEM").language == "any"
    assert "any" not in known_languages()


def test_users_own_file_wins(user_voices) -> None:
    """A voice file of the user replaces one of the same name that ships."""
    write(user_voices, "espeak-en", GOOD)
    assert dict(find_voice("espeak-en", "en").settings) == {"rate": "130"}
    assert set(known_voices()) == SHIPPED


def test_voice_file_says_all_that_a_voice_is(user_voices) -> None:
    """Beat rule and corrections are read; words are kept in lower case."""
    path = write(
        user_voices,
        "mine",
        GOOD + "beat: {rule: vowel, corrections ms: {Three: -12, go: 5}}\n",
    )
    voice = read_voice(path)
    assert voice.beat_rule is BeatRule.VOWEL
    assert voice.beat_offsets_ms == (("go", 5), ("three", -12))
    assert voice.folder == user_voices.resolve()


def test_norwegian_is_not_a_truth_value(user_voices) -> None:
    """YAML reads ``no`` as false; a voice file means the language."""
    write(user_voices, "norsk", "engine: espeak\nlanguage: no\n")
    assert find_voice("norsk", "no").language == "no"


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("", "keys with values"),
        ("- a\n- b\n", "keys with values"),
        ("engine: [espeak\n", "not YAML"),
        ("language: en\n", "'engine' is missing"),
        ("engine: espeak\n", "'language' is missing"),
        ("engine: robot\nlanguage: en\n", "one of: neural, kokoro, espeak, system"),
        (GOOD + "origins: here\n", "Did you mean origin"),
        (GOOD + "name: other\n", "differs from the file's"),
        ("engine: espeak\nlanguage: en\nsettings: {rat: 9}\n", "Did you mean rate"),
        ("engine: espeak\nlanguage: en\nsettings: {rate: 9}\n", "from 80 to 300"),
        ("engine: espeak\nlanguage: en\nsettings: {rate: [1]}\n", "a whole number"),
        ("engine: neural\nlanguage: en\n", "'model' is missing"),
        (
            "engine: neural\nlanguage: en\nsettings: {model: m, length scale: 9}\n",
            "a number from 0.5 to 3",
        ),
        (
            "engine: neural\nlanguage: en\nsettings: {model: m, model sha256: ab}\n",
            "64 hexadecimal digits",
        ),
        (GOOD + "beat: {rule: middle}\n", "one of: rise, start, vowel"),
        (GOOD + "beat: {corrections ms: {go: 2.5}}\n", "whole milliseconds"),
        (GOOD + "beat: {corrections ms: {go: 900}}\n", "whole milliseconds"),
        ("about: " + "x" * 70_000, "larger than a voice file"),
        (GOOD + "about: &a [x]\norigin: [*a, *a]\n", "no aliases"),
        (GOOD + "about: " + "[" * 3000 + "]" * 3000 + "\n", "not YAML"),
    ],
)
def test_wrong_voice_file_is_explained(user_voices, text, message) -> None:
    """Each mistake in a voice file is named, with what was expected."""
    path = write(user_voices, "wrong", text)
    with pytest.raises(SpeechError, match=message) as caught:
        voice_named("wrong")
    assert str(path) in str(caught.value)


def test_file_that_cannot_be_read_is_explained(user_voices) -> None:
    """A folder under a voice's name, or text in another encoding, is an error."""
    (user_voices / "folder.yaml").mkdir()
    (user_voices / "latin.yaml").write_bytes(b"about: \xe9\xff")
    for name in ("folder", "latin"):
        with pytest.raises(SpeechError, match=name):
            voice_named(name)


def test_broken_voice_does_not_hide_the_others(user_voices) -> None:
    """A wrong file is reported when asked for, and only then."""
    write(user_voices, "wrong", "engine: robot\n")
    assert "wrong" in known_voices()
    assert {"en", "fr", "cy"} <= set(known_languages())


def test_description_without_an_end_of_brackets_is_explained(user_voices) -> None:
    """What comes with a model may be anything."""
    (user_voices / "deep.onnx").write_bytes(b"")
    deep = "[" * 5000 + "]" * 5000
    (user_voices / "deep.onnx.json").write_text(deep)
    with pytest.raises(SpeechError, match="does not say which language"):
        voice_named("deep")


def test_model_without_its_description_is_no_voice(user_voices) -> None:
    """A model file alone is not offered."""
    (user_voices / "lonely.onnx").write_bytes(b"")
    assert "lonely" not in known_voices()


def test_voices_are_found_in_an_installed_package(tmp_path, monkeypatch) -> None:
    """Installed from a wheel, the voices lie inside the package, and are found."""
    package = tmp_path / "cuetrack"
    (package / "speech").mkdir(parents=True)
    (package / "voices").mkdir()
    monkeypatch.setattr(voices, "__file__", str(package / "speech" / "voices.py"))
    assert shipped_folder() == (package / "voices").resolve()


def test_asking_for_lengths_imports_nothing_heavy() -> None:
    """Finding a voice and reading stored timings loads neither numpy nor an engine."""
    script = (
        "import sys\n"
        "from cuetrack.speech.voices import find_voice\n"
        "from cuetrack.speech.records import StoredTimings\n"
        "from pathlib import Path\n"
        "StoredTimings(find_voice(None, 'en'), Path('.')).timing('Go!')\n"
        "print(sorted({'numpy', 'scipy', 'onnxruntime', 'soundfile', 'piper'}"
        " & set(sys.modules)))"
    )
    done = subprocess.run(
        [sys.executable, "-c", script], capture_output=True, check=True, text=True
    )
    assert done.stdout.strip() == "[]"
