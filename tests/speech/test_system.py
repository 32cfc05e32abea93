"""The operating system's voices are checked, asked again, and reported honestly."""

from __future__ import annotations

import subprocess
import sys
from types import SimpleNamespace

import numpy as np
import pytest
import soundfile

from cuetrack.errors import SpeechError
from cuetrack.speech import system
from cuetrack.speech.system import SystemEngine, UnusableClipError, read_speech
from cuetrack.speech.system_child import NoVoiceError, _choose_voice
from cuetrack.speech.voices import find_voice

TEXT = "Halfway there."
RATE_HZ = 22_050


def hum(seconds=1.0, *, fades=True, level=0.3):
    time = np.arange(int(seconds * RATE_HZ)) / RATE_HZ
    sound = level * np.sin(2 * np.pi * 200 * time)
    return sound * np.minimum(1, time[::-1] / 0.05) if fades else sound


class Tries:
    """Writes one of the given sounds each time it is asked to speak."""

    def __init__(self, *sounds, **options) -> None:
        self.sounds = list(sounds)
        self.options = {"format": "WAV"} | options
        self.count = 0

    def __call__(self, _, path):
        sound = self.sounds[min(self.count, len(self.sounds) - 1)]
        self.count += 1
        if isinstance(sound, str):
            return sound
        if isinstance(sound, bytes):
            path.write_bytes(sound)
        elif sound is not None:
            soundfile.write(path, sound, RATE_HZ, **self.options)
        return None


def engine(tries):
    return SystemEngine(find_voice("system", "en"), tries)


def test_clip_counts_once_it_has_come_twice_alike() -> None:
    """A lost end never repeats; a clip that does is believed, whatever its end."""
    tries = Tries(hum())
    assert engine(tries).render(TEXT).samples.size == RATE_HZ
    assert tries.count == 2
    cut = Tries(hum(0.6), hum(1.0), hum(1.0, fades=False))
    assert engine(cut).render(TEXT).samples.size == RATE_HZ
    assert cut.count == 3
    never_twice = Tries(*(hum(s) for s in (0.6, 0.8, 1.0, 1.2)))
    with pytest.raises(SpeechError, match="no two clips are of one length"):
        engine(never_twice).render(TEXT)


@pytest.mark.parametrize("container", ["WAV", "AIFF"])
def test_container_is_known_by_its_content(container) -> None:
    """A file is read by what is in it, whatever its name ends in."""
    speech = engine(Tries(hum(), format=container)).render(TEXT)
    assert speech.rate_hz == RATE_HZ
    assert np.abs(speech.samples).max() == pytest.approx(0.3, abs=0.01)


def test_stereo_becomes_mono() -> None:
    """Two channels are averaged into one."""
    speech = engine(Tries(np.stack([hum(), hum()], axis=1))).render(TEXT)
    assert speech.samples.shape == (RATE_HZ,)


@pytest.mark.parametrize(
    ("lost", "reason"),
    [
        (None, "no file was written"),
        (b"", "neither WAV nor AIFF"),
        (b"ID3 something else", "neither WAV nor AIFF"),
        (b"RIFF but cut", "cannot be read"),
        (np.zeros(0), "empty"),
        (np.zeros(RATE_HZ), "silent"),
        (hum(0.1), "the clip lasts 0.10 s"),
        (hum(30), "letters need"),
        ("the speech system failed", "failed"),
    ],
)
def test_lost_clip_is_asked_for_again(lost, reason) -> None:
    """Each way to lose a clip leads to another try, and to its reason in the end."""
    tries = Tries(lost, hum())
    assert engine(tries).render(TEXT).samples.size == RATE_HZ
    assert tries.count == 3
    hopeless = Tries(lost)
    with pytest.raises(SpeechError, match=rf"'Halfway there\.' in 4 tries.*{reason}"):
        engine(hopeless).render(TEXT)
    assert hopeless.count == 4


def test_hanging_speech_system_is_given_up(monkeypatch) -> None:
    """A child that does not answer is ended, each time, and that is said."""

    def hang(*_, **options):
        raise subprocess.TimeoutExpired("child", options["timeout"])

    monkeypatch.setattr(system.subprocess, "run", hang)
    with pytest.raises(SpeechError, match="no answer within 30 s"):
        SystemEngine(find_voice("system", "en")).render(TEXT)


def test_missing_file_is_said(tmp_path) -> None:
    """Reading a file that was never written says so."""
    with pytest.raises(UnusableClipError, match="no file was written"):
        read_speech(tmp_path / "nothing.wav")


class Voices:
    """A speech system with some voices."""

    def __init__(self, *voices) -> None:
        self.voices = [
            SimpleNamespace(id=name.lower(), name=name, languages=languages)
            for name, languages in voices
        ]
        self.chosen = self.voices[0].id

    def getProperty(self, name):  # noqa: N802 - the system's own spelling
        return self.voices if name == "voices" else self.chosen

    def setProperty(self, _, value):  # noqa: N802 - the system's own spelling
        self.chosen = value


@pytest.mark.parametrize(
    ("wanted", "language", "chosen"),
    [
        ("", "en", "anna"),
        ("", "sv", "sven"),
        ("", "de", "dora"),
        ("DORA", "en", "dora"),
    ],
)
def test_voice_of_the_language_is_chosen(wanted, language, chosen) -> None:
    """The named voice, else the default if it fits, else the first that fits."""
    voices = Voices(("Anna", ["en_GB"]), ("Sven", [b"\x05sv"]), ("Dora", ["de-DE"]))
    _choose_voice(voices, wanted, language)
    assert voices.chosen == chosen


def test_no_fitting_voice_is_said() -> None:
    """Without a voice of that name or language nothing is spoken in a wrong one."""
    voices = Voices(("Anna", ["en"]))
    with pytest.raises(NoVoiceError, match="speaks 'fr'"):
        _choose_voice(voices, "", "fr")
    with pytest.raises(NoVoiceError, match="there are Anna"):
        _choose_voice(voices, "Otto", "en")
    silent = Voices(("Anna", []))
    _choose_voice(silent, "", "fr")
    assert silent.chosen == "anna"


@pytest.mark.skipif(
    not sys.platform.startswith("linux"),
    reason="only on Linux a voice is sure to be there: the embedded espeak-ng",
)
def test_real_speech_system_speaks_through_a_child() -> None:
    """A whole sentence comes back from a process of its own, and each time alike."""
    real = SystemEngine(find_voice("system", "en"))
    first, second = real.render(TEXT), real.render(TEXT)
    assert 0.5 < first.samples.size / first.rate_hz < 3
    assert abs(first.samples.size - second.samples.size) < 0.05 * first.rate_hz
    with pytest.raises(SpeechError, match="no voice speaks 'tlh'"):
        SystemEngine(find_voice("system", "tlh")).render(TEXT)
