"""A recording made in a room tells what was heard there; the rooms are simulated.

Bounds hold for these rooms; ``tests/benchmarks/room_errors.py`` prints the errors.
"""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import soundfile
import soxr
from msgspec import structs
from scipy.signal import butter, sosfilt

from cuetrack.errors import TrackError
from cuetrack.output.track.encoding import write_track
from cuetrack.output.track.metadata import Tags
from cuetrack.plan.model import Group
from cuetrack.sound.hearing.bands import active_spectrum
from cuetrack.sound.hearing.listeners import worst_listener
from cuetrack.sound.hearing.sii import third_octave_sii
from cuetrack.times import SAMPLE_RATE_HZ, frames_from_ms
from cuetrack.verification.room import check_room, room_lines, to_json
from cuetrack.verification.room.advice import Remedy
from cuetrack.verification.room.check import _refuse_stranger
from cuetrack.verification.room.clock import Clock
from cuetrack.verification.room.heard import KeptSound
from tests.verification.rooms import (
    Scene,
    babble,
    levels_apart,
    recorded_in,
    speaker,
    spoken_class,
)

SECONDS = 60
OLD = Group(age=75, level_db_spl=65)


SCENES = {
    "quiet small room": Scene(
        place="carpeted room", noise_db=-24, drift_ppm=200, advice=Remedy.FINE
    ),
    "people talk as loud as the track": Scene(
        place="carpeted room",
        noise_db=0,
        drift_ppm=-200,
        rate_hz=16_000,
        advice=Remedy.LOUDSPEAKER_UP,
    ),
    "old phone that began late": Scene(
        place="carpeted room",
        noise_db=-3,
        rate_hz=8_000,
        before_s=0.0,
        first_s=17.0,
        advice=Remedy.LOUDSPEAKER_UP,
    ),
    "loud music": Scene(
        place="hall, second row",
        noise_db=-22,
        music_under_db=2,
        drift_ppm=120,
        advice=Remedy.MUSIC_DOWN,
    ),
    "bare hall": Scene(
        place="bare hall, back row",
        noise_db=-18,
        drift_ppm=-60,
        rate_hz=44_100,
        advice=Remedy.SECOND_LOUDSPEAKER,
    ),
}


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    return tmp_path_factory.mktemp("room")


@pytest.fixture(scope="module")
def voice(folder):
    return speaker(folder / "clips")


@pytest.fixture(scope="module")
def spoken(voice):
    """A class without music."""
    return spoken_class(voice, SECONDS)


@pytest.fixture(scope="module")
def track(folder, spoken):
    return written(folder / "class.flac", spoken.sound())


def written(path, sound, rate_hz=SAMPLE_RATE_HZ):
    soundfile.write(path, 0.5 * sound, rate_hz)
    return path


@pytest.fixture(scope="module", params=SCENES)
def checked(request, folder, voice, spoken):
    """A scene, what is true of it, and what was found."""
    scene = SCENES[request.param]
    truth, played = recorded_in(scene, spoken, voice, 20)
    track = written(folder / f"{request.param}.flac", played)
    path = folder / f"{request.param}.wav"
    soundfile.write(path, truth.sound, scene.rate_hz)
    return scene, truth, check_room(path, track, spoken.sheet, OLD)


@pytest.fixture(scope="module")
def quiet(spoken, voice):
    return recorded_in(SCENES["quiet small room"], spoken, voice, 20)[0]


def test_start_and_clock_are_found(checked):
    """The start is right to 1 ms and the clock to 1 ppm, however the recording lies."""
    scene, truth, report = checked
    assert report.place.start_ms == pytest.approx(1000 * truth.start_s, abs=1.0)
    assert report.place.drift_ppm == pytest.approx(scene.drift_ppm, abs=1.0)
    assert report.place.agreement > 0.9


def test_every_cue_that_was_recorded_has_a_row(checked, spoken):
    """All cues from the start of the recording on are there, in order."""
    scene, _, report = checked
    wanted = [
        cue.id for cue in spoken.sheet.cues if cue.start_ms >= 1000 * scene.first_s
    ]
    assert [row.id for row in report.rows] == wanted


def test_speech_over_background_is_right(checked, spoken):
    """Over noise: 1.5 dB on average, 4 dB each; over music: 3 and 9 dB.

    With loud music the noise is only bounded: it reads up to 10 dB too loud.
    """
    scene, truth, report = checked
    noise, music = levels_apart(truth, report.rows, spoken.sheet)
    if scene.music_under_db is None:
        assert not music.size
        assert abs(noise.mean()) < 1.5
        assert np.abs(noise).max() < 4
    else:
        assert abs(music.mean()) < 3
        assert np.abs(music).max() < 9
        assert -10 < noise.mean() < 1.5


def test_reverberation_is_right_within_what_is_stated(checked):
    """Time within the stated error, early over late within 1 dB."""
    _, truth, report = checked
    assert report.decay is not None
    error_s = abs(report.decay.reverberation_s - truth.reverberation_s)
    assert error_s <= report.decay.error_s
    assert report.decay.error_s < 0.5 * truth.reverberation_s
    assert report.decay.clarity_db == pytest.approx(truth.clarity_db, abs=1.0)


def test_the_advice_is_the_one_the_room_calls_for(checked):
    """Noise, music and echo each get their own remedy, and it helps."""
    scene, _, report = checked
    said = report.advice
    assert said.remedy is scene.advice
    assert report.passed or scene.advice is not Remedy.FINE
    assert said.then[-1].lost <= said.now[-1].lost
    assert said.then != said.now or scene.advice is Remedy.FINE
    assert report.advice_sentence in report.headline


def test_a_report_is_plain_text_and_json(checked):
    """The sentence that matters comes first, and the JSON has all that is shown."""
    _, _, report = checked
    lines = room_lines(report)
    assert lines[0] == report.grade_sentence
    assert all(line.strip() in report.headline for line in lines[:5])
    assert lines[-1] == report.limits
    assert sum(f'"{report.rows[0].text}"' in line for line in lines) >= 1
    values = json.loads(json.dumps(to_json(report)))
    assert values["advice"]["remedy"] == report.advice.remedy
    assert len(values["rows"]) == len(report.rows)
    assert values["advice"]["grade"] == report.advice.grade
    worst = [row["grades"][-1] for row in values["rows"]]
    followed = report.advice.now[-1]
    assert worst.count("hard") == followed.hard
    assert worst.count("lost") == followed.lost
    shown = room_lines(report, every_row=False)
    unclear = [row for row in report.rows if set(row.grades) != {"clear"}]
    assert sum(" / " in line for line in shown[1:]) == len(unclear) + bool(unclear)


@pytest.mark.parametrize("extension", ["mp3", "m4a"])
def test_files_as_phones_write_them(tmp_path, extension, quiet, track, spoken):
    """Lossy stereo in an unequal balance is heard as well."""
    path = tmp_path / f"hall.{extension}"
    stereo = np.stack([quiet.sound, 0.7 * quiet.sound], axis=1)
    write_track(
        path, iter([stereo]), format=extension, channels=2, tags=Tags(title="hall")
    )
    report = check_room(path, track, spoken.sheet, OLD)
    assert report.place.start_ms == pytest.approx(1000 * quiet.start_s, abs=1.0)
    assert report.passed


def test_a_copy_of_the_track_has_no_echo(track, spoken, voice):
    """Without a room the clarity is that of the clips, and the report wonders.

    The clarity is reckoned again from the clips by the analysis that the mix uses.
    """
    report = check_room(track, track, spoken.sheet, OLD)
    assert report.dry
    assert report.decay is None
    assert abs(report.place.start_ms) < 1
    assert "copy of the track" in "\n".join(room_lines(report))
    clips = [active_spectrum(voice.samples(cue.clip)) for cue in spoken.sheet.cues]
    mean = np.mean([10 ** (clip.level_db / 10) for clip in clips])
    offset_db = OLD.level_db_spl - 10 * np.log10(mean)
    thresholds = [
        (0,) * 18,
        worst_listener(75, 0.5).threshold_db_hl,
        worst_listener(75, 0.75).threshold_db_hl,
    ]
    for row, clip in zip(report.rows, clips, strict=True):
        spectrum = clip.raised(offset_db).spectrum_level_db
        index = third_octave_sii(spectrum, threshold_db_hl=thresholds)
        assert row.sii == pytest.approx(tuple(index), abs=0.05)


def test_another_class_is_refused(tmp_path, quiet, voice):
    """Other sentences in the same voice are not taken for this track."""
    other = spoken_class(voice, SECONDS, seed=9)
    path = written(tmp_path / "other.flac", other.sound())
    heard = written(tmp_path / "hall.wav", quiet.sound)
    with pytest.raises(TrackError, match="recording of something else"):
        check_room(heard, path, other.sheet, OLD)


def test_another_class_of_the_same_times_is_refused(tmp_path, quiet, spoken, voice):
    """Where half of what is said is something else, that is told, not measured."""
    other = spoken_class(voice, SECONDS, seed=9).sound()
    mixed = spoken.sound().copy()
    for start_s in range(0, SECONDS, 12):
        part = slice(start_s * SAMPLE_RATE_HZ, (start_s + 6) * SAMPLE_RATE_HZ)
        mixed[part] = other[part]
    path = written(tmp_path / "other.flac", mixed)
    heard = written(tmp_path / "hall.wav", quiet.sound)
    with pytest.raises(TrackError, match="another class that runs to the same times"):
        check_room(heard, path, spoken.sheet, OLD)


@pytest.mark.parametrize(
    ("swing_db", "crowding", "words"),
    [(25, 0.5, "so overdriven"), (25, 0.05, "such as another"), (5, 0.05, "so noisy")],
)
def test_what_is_not_found_is_named(swing_db, crowding, words):
    """Overdriven, another class and mere noise are told apart where none is found."""
    levels = np.full((1000, 18), 1e-3, np.float32)
    levels[:300] *= 10 ** (swing_db / 10)
    heard = KeptSound(
        narrow=np.zeros(9, np.float16), powers=levels, rate_hz=SAMPLE_RATE_HZ,
        channels=1, peak=0.5, clipped=0, crowding=crowding,
    )  # fmt: skip
    lost = Clock(start_s=0.0, rate=1.0, windows=50, agreeing=2)
    with pytest.raises(TrackError, match=words):
        _refuse_stranger(Path("hall.wav"), Path("class.mp3"), heard, lost)


def test_the_music_alone_is_no_recording_of_the_calls(tmp_path, spoken, voice):
    """Where the bed of a class sounds without its voice, no call is judged."""
    scene = replace(SCENES["loud music"], noise_db=-30, music_under_db=12)
    truth, played = recorded_in(scene, spoken, voice, 20)
    track = written(tmp_path / "class.flac", played)
    heard = written(tmp_path / "hall.wav", truth.speech + truth.music + truth.noise)
    assert check_room(heard, track, spoken.sheet, OLD).rows
    heard = written(tmp_path / "music.wav", truth.music + truth.noise)
    with pytest.raises(TrackError, match="no call of class"):
        check_room(heard, track, spoken.sheet, OLD)


def test_noise_alone_is_refused(tmp_path, track, spoken, voice):
    """Mere talk is not taken for a track."""
    heard = written(tmp_path / "talk.wav", 0.1 * babble(voice, 40, seed=7))
    with pytest.raises(TrackError, match="recording of something else"):
        check_room(heard, track, spoken.sheet, OLD)


@pytest.mark.parametrize(
    "case",
    [(30, 0.0, "next to nothing to hear"), (9, 1.0, "lasts only 9 s")],
    ids=["silent", "short"],
)
def test_what_says_too_little_is_refused(tmp_path, track, spoken, quiet, case):
    """Silence and a few seconds are told apart, with what to do."""
    seconds, gain, words = case
    part = gain * quiet.sound[: seconds * SAMPLE_RATE_HZ]
    heard = written(tmp_path / "hall.wav", part)
    with pytest.raises(TrackError, match=words):
        check_room(heard, track, spoken.sheet, OLD)


def test_a_part_without_whole_cues_is_refused(tmp_path, track, spoken, quiet):
    """Where nothing was spoken there is nothing to advise on."""
    heard = written(tmp_path / "hall.wav", quiet.sound)
    with pytest.raises(TrackError, match="no cue of"):
        check_room(heard, track, structs.replace(spoken.sheet, cues=()), OLD)


def test_overdriven_and_faint_recordings_say_so(tmp_path, track, spoken, quiet):
    """Cut-off tops and a whisper are named; the place is found all the same."""
    for sound, words in (
        (np.clip(30 * quiet.sound, -1, 1), "overdriven"),
        (0.004 * quiet.sound, "very quiet"),
    ):
        heard = tmp_path / "hall.wav"
        soundfile.write(heard, sound, SAMPLE_RATE_HZ)
        report = check_room(heard, track, spoken.sheet, OLD)
        assert words in " ".join(report.notes)
        assert report.place.start_ms == pytest.approx(1000 * quiet.start_s, abs=2.0)


def test_a_codec_does_not_hide_that_it_was_overdriven(tmp_path, track, spoken, quiet):
    """Cut tops are known also after a lossy codec has rounded them."""
    path = tmp_path / "hall.m4a"
    loudest = np.abs(quiet.sound).max()
    flat = 0.7 * np.clip(3 * quiet.sound / loudest, -1, 1)[:, None]
    write_track(path, iter([flat]), format="m4a", channels=1, tags=Tags(title="hall"))
    report = check_room(path, track, spoken.sheet, OLD)
    assert "overdriven" in " ".join(report.notes)


def test_noise_over_the_top_is_not_laid_on_the_recorder(tmp_path, track, spoken, quiet):
    """A hiss over the upper bands is called noise; a cut at 3 kHz, the recorder."""
    draw = np.random.default_rng(5)
    high = butter(6, 3000, "highpass", fs=SAMPLE_RATE_HZ, output="sos")
    low = butter(10, 3000, fs=SAMPLE_RATE_HZ, output="sos")
    hiss = sosfilt(high, draw.standard_normal(quiet.sound.size))
    loud = np.sqrt(np.mean(quiet.sound**2))
    heard = written(tmp_path / "hiss.wav", quiet.sound + 6 * loud * hiss)
    notes = " ".join(check_room(heard, track, spoken.sheet, OLD).notes)
    assert "noise of the room hides the track" in notes
    assert "next to nothing" not in notes
    heard = written(tmp_path / "cut.wav", sosfilt(low, sosfilt(low, quiet.sound)))
    notes = " ".join(check_room(heard, track, spoken.sheet, OLD).notes)
    assert "The recorder kept next to nothing above 3." in notes


def test_what_cannot_be_known_is_said(tmp_path, spoken, voice, track, quiet):
    """Twenty seconds, or a room louder than the voice, do not tell of the echo."""
    at = round(quiet.start_s * SAMPLE_RATE_HZ)
    part = written(tmp_path / "part.wav", quiet.sound[at : at + 20 * SAMPLE_RATE_HZ])
    short = check_room(part, track, spoken.sheet, OLD)
    assert "cannot be known from so little" in " ".join(short.notes)
    scene = replace(SCENES["people talk as loud as the track"], noise_db=5)
    path = tmp_path / "loud.wav"
    soundfile.write(path, recorded_in(scene, spoken, voice, 20)[0].sound, 16_000)
    loud = check_room(path, track, spoken.sheet, OLD)
    assert "louder than the voice" in " ".join(loud.notes)
    assert short.grade_sentence.startswith("As far as ")


def test_a_track_that_was_paused_is_followed_to_there(tmp_path, track, spoken, quiet):
    """What comes after a pause is not counted, and the report says from when on."""
    at = round((quiet.start_s + 42) * SAMPLE_RATE_HZ)
    pause = quiet.sound[: round(2.5 * SAMPLE_RATE_HZ)]
    sound = np.concatenate([quiet.sound[:at], pause, quiet.sound[at:]])
    heard = written(tmp_path / "hall.wav", sound)
    report = check_room(heard, track, spoken.sheet, OLD)
    assert report.place.to_ms == pytest.approx(42_000, abs=3000)
    assert "was it paused" in " ".join(report.notes)
    assert max(row.start_ms for row in report.rows) < 46_000


def test_a_class_that_repeats_itself_leaves_a_doubt(tmp_path, spoken, quiet):
    """Where the same was said half a minute before, a longer one is asked for."""
    half, half_ms = spoken.sound()[: 30 * SAMPLE_RATE_HZ], 30_000
    first = [cue for cue in spoken.sheet.cues if cue.end_ms < half_ms]
    again = [
        structs.replace(
            cue,
            id=f"{cue.id}-again",
            start_ms=cue.start_ms + half_ms,
            end_ms=cue.end_ms + half_ms,
        )
        for cue in first
    ]
    sheet = structs.replace(spoken.sheet, cues=(*first, *again), tones=())
    track = written(tmp_path / "class.flac", np.concatenate([half, half]))
    at = round((quiet.start_s + 2) * SAMPLE_RATE_HZ)
    heard = written(tmp_path / "hall.wav", quiet.sound[at : at + 20 * SAMPLE_RATE_HZ])
    report = check_room(heard, track, sheet, OLD)
    assert "Another place of the track fits" in " ".join(report.notes)
    assert len(report.rows) < len(first)


def test_a_recorder_that_levels_by_itself_changes_little(
    tmp_path, track, spoken, quiet
):
    """A gain that wanders by 10 dB moves no cue by more than 4 dB."""
    frames = np.arange(quiet.sound.size)
    wander_db = 5 * np.sin(2 * np.pi * frames / (25 * SAMPLE_RATE_HZ))
    heard = written(tmp_path / "hall.wav", quiet.sound * 10 ** (wander_db / 20))
    report = check_room(heard, track, spoken.sheet, OLD)
    noise, _ = levels_apart(quiet, report.rows, spoken.sheet)
    assert np.abs(noise).max() < 4
    assert report.place.drift_ppm == pytest.approx(quiet.drift_ppm, abs=1.0)


def test_a_recording_of_the_middle_may_end_early(tmp_path, track, spoken, quiet):
    """Thirty seconds of the class are placed, and its cues alone are listed."""
    first = round((quiet.start_s + 20) * SAMPLE_RATE_HZ)
    part = quiet.sound[first : first + 30 * SAMPLE_RATE_HZ]
    heard = written(tmp_path / "hall.wav", part)
    report = check_room(heard, track, spoken.sheet, OLD)
    assert report.place.start_ms == pytest.approx(-20_000, abs=1.5)
    inside = [
        cue.id
        for cue in spoken.sheet.cues
        if cue.start_ms > 20_000 and cue.end_ms < 50_000
    ]
    assert [row.id for row in report.rows] == inside


def test_faint_speech_is_lost_to_older_ears(tmp_path, track, spoken, quiet):
    """The same recording holds for any group: at 45 dB all is lost to people of 75."""
    heard = written(tmp_path / "hall.wav", quiet.sound)
    seen = []
    report = check_room(
        heard,
        track,
        spoken.sheet,
        Group(age=75, level_db_spl=45),
        progress=lambda *counts: seen.append(counts),
    )
    assert all(row.grades[-1] == "lost" for row in report.rows)
    assert report.advice.now[0].clear_share == 1
    assert report.advice.remedy is Remedy.LOUDSPEAKER_UP
    assert seen == [(done, 6) for done in range(1, 7)]


def test_two_tracks_of_another_rate(tmp_path, spoken, quiet):
    """A track at 44.1 kHz is heard like one at 48 kHz."""
    sound = soxr.resample(spoken.sound(), SAMPLE_RATE_HZ, 44_100)
    track = written(tmp_path / "class.wav", sound, 44_100)
    heard = written(tmp_path / "hall.wav", quiet.sound)
    report = check_room(heard, track, spoken.sheet, OLD)
    assert report.place.start_ms == pytest.approx(1000 * quiet.start_s, abs=1.0)
    assert frames_from_ms(spoken.sheet.duration_ms) == spoken.sound().size
