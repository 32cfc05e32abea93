"""A voice that was read speaks like any other, and says nothing it was not read."""

from __future__ import annotations

import numpy as np
import pytest
from fakes import ToneSpeaker

from cuetrack.errors import SpeechError
from cuetrack.speech.breaths import breaths_of
from cuetrack.speech.engines import open_engine
from cuetrack.speech.level import TARGET_LUFS, active_lufs
from cuetrack.speech.records import StoredTimings, timing_of
from cuetrack.speech.speaker import StoredSpeaker
from cuetrack.speech.store import ClipStore
from cuetrack.speech.text_keys import read_timing, speaking, unread
from cuetrack.speech.voices import find_voice, known_voices, voice_named
from cuetrack.times import ms_from_frames
from tests.takes.readers import read_into

READ = ("Three.", "Next: heel dig.", "Feet flat.", "Rest.")


@pytest.fixture
def mary(tmp_path, monkeypatch):
    monkeypatch.setenv("CUETRACK_VOICES", str(tmp_path))
    return read_into(tmp_path / "mary", READ)


@pytest.fixture
def filled(tmp_path, monkeypatch):
    monkeypatch.setenv("CUETRACK_VOICES", str(tmp_path))
    return read_into(tmp_path / "mary", READ, filling="espeak-en")


def test_a_folder_is_a_voice_by_its_name_and_by_its_place(mary):
    """In a folder of voices it is listed; anywhere else its path names it."""
    assert "mary" in known_voices()
    assert voice_named("mary") == find_voice(str(mary), "en")
    assert find_voice("mary", "en", beside=mary.parent) == voice_named("mary")
    with pytest.raises(SpeechError, match="speaks 'en', not 'fr'"):
        find_voice("mary", "fr")
    for name in ("mary\0", "../mary\0", ""):
        with pytest.raises(SpeechError, match="There is no voice"):
            voice_named(name)


@pytest.mark.usefixtures("mary")
def test_what_was_read_is_said_to_the_frame(tmp_path):
    """Length and beat of a clip are those of the reading, levelled like every clip."""
    speaker = StoredSpeaker(voice_named("mary"), ClipStore(tmp_path / "store"))
    reader = ToneSpeaker()
    for text, clip in speaker.speak(READ).items():
        read = reader.speak([text])[text]
        length = clip.speech_end - clip.speech_start
        assert ms_from_frames(length - read.speech_end + read.speech_start) == (
            pytest.approx(0, abs=25)
        )
        beat = clip.beat - clip.speech_start - read.beat + read.speech_start
        assert ms_from_frames(beat) == pytest.approx(0, abs=10)
        loud = active_lufs(speaker.samples(clip.key))
        assert loud == pytest.approx(TARGET_LUFS, abs=0.1)


@pytest.mark.usefixtures("mary")
def test_how_long_it_takes_is_known_before_it_is_said(tmp_path):
    """From the reading alone: never too short, and too long by 45 ms a sentence."""
    voice = voice_named("mary")
    speaker = StoredSpeaker(voice, ClipStore(tmp_path / "store"))
    for text in (*READ, "Next: heel dig. Feet flat."):
        known = read_timing(voice, text)
        said = timing_of(speaker.speak([text])[text])
        assert 0 <= known.length_ms - said.length_ms <= 45 * len(breaths_of(text))
        assert known.beat_ms == pytest.approx(said.beat_ms, abs=20)
    assert read_timing(voice, "Sit tall.") is None


@pytest.mark.usefixtures("mary")
def test_sentences_are_joined_with_a_pause():
    """A text of two sentences is both, 350 ms apart, each equally loud."""
    engine = open_engine(voice_named("mary"))
    both = engine.render("Next: heel dig. Feet flat!").samples
    first, second = (engine.render(text).samples for text in READ[1:3])
    assert np.array_equal(both[: first.size], first)
    assert np.array_equal(both[-second.size :], second)
    assert both.size == first.size + second.size + 350 * 48


@pytest.mark.usefixtures("mary")
def test_what_was_not_read_is_named(tmp_path):
    """Without a voice to fill in, the sentence that is missing is told."""
    speaker = StoredSpeaker(voice_named("mary"), ClipStore(tmp_path / "store"))
    with pytest.raises(SpeechError, match=r"It was not read: Sit tall\. .*--missing"):
        speaker.speak(["Feet flat. Sit tall."])
    assert unread(voice_named("mary"), "Feet flat. Sit tall.") == ("Sit tall.",)


@pytest.mark.usefixtures("filled")
def test_another_voice_fills_in(tmp_path):
    """It says what was not read as it always does, under the key it always has."""
    store = ClipStore(tmp_path / "store")
    espeak = StoredSpeaker(voice_named("espeak-en"), store)
    voice = voice_named("mary")
    speaker = StoredSpeaker(voice, store)
    said = espeak.speak(["Sit tall."])["Sit tall."]
    assert speaker.speak(["Sit tall.", "Rest."])["Sit tall."] == said
    assert speaker.rendered == 1
    assert speaker.key("Rest.") != espeak.key("Rest.")
    assert speaking(voice, "Rest. Sit tall.") == voice_named("espeak-en")
    timing = StoredTimings(voice, tmp_path / "store").timing
    assert timing("Sit tall.") == timing_of(said)


def test_a_recorded_voice_cannot_fill_in(tmp_path, monkeypatch):
    """Not another one, nor a voice for itself."""
    monkeypatch.setenv("CUETRACK_VOICES", str(tmp_path))
    read_into(tmp_path / "mary", READ, filling="mary")
    with pytest.raises(SpeechError, match="which is recorded too"):
        voice_named("mary")


def test_a_new_sitting_makes_new_clips(mary, tmp_path):
    """Lines read again are spoken anew, whatever is stored."""
    store = ClipStore(tmp_path / "store")
    before = StoredSpeaker(voice_named("mary"), store).key("Rest.")
    read_into(mary, ["Go!"])
    assert StoredSpeaker(voice_named("mary"), store).key("Rest.") != before


def test_a_damaged_voice_is_told(mary, tmp_path):
    """Sound that was cut short is not spoken."""
    sound = mary / "clips.flac"
    sound.write_bytes(sound.read_bytes()[:-1000])
    speaker = StoredSpeaker(voice_named("mary"), ClipStore(tmp_path / "store"))
    with pytest.raises(SpeechError, match=r"not the sound|cannot be read"):
        speaker.speak(["Rest."])
