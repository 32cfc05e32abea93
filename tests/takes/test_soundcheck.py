"""A take is judged before anybody reads for an hour."""

from __future__ import annotations

from dataclasses import replace

import av
import numpy as np
import pytest
import soundfile

from cuetrack.cli.main import main
from cuetrack.takes.activity import loudness_of, sound_stretches
from cuetrack.takes.soundcheck import checked_sound, clarity_of
from cuetrack.takes.take import read_take
from cuetrack.times import SAMPLE_RATE_HZ
from tests.takes.simulated import Said, Surroundings, near_phone, read_aloud
from tests.verification.rooms import SPOKEN, Place, speaker, stored_places

GOOD = Surroundings()


@pytest.fixture(scope="module")
def reader(tmp_path_factory):
    return speaker(tmp_path_factory.mktemp("store"))


@pytest.fixture(scope="module")
def read(reader):
    """Return a maker of half a minute read in a place."""
    script = [Said(line=str(n), text=text) for n, text in enumerate(SPOKEN[:10])]
    return lambda place: read_aloud(script, reader, place)


@pytest.fixture
def verdict_of(tmp_path):
    def verdict(sound):
        path = tmp_path / "take.wav"
        soundfile.write(path, sound, SAMPLE_RATE_HZ)
        return checked_sound(read_take(path, tmp_path / "scratch"))

    return verdict


def as_m4a(sound, path):
    """Write a sound as phones do."""
    with av.open(path, "w", format="ipod") as file:
        stream = file.add_stream("aac", SAMPLE_RATE_HZ, layout="mono")
        stream.bit_rate = 64_000
        whole = (np.clip(sound, -1, 1) * 32_767).astype(np.int16)
        frame = av.AudioFrame.from_ndarray(whole[np.newaxis], "s16", "mono")
        frame.sample_rate = SAMPLE_RATE_HZ
        for packet in (*stream.encode(frame), *stream.encode(None)):
            file.mux(packet)
    return path


def test_a_good_take_is_good(read, verdict_of):
    """Nothing is said against a quiet room, read at arm's length."""
    verdict = verdict_of(read(GOOD).sound)
    assert verdict.usable
    assert verdict.hints == ()
    assert verdict.figures.noise_db == pytest.approx(50, abs=3)


@pytest.mark.parametrize(
    ("place", "word"),
    [
        (replace(GOOD, tail=0.6), "echo"),
        (replace(GOOD, room="hall, second row", tail=0.3), "echo"),
        (replace(GOOD, hum_db=28), "50 Hz"),
        (replace(GOOD, hum_db=28, hum_hz=60), "60 Hz"),
        (replace(GOOD, noise_db=24), "noise"),
        (replace(GOOD, level_db=-60), "faint"),
    ],
)
def test_a_fault_is_named_first(read, verdict_of, place, word):
    """Each fault of a place is told in its own words, and no other."""
    verdict = verdict_of(read(place).sound)
    assert [word in fault for fault in verdict.faults] == [True]


def test_cut_off_peaks_are_heard_through_the_codec(read, tmp_path):
    """Clipping is told although the encoder rounded the flat tops."""
    sound = read(GOOD).sound
    loud = 0.9 * np.clip(sound * 2.5 / np.abs(sound).max(), -1, 1)
    for name, way in (("good.m4a", sound), ("loud.m4a", loud)):
        take = read_take(as_m4a(way, tmp_path / name), tmp_path / "scratch")
        faults = checked_sound(take).faults
        assert any("cut off" in fault for fault in faults) == (way is loud)


def test_a_telephone_call_is_no_take(read, tmp_path):
    """Sound without treble is refused, whatever its file says of its rate."""
    path = tmp_path / "call.wav"
    soundfile.write(path, read(GOOD).sound[::6], 8000)
    verdict = checked_sound(read_take(path, tmp_path / "scratch"))
    assert any("treble" in fault for fault in verdict.faults)


def test_a_moving_phone_is_noticed(read, verdict_of):
    """A level that sinks by 15 dB is a hint, no fault."""
    verdict = verdict_of(read(replace(GOOD, fading_db=15)).sound)
    assert verdict.usable
    assert any("level changes" in hint for hint in verdict.hints)


@pytest.mark.parametrize("silence", [np.zeros(0), np.zeros(90_000), np.zeros(100)])
def test_silence_is_too_little_speech(silence, tmp_path):
    """A take without a word gets the one advice that helps."""
    path = tmp_path / "silent.wav"
    soundfile.write(path, np.concatenate([silence, [1e-7]]), SAMPLE_RATE_HZ)
    verdict = checked_sound(read_take(path, tmp_path / "scratch"))
    assert ["Too little speech" in fault for fault in verdict.faults] == [True]


@pytest.mark.outside
@pytest.mark.parametrize("tail", [0.1, 0.2, 0.5, 1.0])
def test_clarity_is_that_of_the_room(read, tail):
    """The echo read off a take is C50 of ISO 3382-1 of its response, within 4 dB."""
    sound = read(replace(GOOD, tail=tail)).sound
    narrow = stored_places()[GOOD.room].response
    response = np.concatenate([narrow[:16], narrow[16:] * tail])
    truth_db = Place(response=response, distance_s=0.0).clarity_db
    assert clarity_of(sound) == pytest.approx(truth_db, abs=4)


def test_every_line_is_found_to_the_hundredth(read):
    """Speech starts where it starts, within 12 ms, also in noise and far away."""
    for place in (GOOD, replace(GOOD, noise_db=32), replace(GOOD, fading_db=12)):
        take = read(place)
        found = sound_stretches(loudness_of(take.sound))
        for one in take.spoken:
            inside = [s for s in found if s.start < one.end and s.end > one.start]
            late_ms = (inside[0].start - one.start) / 48
            assert abs(late_ms) <= 12
        assert all(
            any(s.start < one.end and s.end > one.start for one in take.spoken)
            for s in found
        )


def test_near_phone_keeps_the_direct_sound(reader):
    """A simulated room without an answer changes nothing but the first reflections."""
    clip = next(iter(reader.speak(["Halfway there."]).values()))
    dry = reader.samples(clip.key)
    heard = near_phone(dry, replace(GOOD, tail=0.0))
    assert np.corrcoef(dry, heard)[0, 1] > 0.9


def test_the_command_gives_the_verdict_first(read, tmp_path, capsys):
    """The first line says whether to read on, and the exit status says it too."""
    good = as_m4a(read(GOOD).sound, tmp_path / "good.m4a")
    bad = as_m4a(read(replace(GOOD, tail=1.0)).sound, tmp_path / "bad.m4a")
    assert main(["voices", "record", str(good), "--first"]) == 0
    assert capsys.readouterr().out.startswith("good.m4a: good enough")
    assert main(["voices", "record", str(bad), "--first"]) == 1
    assert capsys.readouterr().out.splitlines()[1].startswith("Too much echo: closer")
