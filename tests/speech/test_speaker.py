"""The speaker says what is missing, once, and names what it cannot say."""

from __future__ import annotations

import threading
from itertools import count

import numpy as np
import pytest

from cuetrack.cues.model import SpeechTiming
from cuetrack.errors import SpeechError
from cuetrack.speech.engines import ENGINES, EngineKind
from cuetrack.speech.model import BeatRule, RawSpeech, Voice
from cuetrack.speech.records import StoredTimings, path_of
from cuetrack.speech.speaker import StoredSpeaker
from cuetrack.speech.store import ClipStore

VOICE = Voice(name="plain", engine="espeak", language="en", settings=(("rate", "125"),))


class Humming:
    """An engine that hums for as long as a text is, and fails where it is told to."""

    def __init__(self, failing="", drift=0) -> None:
        self.said: list[str] = []
        self.failing = failing
        self.drift = drift
        self._lock = threading.Lock()

    def render(self, spoken: str) -> RawSpeech:
        with self._lock:
            self.said.append(spoken)
            frames = 4000 + 500 * len(spoken) + self.drift * len(self.said)
        if spoken == self.failing:
            raise SpeechError("It lost its voice.")
        seconds = np.arange(frames) / 22_050
        hum = np.sin(2 * np.pi * 440 * seconds) * np.minimum(1, seconds / 0.02)
        return RawSpeech(samples=hum.astype(np.float32), rate_hz=22_050)


def speaker(folder, engine=None, voice=VOICE):
    engine = engine or Humming()
    return StoredSpeaker(voice, ClipStore(folder), lambda _: engine), engine


def test_each_text_is_spoken_once(tmp_path) -> None:
    """Repeats in one call, in later calls and in later processes cost nothing."""
    first, engine = speaker(tmp_path)
    clips = first.speak(["Go!", "Stop.", "Go!"])
    first.speak(["Stop."])
    assert sorted(engine.said) == ["Go!", "Stop."]
    second, silent = speaker(tmp_path)
    assert second.speak(["Go!", "Stop."]) == clips
    assert (first.rendered, second.rendered, silent.said) == (2, 0, [])


def test_changed_wording_speaks_exactly_that_wording(tmp_path) -> None:
    """One new text among stored ones is all that is spoken."""
    speaker(tmp_path)[0].speak([f"Cue {n}." for n in range(10)])
    again, engine = speaker(tmp_path)
    again.speak([f"Cue {n}." for n in range(9)] + ["Another cue."])
    assert engine.said == ["Another cue."]


def test_engine_is_loaded_only_for_a_missing_clip(tmp_path) -> None:
    """With all clips stored, the engine is never opened."""
    speaker(tmp_path)[0].speak(["Go!"])

    def refuse(voice):
        raise AssertionError(voice)

    idle = StoredSpeaker(VOICE, ClipStore(tmp_path), refuse)
    assert idle.speak(["Go!"])["Go!"].spoken == "Go!"
    assert idle.speak([]) == {}


def test_progress_counts_up_to_all(tmp_path) -> None:
    """Progress starts with what is stored and ends with everything."""
    speaker(tmp_path)[0].speak(["a", "b"])
    told: list[tuple[int, int]] = []
    speaker(tmp_path)[0].speak("abcde", lambda done, total: told.append((done, total)))
    assert told == [(2, 5), (3, 5), (4, 5), (5, 5)]


def test_an_engine_at_rest_is_loaded_again_when_it_is_missed(tmp_path) -> None:
    """Its memory is free in between."""
    opened = []

    def opener(voice):
        opened.append(voice)
        return Humming()

    speaker = StoredSpeaker(VOICE, ClipStore(tmp_path), opener)
    speaker.speak(["a", "b"])
    speaker.rest()
    speaker.speak(["a"])
    assert len(opened) == 1
    speaker.speak(["c"])
    assert len(opened) == 2


def test_failure_names_voice_and_text(tmp_path) -> None:
    """A text the engine loses is named, and what was said before it is kept."""
    broken, _ = speaker(tmp_path, Humming(failing="b"))
    with pytest.raises(SpeechError, match=r"plain could not say 'b'.*lost its voice"):
        broken.speak(["long text", "b"])
    stored = StoredTimings(VOICE, tmp_path)
    assert stored.timing("long text") is not None
    assert stored.timing("b") is None


def test_damaged_clip_is_spoken_again(tmp_path) -> None:
    """A clip damaged on disk is noticed at the next make and repaired."""
    first, _ = speaker(tmp_path)
    key = first.speak(["Go!"])["Go!"].key
    path = path_of(tmp_path, key)
    content = bytearray(path.read_bytes())
    content[-3] ^= 1
    path.write_bytes(content)
    again, engine = speaker(tmp_path)
    again.speak(["Go!"])
    assert engine.said == ["Go!"]
    assert ClipStore(tmp_path).holds(key) is not None


def test_clip_damaged_in_between_is_repaired_when_mixed(tmp_path) -> None:
    """Damage after speaking and before mixing is healed without a word."""
    patient = StoredSpeaker(VOICE, ClipStore(tmp_path, kept_bytes=0), lambda _: engine)
    engine = Humming()
    clips = patient.speak(["Go!", "Stop."])
    patient.samples(clips["Stop."].key)
    path_of(tmp_path, clips["Go!"].key).unlink()
    assert patient.samples(clips["Go!"].key).size == clips["Go!"].frames
    assert engine.said.count("Go!") == 2


def test_clip_that_comes_out_different_is_refused(tmp_path) -> None:
    """A voice that never says a text twice alike cannot heal a placed clip."""
    engine = Humming(drift=100)
    drifting = StoredSpeaker(VOICE, ClipStore(tmp_path, kept_bytes=0), lambda _: engine)
    clips = drifting.speak(["Go!", "Stop."])
    drifting.samples(clips["Stop."].key)
    path_of(tmp_path, clips["Go!"].key).unlink()
    with pytest.raises(SpeechError, match="says it differently"):
        drifting.samples(clips["Go!"].key)


def test_timing_comes_from_the_store_alone(tmp_path) -> None:
    """Lengths are known for what was spoken, rounded up; None for the rest."""
    first, _ = speaker(tmp_path)
    clip = first.speak(["Go!"])["Go!"]
    timing = StoredTimings(VOICE, tmp_path).timing("Go!")
    assert timing == SpeechTiming(
        length_ms=-(-(clip.speech_end - clip.speech_start) // 48),
        beat_ms=-(-(clip.beat - clip.speech_start) // 48),
    )
    assert StoredTimings(VOICE, tmp_path).timing("Never said.") is None


def test_word_correction_moves_only_its_word(tmp_path) -> None:
    """A correction in the voice file makes a new clip of that word and no other."""
    corrected = Voice(
        name="plain",
        engine="espeak",
        language="en",
        settings=VOICE.settings,
        beat_offsets_ms=(("three", 12),),
    )
    plain, _ = speaker(tmp_path)
    moved, engine = speaker(tmp_path, voice=corrected)
    before = plain.speak(["Three.", "Two."])
    after = moved.speak(["Three.", "Two."])
    assert engine.said == ["Three."]
    assert after["Three."].beat - before["Three."].beat == 12 * 48
    assert after["Two."] == before["Two."]


@pytest.mark.parametrize(
    "changed",
    [
        Voice(name="plain", engine="espeak", language="en", settings=(("rate", "9"),)),
        Voice(name="plain", engine="espeak", language="de", settings=VOICE.settings),
        Voice(name="plain", engine="system", language="en", settings=VOICE.settings),
        Voice(
            name="plain",
            engine="espeak",
            language="en",
            settings=VOICE.settings,
            beat_rule=BeatRule.START,
        ),
    ],
)
def test_whatever_changes_the_sound_changes_the_key(tmp_path, changed) -> None:
    """Setting, language, engine and beat rule each lead to another clip."""
    store = ClipStore(tmp_path)
    assert StoredSpeaker(VOICE, store).key("Go!") != StoredSpeaker(changed, store).key(
        "Go!"
    )


def test_name_and_folder_do_not_change_the_key(tmp_path) -> None:
    """The same voice under another name finds the same clips."""
    other = Voice(
        name="other",
        engine="espeak",
        language="en",
        settings=VOICE.settings,
        folder=tmp_path,
    )
    store = ClipStore(tmp_path)
    assert StoredSpeaker(VOICE, store).key("Go!") == (
        StoredSpeaker(other, store).key("Go!")
    )


def test_a_long_text_is_spoken_beside_short_ones(tmp_path, monkeypatch) -> None:
    """The longest text has the shortest at its side, and every text is spoken."""
    two = EngineKind(class_name="", workers=2)
    monkeypatch.setitem(ENGINES, VOICE.engine, two)
    met, calls = threading.Barrier(2), count()

    class Meeting(Humming):
        def render(self, spoken: str) -> RawSpeech:
            if next(calls) < 2:
                met.wait(timeout=60)
            return super().render(spoken)

    texts = ["word " * n for n in range(1, 9)]
    several, engine = speaker(tmp_path, Meeting())

    assert list(several.speak(texts)) == texts
    assert {*engine.said[:2]} == {texts[0], texts[-1]}
    assert sorted(engine.said) == sorted(texts)
