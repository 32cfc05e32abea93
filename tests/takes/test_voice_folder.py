"""A recorded voice is written whole, added to, and read as it was."""

from __future__ import annotations

import hashlib
from dataclasses import replace

import numpy as np
import pytest

from cuetrack.errors import SpeechError
from cuetrack.speech.breaths import line_id
from cuetrack.speech.recorded_facts import TakeOrigin
from cuetrack.speech.recorded_lines import read_lines
from cuetrack.speech.recorded_sound import clip_sound, refuse_other_sound
from cuetrack.speech.voice_files import read_voice
from cuetrack.takes.voice_folder import LineRead, add_to_voice
from cuetrack.times import frames_from_ms
from tests.takes.readers import facts


def take(name):
    return TakeOrigin(file=name, sha256=hashlib.sha256(name.encode()).hexdigest())


def line(text, hz=300, *, beat=True):
    """A hum of 0.4 s that starts at no whole millisecond, noise around it."""
    start, length = 24_017, 19_211
    noise = np.random.default_rng(hz).normal(0, 0.001, start + length + 24_000)
    noise[start : start + length] += 0.2 * np.sin(
        2 * np.pi * hz * np.arange(length) / 48_000
    )
    return LineRead(
        text=text,
        sound=noise.astype(np.float32),
        speech_start=start,
        speech_end=start + length,
        beat=start + 2400 if beat else None,
    )


def told(folder):
    return {path.name: path.read_bytes() for path in folder.iterdir()}


def test_a_voice_is_read_as_it_was_written(tmp_path):
    """Its file says who and the consent; its lines lie where the speech is."""
    folder = tmp_path / "mary"
    assert (
        add_to_voice(folder, facts(), [line("Three."), line("Rest.", beat=False)]) == 2
    )
    voice = read_voice(folder / "voice.yaml")
    assert (voice.name, voice.engine, voice.language) == ("mary", "recorded", "en")
    assert voice.recorded == facts().person
    lines = read_lines(folder)
    refuse_other_sound(folder, lines)
    three, rest = lines.clips
    assert (three.id, three.text, three.beat_ms) == (line_id("three"), "Three.", 50)
    assert rest.beat_ms is None
    sound = clip_sound(folder, three, 0)
    hum = line("Three.").sound[24_017 : 24_017 + 19_211]
    assert sound[: hum.size] == pytest.approx(hum, abs=2**-23)
    assert three.end_ms - three.start_ms == 401


def test_around_each_line_is_silence(tmp_path):
    """What is read of one line never reaches into another."""
    folder = tmp_path / "mary"
    add_to_voice(folder, facts(), [line(f"Line {n}.") for n in range(3)])
    for clip in read_lines(folder).clips:
        around = clip_sound(folder, clip, 200)
        assert not around[: frames_from_ms(100)].any()
        assert not around[-frames_from_ms(100) :].any()


def test_a_sitting_is_added(tmp_path):
    """A line read again is the last one; all others stay to the sample."""
    folder = tmp_path / "mary"
    monday = facts(takes=(take("monday.m4a"),))
    add_to_voice(folder, monday, [line("Three."), line("Rest."), line("Rest!", 500)])
    before = {one.id: clip_sound(folder, one, 60) for one in read_lines(folder).clips}
    more = [line("Go!", 700), line("Three.", 900)]
    assert add_to_voice(folder, facts(takes=(take("tuesday.wav"),)), more) == 3
    after = {one.id: clip_sound(folder, one, 60) for one in read_lines(folder).clips}
    assert np.array_equal(after[line_id("rest")], before[line_id("rest")])
    assert not np.array_equal(after[line_id("three")], before[line_id("three")])
    recorded = read_voice(folder / "voice.yaml").recorded
    assert [take.file for take in recorded.takes] == ["monday.m4a", "tuesday.wav"]
    add_to_voice(folder, facts(), [])
    again = {one.id: clip_sound(folder, one, 60) for one in read_lines(folder).clips}
    assert all(np.array_equal(again[one], after[one]) for one in after)


def test_the_pace_of_a_reading_is_told(tmp_path):
    """A hundred words in 50 lines of 0.401 s are 299 a minute; few tell nothing."""
    folder = tmp_path / "mary"
    lines = [line(f"Line {n}.") for n in range(50)]
    add_to_voice(folder, facts(), lines[:40])
    assert read_voice(folder / "voice.yaml").words_a_minute is None
    add_to_voice(folder, facts(), lines[40:])
    assert read_voice(folder / "voice.yaml").words_a_minute == 299


@pytest.mark.parametrize("other", [facts(who="Ann Lee"), facts(language="fr")])
def test_another_persons_voice_is_not_mixed_in(tmp_path, other):
    """The folder of one person or language stays as it is."""
    folder = tmp_path / "mary"
    add_to_voice(folder, facts(), [line("Three.")])
    before = told(folder)
    with pytest.raises(SpeechError, match="holds"):
        add_to_voice(folder, other, [line("Rest.")])
    assert told(folder) == before


def test_a_failure_leaves_the_voice_as_it_was(tmp_path):
    """A line that is none stops the writing, and nothing is replaced."""
    folder = tmp_path / "mary"
    add_to_voice(folder, facts(), [line("Three.")])
    before = told(folder)
    with pytest.raises(SpeechError, match="no words"):
        add_to_voice(folder, facts(), [line("Rest."), line("...")])
    with pytest.raises(SpeechError, match="the beat of 'Go!'"):
        add_to_voice(folder, facts(), [replace(line("Go!"), beat=10**6)])
    assert told(folder) == before


@pytest.mark.parametrize(
    ("file", "old", "new", "wrong"),
    [
        ("clips.vtt", "Three", "Four", "whose id"),
        ("clips.vtt", '"beat_ms": 50', '"beat_ms": 5000', "beat of 'Three.'"),
        ("clips.vtt", '{"text"', '"text"', "no JSON"),
        ("clips.vtt", "SHA-256 of", "Sum of", "does not say the SHA-256"),
        ("clips.vtt", "WEBVTT", "VTT", "no WebVTT"),
        ("voice.yaml", "consent:", "agreed:", "unknown key 'agreed'"),
        ("voice.yaml", "2026-11-26", "last week", "the day of the consent"),
        ("voice.yaml", "who: Mary Hill", "who: 7", "who is 7"),
        ("voice.yaml", "sha256: f", "sha256: z", "64 hexadecimal digits"),
    ],
)
def test_what_is_wrong_with_a_voice_is_told(tmp_path, file, old, new, wrong):
    """A file changed by hand is refused with what is wrong and where."""
    folder = tmp_path / "mary"
    add_to_voice(folder, facts(takes=(take("monday.m4a"),)), [line("Three.")])
    path = folder / file
    text = path.read_text("utf-8")
    assert old in text
    path.write_text(text.replace(old, new, 1), "utf-8")
    with pytest.raises(SpeechError, match=wrong) as error:
        (read_lines if file == "clips.vtt" else lambda _: read_voice(path))(folder)
    assert str(path) in str(error.value)


def test_a_voice_without_consent_is_refused(tmp_path):
    """That the person agreed is part of every recorded voice."""
    folder = tmp_path / "mary"
    add_to_voice(folder, facts(), [line("Three.")])
    path = folder / "voice.yaml"
    kept = [
        row
        for row in path.read_text("utf-8").splitlines()
        if not row.startswith(("consent", "  "))
    ]
    path.write_text("\n".join(kept), "utf-8")
    with pytest.raises(SpeechError, match="does not say that the person agreed"):
        read_voice(path)


def test_the_sound_of_another_voice_is_refused(tmp_path):
    """Lines and sound that do not belong together are not spoken."""
    mary, ann = tmp_path / "mary", tmp_path / "ann"
    add_to_voice(mary, facts(), [line("Three.")])
    add_to_voice(ann, facts("Ann Lee"), [line("Three.", 800)])
    (mary / "clips.flac").write_bytes((ann / "clips.flac").read_bytes())
    with pytest.raises(SpeechError, match="not the sound"):
        refuse_other_sound(mary, read_lines(mary))
