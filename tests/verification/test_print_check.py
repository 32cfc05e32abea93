"""What a file has gained or lost since it was made is told, with place and kind."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
import soundfile
from scipy.signal import butter, sosfilt

from cuetrack.cues.tonekinds import ToneKind
from cuetrack.output.track.cuefile import with_print
from cuetrack.sound.band_print import BANDS, LOWEST_DB, BandMeter, from_letters
from cuetrack.verification import CueVerdict, verify_track
from cuetrack.verification.places import in_words, places_of
from cuetrack.verification.print_check import (
    change_of,
    has_music,
    keeps_level,
    print_check,
)
from tests.verification.test_track import failed, verified, wrong
from tests.verification.tracks import build, levelled, music, small_class

CLASS = build(
    ((10_000, "Shoulders down."), (15_000, "Breathe out as you push."), (20_000, "Go")),
    tuple((25_000 + 1000 * step, ToneKind.TICK) for step in range(4)),
    duration_ms=30_000,
).sheet
STEPS = 60


def steps_of(rows):
    return sorted(
        {
            step
            for row in rows
            for step in range(int(row.start_ms) // 500, int(row.end_ms) // 500 + 1)
        }
    )


SPOKEN, SOUNDED = steps_of(CLASS.cues), steps_of(CLASS.tones)


def made(music_dbfs=-40.0):
    """A voice at -25, tones at -30, and between them music, dBFS in every band."""
    levels = np.full((STEPS, BANDS), music_dbfs)
    levels[SPOKEN], levels[SOUNDED] = -25.0, -30.0
    return levels


def said(heard, before=None, **options):
    check = print_check(
        made() if before is None else before,
        heard,
        CLASS,
        **{"low_rate": False, **options},
    )
    assert check.passed is check.sentence.startswith("All sounds as when")
    return check.sentence


def louder(steps, amount_db, bands=slice(None)):
    levels = made()
    levels[steps, bands] += amount_db
    return levels


def test_another_loudness_of_the_whole_is_no_change():
    """How loud the file is, another check says; half a step more makes none either."""
    assert said(made() - 4).startswith("All sounds as when")
    assert said(made()[:-1]).startswith("All sounds as when")


def test_what_has_come_is_told_by_place_and_pitch():
    """A band 6 dB up is told, 2 dB up is not; many places are counted."""
    assert "sounds at 0:02 that" in said(louder(4, 6, 8))
    assert "near 1200 Hz" in said(louder(4, 6, 8))
    assert "near 110 Hz" in said(louder(4, 9, 1))
    assert said(louder(4, 2, 8)).startswith("All sounds as when")
    places = [0, 5, 10, 15, 17, 19]
    assert "at 0:00, 0:02, 0:05, 0:07 that" in said(louder(places, 6, 8))
    assert "from 0:02 to 0:08 that" in said(louder(np.arange(4, 16), 6, 8))


def test_all_places_are_told_a_few_in_words():
    """What is in one has its end, of more than eight the rest is counted."""
    steps = np.zeros(200, np.bool_)
    assert places_of(steps, 500) == ()
    steps[[0, 10, 12]] = steps[20:40] = True
    places = places_of(steps, 500)
    assert places == ((0, 500), (5000, 6500), (10_000, 20_000))
    assert in_words(places) == "at 0:00, 0:05, 0:10 to 0:20"
    steps[50::10] = True
    assert len(places_of(steps, 500)) == 18
    assert in_words(places_of(steps, 500)).endswith("0:45 and 10 more places")
    assert in_words(places_of(steps, 500)[:9]).endswith("and 1 more place")
    check = print_check(made(), louder([4, 17], 6, 8), CLASS, low_rate=False)
    assert check.places_ms == ((2000, 2500), (8500, 9000))
    assert print_check(made(), made(), CLASS, low_rate=False).places_ms == ()


def test_wider_limits_hold_at_a_low_rate():
    """An encoder of few bits adds and drops pieces; what is all along is told still."""
    assert said(louder(4, 5, 8), low_rate=True).startswith("All sounds as when")
    assert said(louder(4, 8, 8), low_rate=True).startswith("All sounds as when")
    hiss = np.maximum(made(-70.0), -45.0)
    assert "all along" in said(hiss, made(-70.0), low_rate=True)
    assert said(louder(4, -20, 12), low_rate=True).startswith("All sounds as when")


def test_a_louder_band_hides_what_comes_beside_it():
    """Right above a band 30 dB over it 6 dB more is not heard; far above it is."""
    before = made()
    before[4, 7] = -10.0
    near, far = before.copy(), before.copy()
    near[4, 8] += 6
    far[4, 12] += 6
    assert said(near, before).startswith("All sounds as when")
    assert "sounds at 0:02" in said(far, before)


def test_one_sound_on_both_sides_is_nothing_new_in_the_highs(tmp_path):
    """Vorbis of few bits couples two noises into one: their mean rises by 4 dB."""
    draw = np.random.default_rng(11)
    track = small_class()
    noise = draw.standard_normal((track.sheet.duration_ms * 48, 2)) * 0.01
    sound = levelled(track.sound()[:, None] + noise)
    meter = BandMeter()
    meter.add(sound.mean(axis=1))
    track = replace(track, sheet=with_print(track.sheet, meter.levels_db()))
    path = tmp_path / "class.ogg"
    soundfile.write(path, sound, 48_000, subtype="VORBIS", compression_level=0.75)
    report = verify_track(path, track.sheet, track.shelf)
    assert "as it was made" not in failed(report), report.headline
    assert "sounds at 0:02" in said(louder(4, 8, 14))
    assert said(louder(4, 20, 15)).startswith("All sounds as when")


def test_a_little_in_one_cell_alone_is_the_error_of_an_encoder():
    """It counts where half a second or half an octave beside it has it too."""
    assert said(louder(4, 4, 8)).startswith("All sounds as when")
    assert "sounds at 0:02" in said(louder([4, 5], 4, 8))
    assert "sounds at 0:02" in said(louder(4, 4, [8, 9]))
    assert "sounds at 0:02" in said(louder(4, 5.5, 8))


def test_nobody_hears_what_lies_under_the_threshold():
    """Over silence -62 dBFS is nothing, -55 is told; a quiet room hides lows."""
    before = np.full((STEPS, BANDS), float(LOWEST_DB))
    for level_db, band, heard in (
        (-62, 8, False),
        (-55, 8, True),
        (-40, 0, False),
        (-44, 1, False),
        (-38, 1, True),
    ):
        after = before.copy()
        after[10, band] = level_db
        assert ("sounds at 0:05" in said(after, before)) is heard


def test_a_noise_all_along_is_told_from_a_tune():
    """What does not swing is a noise; what does is other music or more of it."""
    before = made(-70.0)
    power = 10 ** (before / 10)
    noise = 10 * np.log10(power + 10**-4.5)
    assert said(noise, before).startswith("A steady noise sounds all along")
    swing = 10 ** (-4.5 + np.random.default_rng(1).uniform(-1, 1, power.shape))
    tune = 10 * np.log10(power + swing)
    assert said(tune, before).startswith("Something sounds all along")


def test_a_noise_is_told_where_music_hides_it_half_the_time():
    """It sounds wherever it could be heard; a note that comes now and then does not."""
    before = made(-70.0)
    before[::2] = -36.0
    noise = 10 * np.log10(10 ** (before / 10) + 10**-4.5)
    assert said(noise, before).startswith("A steady noise sounds all along")
    gone = noise.copy()
    gone[11::4] = before[11::4]
    assert said(gone, before).startswith("Something sounds at")


def test_a_noise_hardly_heard_is_told_by_being_the_same_all_over():
    """Where music hides it nearly everywhere, a noise is as loud wherever it shows."""
    plays = np.arange(STEPS) % 4 < 2
    before = np.where(plays[:, None], -40.0, -70.0) * np.ones(BANDS)
    before[~plays, 13] = -44.0
    noise = -52.5 + np.random.default_rng(0).normal(0, 0.1, STEPS)
    after = before.copy()
    after[:, 14] = np.maximum(before[:, 14], noise)
    assert "A steady noise sounds all along" in said(after, before)
    after[STEPS // 2 :] = before[STEPS // 2 :]
    assert "Something sounds" in said(after, before)


def test_music_that_is_missing_is_told_with_when():
    """Between the cues nothing is left: all along, from a time on, or up to one."""
    before = made()
    voice = np.isin(np.arange(STEPS), [*SPOKEN, *SOUNDED])[:, None]
    for steps, when in (
        (slice(None), "all along"),
        (slice(30, None), "from 0:17 on"),
        (slice(None, 36), "from 0:00 to 0:18"),
    ):
        after = before.copy()
        after[steps] = np.where(voice, before, -90.0)[steps]
        assert said(after, before) == f"The music is missing {when}."
        assert said(after - 8, before) == f"The music is missing {when}."
    patchy = before.copy()
    patchy[:14] = patchy[46:] = np.where(voice, before, -90.0)[0]
    assert "The music is missing" not in said(patchy, before)
    assert "The music is missing" not in said(patchy, np.full_like(before, -90.0))


def test_a_rustle_with_the_voice_is_called_coarse():
    """It comes in the highs with what is spoken, and nowhere else."""
    assert said(louder(SPOKEN, 8, 14)).startswith("A rustle sounds with the voice")
    assert said(louder(SPOKEN, 8, 8)).startswith("Something sounds at")
    assert said(louder([*SPOKEN, 58], 8, 14)).startswith("Something sounds at")


def test_loudness_evened_out_is_one_finding():
    """Quiet speech is louder and loud speech quieter: no place is named."""
    rows = tuple((1000 + 3000 * number, "Shoulders down.") for number in range(9))
    sheet = build(rows, duration_ms=30_000).sheet
    before, after = made(), made()
    spoken = steps_of(sheet.cues)
    before[spoken], after[spoken] = -20.0, -23.0
    quiet = spoken[1::2]
    before[quiet], after[quiet] = -37.0, -28.0
    check = print_check(before, after, sheet, low_rate=False)
    assert "has evened out the loudness" in check.sentence


def test_what_has_gone_is_told_by_place_and_kind():
    """Highs gone are dull, lows gone thin, anything else missing; 4 dB are nothing."""
    some = [4, 5, 6]
    assert "dull at 0:02: its highs are missing" in said(louder(some, -9, slice(9, 16)))
    assert "thin at 0:02: its lows are missing" in said(louder(some, -9, slice(0, 5)))
    assert "missing at 0:02, or much weaker" in said(louder(4, -9, slice(9, 16)))
    assert "missing at 0:02, or much weaker, most near" in said(louder(4, -9, 6))
    assert said(louder(4, -4, 6)).startswith("All sounds as when")
    assert said(louder(4, -7, 6)).startswith("All sounds as when")
    assert "missing at 0:02" in said(louder(4, -7, [6, 7]))
    every = np.arange(STEPS)
    assert "dull all along" in said(louder(every, -9, slice(9, 13)))


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"music": 9}, "The music is 9 dB louder against the voice than when"),
        ({"tones": -6}, "The tones are 6 dB quieter against the voice than when"),
        ({"voice": -6}, "The voice is 6 dB quieter against all else than when"),
        (
            {"music": 9, "tones": 4},
            "The music is 9 dB louder and the tones are 4 dB louder against the voice",
        ),
        ({"music": 2, "tones": -2}, "All sounds as when"),
    ],
)
def test_levels_against_the_voice_are_one_finding(change, words):
    """Where all of a kind has another level, that is said and no single place."""
    levels = made() + change.get("music", 0)
    levels[SOUNDED] = -30.0 + change.get("tones", 0)
    levels[SPOKEN] = -25.0 + change.get("voice", 0)
    assert said(levels).startswith(words)


def test_music_is_what_sounds_between_the_cues():
    """A print without a free step, or with silence there, has none."""
    assert has_music(made(), CLASS)
    assert not has_music(made(-80.0), CLASS)
    sparse = made(-80.0)
    sparse[::4] = -30.0
    assert has_music(sparse, CLASS)
    assert not has_music(made()[:0], CLASS)


def test_a_track_that_lost_its_top_alone_keeps_its_level():
    """MP3 at 32 kbit/s drops what is above 8 kHz, and lowers the rest by 0.4 dB."""
    heard = made() - 0.4
    heard[:, 14:] -= 40
    assert keeps_level(made(), heard)
    assert not keeps_level(made(), heard - 0.5)
    heard[:24] -= 6
    assert not keeps_level(made(), heard)
    assert not keeps_level(made()[:0], heard)


def test_a_file_without_its_top_may_be_quieter(tmp_path):
    """2 LU less are no fault where only what an encoder drops is gone."""
    track = printed(small_class())
    quieter = replace(
        track, sheet=with_print(track.sheet, from_letters(_letters(track)) - 2)
    )
    sound = track.sound() * 10 ** (-2 / 20)
    assert "loudness" in failed(verified(tmp_path, track, sound))
    assert "loudness" not in failed(verified(tmp_path, quieter, sound))


def _letters(track):
    return track.sheet.band_print.levels


def test_an_equal_print_has_no_change():
    """Nothing added, nothing lost, whatever the levels."""
    found = change_of(made(), made())
    assert not found.change.any()
    assert (found.added <= 0).all()
    assert not found.lost.any()


def printed(track):
    """The track with the print that a make would have left in its sheet."""
    sound = track.sound()
    meter = BandMeter()
    meter.add(sound if sound.ndim == 1 else sound.mean(axis=1))
    return replace(track, sheet=with_print(track.sheet, meter.levels_db()))


@pytest.fixture(scope="module")
def over_music():
    track = small_class()
    bed = music(track.sheet.duration_ms * 48, 3, -30)
    return printed(replace(track, bed=bed))


@pytest.mark.parametrize("suffix", ["wav", "mp3"])
def test_a_sound_in_a_gap_under_music_is_told(tmp_path, over_music, suffix):
    """The file as made passes, folded to one channel too; a beep of 0.3 s fails it."""
    sound = over_music.sound()
    assert verified(tmp_path, over_music, sound, suffix).passed
    for way in (1.0, 2**0.5):
        folded = way * sound.mean(axis=1)
        assert verified(tmp_path, over_music, folded, suffix).passed
    first, second = over_music.sheet.cues[1:3]
    at = round(24 * (first.end_ms + second.start_ms))
    beep = 0.03 * np.sin(2 * np.pi * 2500 * np.arange(14_400) / 48_000)
    sound[at : at + beep.size] += beep[:, None].astype(np.float32)
    report = verified(tmp_path, over_music, sound, suffix)
    assert failed(report) == {"as it was made"}
    assert "that the track did not have when it was made" in report.headline


def test_music_exchanged_or_missing_is_told(tmp_path, over_music):
    """What neither covers the voice nor moves a cue is still another track."""
    bed = music(over_music.sheet.duration_ms * 48, 8, -30)
    for changed in (replace(over_music, bed=bed), replace(over_music, bed=None)):
        report = verified(tmp_path, over_music, changed.sound())
        assert "as it was made" in failed(report)


def test_a_shifted_file_is_not_held_against_its_print(tmp_path, over_music):
    """What all cues share is one finding; half seconds would differ everywhere."""
    late = np.pad(over_music.sound(), ((1105, 0), (0, 0)))
    report = verified(tmp_path, over_music, late)
    assert "as it was made" not in {check.name for check in report.checks}


def test_a_track_without_music_is_judged_by_silence_too(tmp_path):
    """A noise too short for the print is found where the track was silent."""
    track = printed(small_class())
    assert from_letters(track.sheet.band_print.levels).shape[1] == BANDS
    sound = track.sound()
    assert verified(tmp_path, track, sound).passed
    gap = round(48 * track.sheet.cues[3].end_ms) + 24_000
    sound[gap : gap + 960] += 0.003
    assert "nothing extra" in failed(verified(tmp_path, track, sound))


@pytest.mark.parametrize(("kind", "word"), [("lowpass", "dull"), ("highpass", "thin")])
def test_a_cue_through_a_filter_is_called_dull_or_thin(tmp_path, kind, word):
    """The delay of the filter is no move."""
    track = small_class()
    sound = track.sound()
    row = track.sheet.cues[2]
    first, last = round(row.start_ms * 48), round(row.end_ms * 48)
    hz = 900 if kind == "lowpass" else 700
    sections = butter(4, hz, kind, fs=48_000, output="sos")
    sound[first:last] = sosfilt(sections, sound[first:last])
    report = verified(tmp_path, track, levelled(sound))
    (found,) = [one for one in report.rows if one.id == row.id]
    assert found.verdict == CueVerdict.CHANGED
    assert word in found.note
    assert set(wrong(report)) == {row.text}


def test_a_file_upside_down_has_all_its_tones(tmp_path):
    """Also those that sound before the first word has told which way is up."""
    track = build(
        ((4000, "Sit tall, feet flat on the floor."), (9000, "Shoulders down.")),
        ((500, ToneKind.START), (2000, ToneKind.TICK)),
        duration_ms=12_000,
    )
    report = verified(tmp_path, track, -track.sound())
    assert report.passed, report.headline
