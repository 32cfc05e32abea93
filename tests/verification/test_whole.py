"""What happened to a whole file is one finding, in words that say it."""

from __future__ import annotations

import re
from dataclasses import replace

import numpy as np
import pytest
import soxr
from msgspec import structs
from scipy.signal import butter, sosfilt

from cuetrack.times import SAMPLE_RATE_HZ, frames_from_ms
from cuetrack.verification import CueVerdict, report_lines, verify_track
from cuetrack.verification.report import needs_a_look
from cuetrack.verification.steps import steps_of
from cuetrack.verification.whole import explained_by_speed
from tests.verification.test_judging import rows
from tests.verification.tracks import TARGET_LUFS, levelled, music, small_class, write


@pytest.fixture(scope="module")
def track():
    return small_class()


@pytest.fixture(scope="module")
def sound(track):
    return track.sound()


def verified(tmp_path, track, sound):
    path = write(tmp_path / "class.wav", sound.astype(np.float32))
    return verify_track(path, track.sheet, track.shelf)


def gap_after(track, index):
    """A frame between a cue and the next."""
    return frames_from_ms(int(track.sheet.cues[index].end_ms) + 250)


def said(report):
    return " ".join([report.headline, *(check.sentence for check in report.checks)])


def test_a_file_upside_down_passes_and_is_said_to_be(tmp_path, track, sound):
    """Polarity is heard by nobody: every cue is on time, and one line mentions it."""
    report = verified(tmp_path, track, -sound)
    assert report.passed, report_lines(report)
    assert "The whole file turned upside down" in said(report)
    row = track.sheet.cues[2]
    first, last = (frames_from_ms(int(ms)) for ms in (row.start_ms - 100, row.end_ms))
    one = sound.copy()
    one[first : last + 2000] *= -1
    report = verified(tmp_path, track, one)
    assert report.passed, report_lines(report)
    assert "1 cue turned upside down" in said(report)


def test_50_ms_put_in_are_told_from_there_on(tmp_path, track, sound):
    """Silence inserted between two cues is one finding, with both their names."""
    at = gap_after(track, 4)
    report = verified(tmp_path, track, np.insert(sound, [at] * 2400, 0))
    before, after = track.sheet.cues[4].text, track.sheet.cues[5].text
    assert report.headline.startswith("From 0:1")
    assert f'every cue is 50.0 ms late: 50.0 ms were put in between "{before}" at' in (
        report.headline
    )
    assert f'and "{after}" at' in report.headline or after in report.headline
    assert not any("<-" in line for line in report_lines(report, every_row=False))


def test_seconds_taken_out_are_found_beyond_the_reach_of_a_cue(tmp_path, track, sound):
    """After three seconds are cut out, what follows is found and said to be early."""
    at = gap_after(track, 4)
    report = verified(tmp_path, track, np.delete(sound, slice(at, at + 144_000)))
    assert "every cue is 3.0 s early: 3.0 s are missing between" in report.headline
    verdicts = [row.verdict for row in report.rows]
    assert verdicts.count(CueVerdict.MISSING) <= 1


def test_the_same_again_is_not_found_by_chance(tmp_path, track):
    """What is missing from a file that is too long is missing, not three seconds on."""
    gone = track.with_cues(*track.cues[:6])
    longer = np.pad(gone.sound(), (0, 144_000))
    report = verified(tmp_path, gone, longer)
    verdicts = [row.verdict for row in report.rows]
    assert verdicts.count(CueVerdict.MISSING) == 5


@pytest.mark.parametrize("percent", [0.05, 0.1, -0.3])
def test_another_speed_is_named_where_no_cue_fits(tmp_path, track, sound, percent):
    """At a tenth of a percent no sentence fits its clip; its beginning does."""
    rate_hz = 48_000 * (1 + percent / 100)
    report = verified(tmp_path, track, soxr.resample(sound, 48_000, rate_hz))
    found, way = re.match(
        r"The whole track plays ([0-9.]+)% too (slow|fast)\.", report.headline
    ).groups()
    assert float(found) == pytest.approx(abs(percent), abs=0.01)
    assert way == ("slow" if percent > 0 else "fast")
    assert not report.passed


@pytest.mark.parametrize(("pace", "way"), [(0.96, "4.167% too fast"), (1.05, "slow.")])
def test_a_speed_far_off_is_told_by_the_length(tmp_path, track, sound, pace, way):
    """Film is 4 % faster on television (25 for 24 frames): the track is known still."""
    report = verified(tmp_path, track, soxr.resample(sound, 48_000, 48_000 * pace))
    assert report.headline.startswith("The whole track plays")
    assert way in report.headline
    assert report.recognised
    assert not report.passed
    row = report.rows[5]
    assert row.measured_ms == pytest.approx(row.planned_ms * pace, abs=2)
    assert row.verdict == CueVerdict.MOVED


def test_a_speed_at_which_a_cue_is_missing_is_still_a_speed(tmp_path, track):
    """Of a file too fast, with a cue gone, the missing cue keeps its row."""
    report = verified(
        tmp_path, track, soxr.resample(track.drop(3).sound(), 48_000, 46_080)
    )
    assert "4.167% too fast" in report.headline
    assert [row.verdict for row in report.rows].count(CueVerdict.MISSING) == 1


def test_speed_that_wavers_is_not_another_track(tmp_path, track, sound):
    """Where a few cues fit in their places, the sound was changed, not the file."""
    first = frames_from_ms(int(track.sheet.cues[1].start_ms) - 200)
    last = frames_from_ms(int(track.sheet.cues[-1].end_ms) + 200)
    at = np.arange(first, last)
    wavering = sound.copy()
    off = 240 * np.sin(2 * np.pi * 2 * at / 48_000)
    wavering[first:last] = np.interp(at + off, np.arange(sound.size), sound)
    report = verified(tmp_path, track, wavering)
    assert report.headline.startswith("This may be the track of"), report.headline
    assert "Speed that wavers" in report.headline
    assert not report.passed


def test_a_voice_taken_out_of_the_middle_is_named(tmp_path, track):
    """Of one side less the other, only the music is left."""
    left, right = stereo(track).T
    report = verified(tmp_path, track, np.stack([left - right, right - left], axis=1))
    assert "what was in the middle was taken out" in report.headline
    assert not report.recognised


@pytest.mark.parametrize(("gain", "way"), [(0.5, "up"), (1.1, "down"), (8.0, None)])
def test_a_wrong_volume_alone_has_its_cure(tmp_path, track, sound, gain, way):
    """What only the knob of the loudspeaker mends is said to be no other fault."""
    report = verified(tmp_path, track, gain * sound)
    cure = f"Turn the loudspeaker {way} by as much; nothing else is wrong."
    assert report.headline.endswith(cure) is bool(way)


def test_a_tail_cut_off_is_said_to_be_an_end(tmp_path, track, sound):
    """Where the file stops early, its end is the finding, not each cue behind it."""
    report = verified(tmp_path, track, sound[: gap_after(track, 6)])
    assert report.recognised
    assert report.headline.startswith("The file ends at 0:")
    assert not any("<-" in line for line in report_lines(report, every_row=False))


def stereo(track, level_db=-30):
    frames = frames_from_ms(track.sheet.duration_ms)
    return replace(track, bed=music(frames, 1, level_db)).sound()


def test_one_side_turned_is_named_and_the_cues_are_still_found(tmp_path, track):
    """A voice that cancels out on one loudspeaker is no track of another class."""
    report = verified(tmp_path, track, stereo(track) * np.array([1, -1]))
    assert "One side is turned upside down" in report.headline
    assert not report.passed
    assert all(row.verdict == CueVerdict.ON_TIME for row in report.rows)


def test_a_side_that_comes_late_is_the_cause_of_all(tmp_path, track, sound):
    """Both sides 2 ms apart are one finding, not as many as there are cues."""
    late = np.stack([sound, np.roll(sound, 96)], axis=1)
    report = verified(tmp_path, track, late)
    assert report.headline.startswith("The right side comes 2.0 ms after the other")


ASIDE = "What else may be wrong cannot be told beside that."


def test_a_cause_is_told_without_what_it_explains(tmp_path, track, sound):
    """A late side and a telephone make no cue covered and no piece missing as well."""
    late = np.stack([sound, np.roll(sound, 960)], axis=1)
    band = butter(4, (300, 3000), "bandpass", fs=SAMPLE_RATE_HZ, output="sos")
    for damaged, cause in (
        (late, "The right side comes 20.0 ms after the other"),
        (levelled(sosfilt(band, sound)), "The voice is as of a telephone"),
    ):
        report = verified(tmp_path, track, damaged)
        (only,) = [check for check in report.checks if check.passed is False]
        assert only.sentence.startswith(cause)
        assert only.sentence in report.headline
        assert ASIDE in said(report)
        assert not any("<-" in line for line in report_lines(report, every_row=False))


def test_what_a_cause_does_not_explain_is_told_beside_it(tmp_path, track):
    """With one side silent, a cue that is missing is still missing."""
    one_sided = stereo(track.drop(3)) * np.array([1, 0])
    report = verified(tmp_path, track, levelled(one_sided))
    assert "The right side of the file is silent." in said(report)
    assert f'"{track.sheet.cues[3].text}"' in report.headline
    assert report.rows[3].verdict == CueVerdict.MISSING


@pytest.mark.parametrize("side", ["left", "right"])
def test_a_silent_side_is_named(tmp_path, track, side):
    """With one loudspeaker silent the file fails, and the side is named."""
    one_sided = stereo(track) * np.array([side == "right", side == "left"])
    report = verified(tmp_path, track, levelled(one_sided))
    assert f"The {side} side of the file is silent." in said(report)
    assert not report.passed


def test_two_equal_sides_are_mentioned(tmp_path, track, sound):
    """Folded music on two channels is no fault, and is said."""
    report = verified(tmp_path, track, levelled(np.stack([sound] * 2, axis=1)))
    assert report.passed
    assert "Both sides are the same" in said(report)


def test_music_folded_to_one_channel_is_harmless(tmp_path, track):
    """The meter's 3 LU and the music between the cues are put down to the folding."""
    mixed = stereo(track, level_db=-26) * 10 ** ((-16 - TARGET_LUFS) / 20)
    report = verified(tmp_path, track, mixed.mean(axis=1))
    assert report.passed, report_lines(report)
    assert "folded to one channel" in said(report)


@pytest.mark.parametrize(
    ("band", "what"),
    [
        (("low", 1200, 0), "dull: what makes words clear"),
        (("low", 500, 1.5), "dull: its lows"),
        (("high", 700, 0), "thin: it has lost its lows"),
    ],
)
def test_what_filters_a_voice_delays_it_and_moves_no_cue(
    tmp_path, track, sound, band, what
):
    """The filter is told, not the part of a millisecond that it takes."""
    kind, hz, kept = band
    passed = sosfilt(butter(2, hz, kind, fs=SAMPLE_RATE_HZ, output="sos"), sound)
    report = verified(tmp_path, track, levelled(kept * sound + passed))
    assert f"The voice is {what}" in report.headline
    assert " ms late" not in report.headline
    assert {row.verdict for row in report.rows} == {CueVerdict.ON_TIME}


def test_hum_and_an_offset_are_named(tmp_path, track, sound):
    """50 Hz all along is a hum, and a mean off zero is an offset."""
    at = np.arange(sound.size) / 48_000
    report = verified(tmp_path, track, sound + 0.01 * np.sin(2 * np.pi * 50 * at))
    assert "A steady noise or hum of -43 dBFS sounds all along." in said(report)
    assert not report.passed
    bed = np.stack([music(sound.size, seed, -26) for seed in (3, 4)], axis=1)
    hum = 0.04 * np.sin(2 * np.pi * 50 * at)[:, None]
    report = verified(tmp_path, track, levelled(sound[:, None] + bed + hum))
    assert "A hum of 50 Hz, -34 dBFS, sounds all along" in said(report)
    report = verified(tmp_path, track, sound + 0.02)
    assert "constant offset of 0.020" in said(report)
    assert not report.passed


@pytest.mark.parametrize(
    ("errors", "steps"),
    [
        ([0] * 5 + [2400] * 5, [2400]),
        ([0] * 5 + [2400] * 5 + [0] * 5, [2400, 0]),
        ([0] * 5 + [900] + [0] * 5 + [2400] * 5, [2400]),
        ([0] * 5 + [2400] * 2, []),
        ([0, 900] * 6, []),
        ([0] * 5 + [9.6] * 5, []),
        ([None] * 5, []),
        ([0] * 9, []),
    ],
)
def test_steps_are_told_from_single_faults(errors, steps):
    """A step needs four rows on each side; one row off by itself is none.

    Nor is the delay of a filter, a part of a millisecond.
    """
    assert [step.frames for step in steps_of(rows(errors))] == steps


@pytest.mark.parametrize(("suffix", "passed"), [(".ogg", True), (".flac", False)])
def test_a_part_of_a_millisecond_is_a_note_where_samples_are_not_kept(
    tmp_path, track, sound, suffix, passed
):
    """What is late by 0.25 ms as a whole fails a file of samples, and no other."""
    path = write(tmp_path / f"class{suffix}", np.roll(sound, 12))
    report = verify_track(path, track.sheet, track.shelf)
    assert report.passed is passed, report_lines(report)
    assert "Every cue is 0.25 ms late, by the same amount." in said(report)
    assert ("Nobody hears that." in said(report)) is passed
    assert all(row.verdict == CueVerdict.ON_TIME for row in report.rows) is passed


@pytest.mark.parametrize(("missing", "told"), [(1, 1), (4, 0)])
def test_what_is_stretched_is_not_missing(missing, told):
    """At another speed a cue that is not found is missing, and many are not."""
    lost = replace(rows([None])[0], verdict=CueVerdict.MISSING)
    found = explained_by_speed([*rows([900] * 20), *[lost] * missing])
    assert sum(needs_a_look(row) for row in found) == told


def test_of_a_sheet_of_three_cues_none_may_be_found(tmp_path, track, sound):
    """So few are looked for in any file, and are missing from another."""
    sheet = structs.replace(track.sheet, cues=track.sheet.cues[:3], tones=())
    noise = 0.05 * np.random.default_rng(0).standard_normal(sound.size)
    path = write(tmp_path / "class.wav", noise.astype(np.float32))
    report = verify_track(path, sheet, track.shelf)
    assert not report.passed
    assert {row.verdict for row in report.rows} == {CueVerdict.MISSING}
