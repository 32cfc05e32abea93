"""Whole files: what is right passes, and each damage is caught and named."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
import soundfile
import soxr
from msgspec import structs
from scipy.signal import butter, sosfilt

from cuetrack.cues.tonekinds import ToneKind
from cuetrack.errors import TrackError
from cuetrack.output.track.cuefile import read_cue_file, to_json
from cuetrack.plan.model import Group
from cuetrack.sound import mixing
from cuetrack.sound.hearing_mix import fit_to_hearing
from cuetrack.sound.loudness import TrackLevels
from cuetrack.times import frames_from_ms
from cuetrack.verification import CueVerdict, report_lines, respeak_with, verify_track
from cuetrack.verification.checks import true_peak_check
from cuetrack.verification.limits import COVERED_LOSS, LOW_RATE_KBITS
from cuetrack.verification.targets import MOST_HELD_TEMPLATES, Templates, targets_of
from tests.sound.sounds import SoundBed, joined
from tests.verification.tracks import (
    PHRASES,
    Shelf,
    build,
    levelled,
    music,
    small_class,
    write,
)

FORMATS = ("wav", "flac", "mp3", "ogg")


class EmptyShelf(Shelf):
    """A shelf from which every clip has been cleared."""

    def holds(self, key):
        del key


def verified(tmp_path, track, sound=None, suffix="wav", **options):
    path = tmp_path / f"class.{suffix}"
    write(path, track.sound() if sound is None else sound)
    return verify_track(path, track.sheet, track.shelf, **options)


def wrong(report):
    return {
        row.text: row.verdict
        for row in report.rows
        if row.verdict != CueVerdict.ON_TIME
    }


def failed(report):
    return {check.name for check in report.checks if check.passed is False}


@pytest.mark.parametrize(
    ("peak_dbtp", "overshoot", "fits"),
    [(-1, None, True), (0.5, None, False), (0.5, 0.001, True), (3, 0.01, False)],
)
def test_a_lossy_file_may_overshoot(peak_dbtp, overshoot, fits):
    """For an instant; a file that keeps every sample has no cause to."""
    levels = TrackLevels(
        integrated_lufs=-16.0,
        range_lu=3.0,
        true_peak_dbtp=peak_dbtp,
        sample_peak_dbfs=peak_dbtp,
    )
    check = true_peak_check(levels, overshoot)
    assert check.passed is fits
    assert ("may distort" in check.sentence) is not fits
    assert ("encoding has raised it" in check.sentence) is (fits and peak_dbtp > 0)


def test_opus_may_be_a_sample_of_its_speech_layer_off(tmp_path):
    """At 16 kHz (RFC 6716, section 2) one is three frames; other files have two."""
    track = small_class()
    for coding, frames in (("OPUS", 3), ("VORBIS", 2)):
        path = tmp_path / "class.ogg"
        soundfile.write(path, track.sound(), 48_000, format="OGG", subtype=coding)
        report = verify_track(path, track.sheet, track.shelf)
        assert report.tolerance_frames == frames


def test_a_file_a_little_too_short_may_be_the_track_all_the_same(tmp_path):
    """Played faster at one pitch, no cue fits any more; the length still tells."""
    track, other = small_class(), small_class(7).sound()
    frames = round(track.sound().size / 1.04)
    report = verified(tmp_path, track, np.resize(other, frames))
    assert not report.recognised
    assert "Or it plays 4.0% too fast: it is that much shorter." in report.headline


def test_a_bass_that_costs_no_clarity_covers_no_cue(tmp_path):
    """It is loud in LU, but lies below the bands of speech."""
    track = small_class()
    at = np.arange(track.sheet.duration_ms * 48) / 48_000
    bass = (0.1 * np.sin(2 * np.pi * 45 * at)).astype(np.float32)
    report = verified(tmp_path, replace(track, bed=bass))
    assert not wrong(report)


@pytest.mark.parametrize("suffix", FORMATS)
def test_an_undamaged_track_passes_in_every_format(tmp_path, suffix):
    """Every cue and tone is found within two frames, and nothing is complained of."""
    report = verified(tmp_path, small_class(), suffix=suffix)
    assert report.passed, report_lines(report)
    assert len(report.rows) == 16
    assert all(abs(row.error_frames) <= 2 for row in report.rows)
    assert report.headline.startswith("All 11 spoken cues and 5 tones are on time")


@pytest.mark.parametrize("suffix", FORMATS)
def test_an_undamaged_track_with_music_passes(tmp_path, suffix):
    """Music as far below the speech as a make brings it hides no cue, moves none."""
    track = small_class(1)
    track = replace(track, bed=soft_music(track, seed=1))
    report = verified(tmp_path, track, suffix=suffix)
    assert report.passed, report_lines(report)


def soft_music(track, seed, level_db=-28):
    """Music that costs the voice of a track no more than a make allows."""
    frames = frames_from_ms(track.sheet.duration_ms)
    return music(frames, seed, level_db)


def making_room(track, tune):
    """The left side of a tune as a make lowers it under the cues of a track."""
    keys = [row.clip for row in track.sheet.cues]
    events = tuple(
        mixing.Event(start_frame=event.at, key=key, frames=len(event.sound))
        for event, key in zip(track.cues, keys, strict=True)
    )
    bed = SoundBed(np.stack([tune, tune], axis=1))
    plan = mixing.MixPlan(length_frames=len(tune), events=events, bed=bed)
    fitted = fit_to_hearing(plan, track.shelf, Group(), cue_ids=keys).plan
    assert fitted.cuts, "the speech band of the tune gives way"
    blocks = mixing.mix_blocks(fitted, track.shelf, stem=mixing.Stem.BED)
    return joined(blocks)[:, 0]


@pytest.mark.parametrize("seed", [4, 5, 6])
@pytest.mark.parametrize("suffix", ["wav", "ogg"])
def test_every_cue_is_found_over_a_tune_as_loud_as_the_voice(tmp_path, suffix, seed):
    """What is left of a loud tune under the cues hides none and moves none."""
    track = small_class(seed)
    tune = music(frames_from_ms(track.sheet.duration_ms), seed, level_db=0)
    report = verified(
        tmp_path, replace(track, bed=making_room(track, tune)), suffix=suffix
    )
    assert wrong(report) == {}, report_lines(report)
    assert all(abs(row.error_frames) <= 2 for row in report.rows)


@pytest.mark.parametrize("suffix", FORMATS)
@pytest.mark.parametrize("shift_ms", [80, -80])
def test_a_cue_moved_by_80_ms_is_named_with_its_error(tmp_path, suffix, shift_ms):
    """One cue 80 ms off fails the track; the report says which, and by how much."""
    track = small_class()
    moved = track.move(3, frames_from_ms(shift_ms))
    report = verified(tmp_path, moved, suffix=suffix)
    assert not report.passed
    text = track.sheet.cues[3].text
    assert wrong(report) == {text: CueVerdict.MOVED}
    row = next(row for row in report.rows if row.text == text)
    assert row.error_ms == pytest.approx(shift_ms, abs=2 / 48)
    assert text in report.headline
    assert "80 ms" in report.headline


@pytest.mark.parametrize("suffix", FORMATS)
def test_a_dropped_cue_is_missing(tmp_path, suffix):
    """A cue that is not in the file is reported missing, and it alone."""
    track = small_class()
    report = verified(tmp_path, track.drop(5), suffix=suffix)
    assert not report.passed
    assert wrong(report) == {track.sheet.cues[5].text: CueVerdict.MISSING}


@pytest.mark.parametrize("suffix", FORMATS)
def test_two_swapped_cues_are_both_named(tmp_path, suffix):
    """Each of two swapped cues is reported with what is said in its place."""
    track = small_class()
    report = verified(tmp_path, track.swap(1, 6), suffix=suffix)
    assert not report.passed
    one, other = track.sheet.cues[1].text, track.sheet.cues[6].text
    assert wrong(report) == {one: CueVerdict.OTHER_WORDS, other: CueVerdict.OTHER_WORDS}
    notes = {row.text: row.note for row in report.rows}
    assert other in notes[one]
    assert one in notes[other]


@pytest.mark.parametrize("suffix", FORMATS)
def test_two_swapped_count_words_are_both_named(tmp_path, suffix):
    """Words a second apart, each within reach of the other, are told apart."""
    track = small_class()
    report = verified(tmp_path, track.swap(8, 9), suffix=suffix)
    assert wrong(report) == {
        "Three.": CueVerdict.OTHER_WORDS,
        "Two.": CueVerdict.OTHER_WORDS,
    }


@pytest.mark.parametrize("suffix", FORMATS)
def test_50_ms_cut_from_the_head_is_one_finding(tmp_path, suffix):
    """The report says that the head is missing, not that every cue is wrong."""
    track = small_class()
    report = verified(
        tmp_path, track, track.sound()[frames_from_ms(50) :], suffix=suffix
    )
    assert not report.passed
    assert report.headline == (
        "Every cue is 50.0 ms early: the head of the file is missing 50.0 ms."
    )
    assert "length" in failed(report)
    assert len(report_lines(report, every_row=False)) < 12


@pytest.mark.parametrize("suffix", FORMATS)
def test_6_db_more_is_caught_by_loudness_and_peak(tmp_path, suffix):
    """A track twice as loud as asked fails on loudness and on true peak."""
    track = small_class()
    sound = np.clip(2 * track.sound(), -1, 1)
    report = verified(tmp_path, track, sound, suffix=suffix)
    assert not report.passed
    assert {"loudness", "true peak"} <= failed(report)


@pytest.mark.parametrize("seed", range(20))
def test_clean_tracks_raise_no_false_alarm(tmp_path, seed):
    """Twenty drawn classes pass, half of them over music of their own."""
    track = small_class(seed)
    if seed % 2:
        track = replace(track, bed=soft_music(track, seed))
    report = verified(tmp_path, track)
    assert report.passed, report_lines(report, every_row=False)


@pytest.mark.parametrize("suffix", ["wav", "ogg"])
def test_music_that_does_not_give_way_covers_the_voice(tmp_path, suffix):
    """Cues on time over music 8 dB below are found, and said to be hard to follow."""
    track = small_class(1)
    report = verified(
        tmp_path, replace(track, bed=soft_music(track, 1, level_db=-8)), suffix=suffix
    )
    assert failed(report) == {"voice over background"}
    assert report.headline.startswith("What else sounds covers ")
    covered = [row for row in report.rows if row.verdict == CueVerdict.COVERED]
    assert len(covered) > 6, report_lines(report)
    assert all(abs(row.error_frames) <= 2 for row in report.rows)
    assert all(row.loss > COVERED_LOSS for row in covered)
    assert len(report_lines(report, every_row=False)) < 12


def test_one_cue_covered_by_a_foreign_sound_is_named(tmp_path):
    """A hiss over a single cue is seen under the voice, though the cue is on time."""
    track = small_class(1)
    row = track.sheet.cues[3]
    sound = track.sound()
    place = slice(frames_from_ms(int(row.start_ms)), frames_from_ms(int(row.end_ms)))
    hiss = np.random.default_rng(0).standard_normal(place.stop - place.start)
    sound[place] += 0.1 * hiss.astype(np.float32)
    report = verified(tmp_path, track, sound)
    assert wrong(report) == {row.text: CueVerdict.COVERED}
    assert "points of clarity" in report.headline


@pytest.mark.parametrize(("level_db", "caught"), [(-30, True), (-55, False)])
def test_a_steady_noise_under_the_music_is_called_a_noise(tmp_path, level_db, caught):
    """Hiss at -30 dBFS is told from music, and from hiss that nobody minds."""
    track = small_class(1)
    sound = replace(track, bed=soft_music(track, 1, -40)).sound()
    hiss = np.random.default_rng(0).standard_normal(sound.shape)
    sound = sound + 10 ** (level_db / 20) * hiss.astype(np.float32)
    report = verified(tmp_path, track, sound)
    assert report.passed != caught, report_lines(report)
    assert ("A steady noise" in " ".join(report_lines(report))) == caught


def test_a_rumble_over_one_cue_covers_it(tmp_path):
    """A sound as loud as the voice is told, also where it costs no clarity."""
    track = small_class()
    sound = track.sound()
    row = track.sheet.cues[2]
    cue = slice(*(frames_from_ms(round(ms)) for ms in (row.start_ms, row.end_ms)))
    at = np.arange(sound[cue].size) / 48_000
    sound[cue] += 0.3 * np.sin(2 * np.pi * 80 * at).astype(np.float32)
    report = verified(tmp_path, track, sound)
    assert wrong(report)[row.text] == CueVerdict.COVERED


def test_a_bass_under_all_that_costs_nothing_passes(tmp_path):
    """Half of the cues 7 LU over a low sound that no ear loses clarity to are clear."""
    track = small_class()
    at = np.arange(track.sound().size) / 48_000
    swing = 0.09 * (1 + 0.5 * np.sin(2 * np.pi * at))
    bass = swing * np.sin(2 * np.pi * 82 * at)
    report = verified(tmp_path, replace(track, bed=bass.astype(np.float32)))
    (check,) = (one for one in report.checks if one.name == "voice over background")
    assert 5 < check.measured < 8
    assert check.passed, check.sentence


def test_a_voice_barely_over_its_music_fails_without_one_cue_to_blame(tmp_path):
    """Where all lose a little too much, the sentence speaks of the average."""
    track = small_class(5)
    report = verified(tmp_path, replace(track, bed=soft_music(track, 5, -17)))
    assert failed(report) == {"voice over background"}
    assert wrong(report) == {}
    assert "on average" in report.headline


def test_a_tone_that_is_missing_or_moved_is_named(tmp_path):
    """Of two ticks a second apart the one that moved is named, not its neighbour."""
    track = small_class()
    tick = track.tones[3]
    late = replace(tick, at=tick.at + 48 * 30)
    damaged = replace(track, tones=(*track.tones[:3], late, track.tones[4]))
    report = verified(tmp_path, damaged)
    moved = [row for row in report.rows if row.verdict == CueVerdict.MOVED]
    assert [row.error_ms for row in moved] == [pytest.approx(30, abs=0.01)]
    gone = replace(track, tones=track.tones[1:])
    report = verified(tmp_path, gone)
    assert wrong(report) == {"start tone": CueVerdict.MISSING}


def test_a_word_said_again_nearby_never_stands_in_for_a_missing_one(tmp_path):
    """Of the same word planned twice within two seconds, the dropped one is missing."""
    texts = ((100, "Rest."), (1000, "Push."), (2500, "Push."), (5000, "Well done."))
    track = build(texts, duration_ms=8000)
    for index in (1, 2):
        report = verified(tmp_path, track.drop(index))
        verdicts = [row.verdict for row in report.rows]
        assert verdicts.count(CueVerdict.MISSING) == 1
        assert verdicts[index] == CueVerdict.MISSING


def test_a_cue_broken_off_is_cut_short(tmp_path):
    """A cue whose last third is not there is on time, and still fails."""
    track = small_class()
    index = next(i for i, row in enumerate(track.sheet.cues) if len(row.text) > 25)
    event = track.cues[index]
    kept = event.sound[: 2 * event.sound.size // 3]
    cues = list(track.cues)
    cues[index] = replace(event, sound=kept)
    report = verified(tmp_path, track.with_cues(*cues))
    assert wrong(report) == {track.sheet.cues[index].text: CueVerdict.CUT}


@pytest.mark.parametrize(
    ("gain", "verdict"),
    [
        (0.5, CueVerdict.TOO_QUIET),
        (2.0, CueVerdict.TOO_LOUD),
        (0.03, CueVerdict.MISSING),
    ],
)
def test_a_cue_at_another_level_is_named(tmp_path, gain, verdict):
    """A single cue at another level is found on time, and missing where none hears it.

    6 dB are named; 30 dB under a voice at 65 dB SPL are 35, under the threshold for
    speech of about half of those of 75 (from memory).
    """
    track = small_class()
    cues = list(track.cues)
    cues[2] = replace(cues[2], sound=gain * cues[2].sound)
    report = verified(tmp_path, track.with_cues(*cues))
    assert wrong(report) == {track.sheet.cues[2].text: verdict}
    row = next(row for row in report.rows if row.verdict == verdict)
    assert row.level_db == pytest.approx(20 * np.log10(gain), abs=0.1)


def test_a_count_word_in_place_of_another_is_told_once(tmp_path):
    """The false word is the fault, not the true one nearby nor a word too many."""
    track = small_class()
    cues = list(track.cues)
    cues[8] = replace(cues[8], sound=cues[9].sound)
    report = verified(tmp_path, track.with_cues(*cues))
    assert wrong(report) == {track.sheet.cues[8].text: CueVerdict.OTHER_WORDS}
    assert failed(report) == set()


def test_a_click_is_told_by_its_place_in_the_file(tmp_path):
    """The reader need not add anything to find it."""
    track = small_class()
    sound = track.sound()
    at = frames_from_ms(int(track.sheet.cues[2].start_ms)) + 6000
    sound[at : at + 3] += 0.7
    report = verified(tmp_path, track, sound)
    minutes, seconds = divmod(at / 48_000, 60)
    assert f" has a click at {minutes:.0f}:{seconds:04.1f}." in report.headline


@pytest.mark.parametrize("suffix", ["wav", "mp3"])
def test_holes_clicks_and_clipping_are_named(tmp_path, suffix):
    """Small damage inside words is told by cue, kind and place; clipping of all."""
    track = small_class()
    sound = track.sound()
    by_text = {row.text: row for row in track.sheet.cues}
    rows = [by_text[PHRASES[index]] for index in (1, 3, 5)]
    hole, click, swap = (frames_from_ms(int(row.start_ms)) for row in rows)
    sound[hole + 8640 : hole + 13_440] = 0
    sound[click + 5000 : click + 5040] += 0.7
    sound[swap + 4800 : swap + 24_000] = sound[swap + 4800 : swap + 24_000][::-1]
    report = verified(tmp_path, track, sound, suffix=suffix)
    assert wrong(report) == {
        rows[0].text: CueVerdict.BROKEN,
        rows[1].text: CueVerdict.CLICK,
        rows[2].text: CueVerdict.CHANGED,
    }
    peak = {"true peak"} if suffix == "wav" else set()
    assert failed(report) == {"every piece"} | peak
    top = np.abs(track.sound()).max() / 2
    clipped = levelled(np.clip(track.sound(), -top, top))
    assert "not clipped" in failed(verified(tmp_path, track, clipped, suffix=suffix))


def test_wider_limits_hold_for_a_file_of_few_bits(tmp_path):
    """A short hole and 0.6 LU missing are what encoding does there, nowhere else."""
    track = small_class()
    sound = track.sound()
    text = PHRASES[1]
    at = next(row.start_ms for row in track.sheet.cues if row.text == text)
    hole = frames_from_ms(int(at) + 180)
    sound[hole : hole + frames_from_ms(80)] = 0
    sound *= 10 ** (-0.4 / 20)
    report = verified(tmp_path, track, sound, suffix="ogg")
    path = tmp_path / "class.ogg"
    assert path.stat().st_size * 8 / track.sheet.duration_ms < LOW_RATE_KBITS
    assert wrong(report) == {}
    assert "loudness" not in failed(report)
    report = verified(tmp_path, track, sound)
    assert wrong(report) == {text: CueVerdict.BROKEN}
    assert "loudness" in failed(report)


@pytest.mark.parametrize(
    ("kind", "hz", "word"), [("lowpass", 900, "dull"), ("highpass", 900, "thin")]
)
def test_a_coloured_voice_is_named(tmp_path, kind, hz, word):
    """A voice without its highs is called dull, one without its lows thin."""
    track = small_class()
    filtered = sosfilt(butter(1, hz, kind, fs=48_000, output="sos"), track.sound())
    report = verified(tmp_path, track, levelled(filtered.astype(np.float32)))
    (check,) = [one for one in report.checks if one.name == "colour of the voice"]
    assert check.sentence.startswith(f"The voice is {word}")
    assert not report.passed
    filtered[: frames_from_ms(int(track.sheet.cues[1].start_ms))] = 0
    report = verified(tmp_path, track, levelled(filtered.astype(np.float32)))
    assert report.headline.startswith(check.sentence)
    assert "Besides, " in report.headline


def test_few_bits_are_called_coarse(tmp_path):
    """Sound rounded to four bits is coarse, whatever else it is."""
    track = small_class()
    report = verified(tmp_path, track, np.round(track.sound() * 8) / 8)
    assert "colour of the voice" in failed(report)


def test_a_tone_broken_off_is_cut_short(tmp_path):
    """A tone whose second half is not there is found on time, and still fails."""
    track = small_class()
    tone = max(track.tones, key=lambda event: event.sound.size)
    sound = track.sound()
    sound[tone.at + tone.sound.size // 2 : tone.at + tone.sound.size] = 0
    report = verified(tmp_path, track, sound)
    assert list(wrong(report).values()) == [CueVerdict.CUT]


def test_what_sounds_twice_is_named(tmp_path):
    """A tone doubled within reach of its place, and a cue said again, are told."""
    track = small_class()
    tone, cue = track.tones[0], track.cues[2]
    again = (
        replace(tone, at=tone.at + 30_000),
        replace(cue, at=cue.at + cue.sound.size + 4000),
    )
    twice = replace(track, tones=(*track.tones, again[0]))
    report = verified(tmp_path, twice)
    assert "nothing twice" in failed(report)
    assert "the start tone sounds once more than planned." in report.headline
    twice = replace(twice, cues=(*track.cues, again[1]))
    assert "So do 1 more." in verified(tmp_path, twice).headline


def test_something_extra_is_found_where_nothing_is_planned(tmp_path):
    """A word that no cue sheet asked for fails a track without music."""
    track = small_class()
    extra = track.shelf.speaker.speak(["Mind the step."])["Mind the step."]
    sound = track.sound()
    at = frames_from_ms(int(track.sheet.cues[1].end_ms) + 500)
    sound[at : at + 9600] += 0.02 * track.shelf.samples(extra.key)[:9600]
    report = verified(tmp_path, track, sound)
    assert failed(report) == {"nothing extra"}
    assert not report.passed


def test_the_track_of_another_sheet_gets_one_sentence(tmp_path):
    """A file that belongs to another class is said to be that, without a table."""
    report = verified(tmp_path, small_class(0), small_class(7).sound())
    assert not report.recognised
    assert not report.passed
    assert report.headline.startswith("This does not look like the track of")
    assert len(report_lines(report)) < 10


def test_a_file_that_ends_early_says_where(tmp_path):
    """A quarter of a track is said to end early, not to be another track."""
    track = small_class()
    sound = track.sound()
    report = verified(tmp_path, track, sound[: sound.size // 4])
    assert not report.passed
    assert report.headline.startswith(
        "The file ends at 0:09, but its cue sheet goes on"
    )


@pytest.mark.parametrize("rate_hz", [44_100, 32_000])
def test_a_file_at_another_rate_is_measured_as_exactly(tmp_path, rate_hz):
    """Someone else's conversion to another rate moves no cue by two frames."""
    track = small_class()
    sound = soxr.resample(track.sound(), 48_000, rate_hz)
    path = write(tmp_path / "class.wav", sound, rate_hz)
    report = verify_track(path, track.sheet, track.shelf)
    assert report.passed, report_lines(report)


def test_a_wrong_rate_is_said_to_play_too_fast(tmp_path):
    """Samples of 48 kHz in a file that claims 48 005 Hz are one finding."""
    track = small_class()
    path = write(tmp_path / "class.wav", track.sound(), 48_005)
    report = verify_track(path, track.sheet, track.shelf)
    assert report.headline == "The whole track plays 0.010% too fast."


@pytest.mark.parametrize(
    ("late_frames", "words"),
    [
        (1105, "no gapless tag"),
        (2257, "ignores the gapless"),
        (256, "what AC-3 encoding adds"),
        (481, "what MP2 encoding adds"),
    ],
)
def test_the_delay_of_an_encoder_is_recognised(tmp_path, late_frames, words):
    """The constant lateness of what an encoder puts in front has its cause named."""
    track = small_class()
    report = verified(tmp_path, track, np.pad(track.sound(), (late_frames, 0)))
    assert words in report.headline
    assert not report.passed


def test_stereo_from_mono_is_folded_back(tmp_path):
    """The same voice on two loudspeakers is found, and reads 3 LU louder."""
    track = small_class()
    stereo = levelled(np.stack([track.sound()] * 2, axis=1))
    assert verified(tmp_path, track, stereo).passed


def test_progress_goes_up_to_the_number_of_cues(tmp_path):
    """Progress counts every cue and tone once."""
    seen = []
    verified(tmp_path, small_class(), progress=lambda *counts: seen.append(counts))
    assert seen == [(done, 16) for done in range(1, 17)]


def test_a_lost_clip_is_spoken_again(tmp_path):
    """Clips that are no longer stored are spoken again; without a voice it says so."""
    track = small_class()
    empty = replace(track, shelf=EmptyShelf(track.shelf.speaker))
    again = respeak_with(track.shelf.speaker)
    assert verified(tmp_path, empty, respeak=again).passed
    with pytest.raises(TrackError, match="no longer stored"):
        verified(tmp_path, empty)


def test_a_voice_that_has_changed_is_mentioned(tmp_path):
    """When the voice speaks another clip than the stored one, the report says so."""
    track = small_class()

    def respeak(spoken, key):
        clip = track.shelf.speaker.speak([spoken])[spoken]
        return replace(clip, key="another"), track.shelf.samples(key)

    empty = replace(track, shelf=EmptyShelf(track.shelf.speaker))
    report = verified(tmp_path, empty, respeak=respeak)
    check = next(check for check in report.checks if check.name == "same voice")
    assert check.passed is None
    assert check.measured == 11


def test_silence_and_no_sound_are_told_apart(tmp_path):
    """A silent file is measured and fails; an empty one cannot be read."""
    track = small_class()
    silent = verified(tmp_path, track, np.zeros(48_000, np.float32))
    assert not silent.passed
    assert not silent.recognised
    assert any("nothing to hear" in line for line in report_lines(silent))
    path = tmp_path / "none.wav"
    soundfile.write(path, np.zeros(0), 48_000)
    with pytest.raises(TrackError):
        verify_track(path, track.sheet, track.shelf)
    path.write_bytes(b"")
    with pytest.raises(TrackError, match="empty"):
        verify_track(path, track.sheet, track.shelf)


def test_an_unknown_tone_in_the_sheet_is_an_error(tmp_path):
    """A cue sheet that asks for a tone nobody knows says so."""
    track = small_class()
    tones = (structs.replace(track.sheet.tones[0], kind="gong"),)
    sheet = structs.replace(track.sheet, tones=tones)
    with pytest.raises(TrackError, match="gong"):
        verified(tmp_path, replace(track, sheet=sheet))


def test_a_sheet_from_before_halfway_had_its_own_tone_still_verifies(tmp_path):
    """Two soft notes that were called halfway are those of the other side."""
    tones = ((400, ToneKind.SIDE), (1400, ToneKind.STOP))
    track = build((), tones, duration_ms=2400)
    old = tuple(
        structs.replace(row, kind="halfway" if row.kind == "side" else row.kind)
        for row in track.sheet.tones
    )
    file = tmp_path / "old.cues.json"
    file.write_text(to_json(structs.replace(track.sheet, tones=old)), "utf-8")
    report = verified(tmp_path, replace(track, sheet=read_cue_file(file)))
    assert [row.text for row in report.rows][:2] == ["side tone", "stop tone"]
    assert wrong(report) == {}


def test_a_sheet_without_cues_has_nothing_to_fail(tmp_path):
    """Silence planned and silence found leaves only the loudness to complain of."""
    track = build((), duration_ms=2000)
    report = verified(tmp_path, track, np.zeros(96_000, np.float32))
    assert failed(report) == {"loudness"}


def test_three_faults_are_counted_in_one_sentence(tmp_path):
    """More than two faults are not read out one by one, but counted by kind."""
    track = small_class().move(1, 4800).move(4, -4800).drop(6)
    report = verified(tmp_path, track)
    assert report.headline == (
        "3 of 16 cues and tones are not as planned: 2 moved, 1 missing."
    )


def test_a_missing_head_and_a_missing_cue_are_two_findings(tmp_path):
    """What all cues share does not hide what one has by itself."""
    track = small_class().drop(6)
    report = verified(tmp_path, track, track.sound()[frames_from_ms(50) :])
    assert report.headline == (
        "Every cue is 50.0 ms early: the head of the file is missing 50.0 ms. "
        "Besides, 1 of 16 cues and tones are not as planned: 1 missing."
    )
    assert sum("<-" in line for line in report_lines(report, every_row=False)) == 1


def test_a_single_cue_is_spoken_of_in_the_singular(tmp_path):
    """One cue is one cue."""
    report = verified(tmp_path, build(((500, "Rest."),), duration_ms=3000))
    assert report.headline == (
        "The 1 spoken cue is on time; the largest error is 0.00 ms."
    )


def test_a_file_without_any_of_many_cues_names_them_all(tmp_path):
    """However many are missing, each is named; what is there instead is asked of some.

    Looking for what else lies at a place takes long, so it is done sixty times only.
    """
    texts = tuple((100 + 700 * n, f"Word {n}.") for n in range(70))
    track = build(texts, duration_ms=50_000)
    gone = track.with_cues(*track.cues[:35])
    verdicts = [row.verdict for row in verified(tmp_path, gone).rows]
    assert verdicts == [CueVerdict.ON_TIME] * 35 + [CueVerdict.MISSING] * 35
    none = verified(tmp_path, track.with_cues(track.cues[0]))
    assert len(wrong(none)) == 69


def test_the_sounds_of_a_long_sheet_are_held_and_let_go():
    """A sound is made once while it is in use, and again when it was let go."""
    count = MOST_HELD_TEMPLATES + 1
    texts = tuple((100 * n, f"Word {n}.") for n in range(count))
    track = build(texts, duration_ms=100 * count + 1000)
    asked = []

    class CountingShelf(Shelf):
        def samples(self, key):
            asked.append(key)
            return super().samples(key)

    shelf = CountingShelf(track.shelf.speaker, track.shelf.clips.values())
    targets = targets_of(track.sheet)
    templates = Templates(shelf, None)
    first = templates.of(targets[0])
    assert templates.of(targets[0]) is first
    for target in targets[1:]:
        templates.of(target)
    assert len(asked) == count
    templates.of(targets[-1])
    assert len(asked) == count
    templates.of(targets[0])
    assert len(asked) == count + 1
