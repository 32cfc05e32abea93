"""An echo or a hall is told from the answer of a file to its clips, and named."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.signal import oaconvolve

from cuetrack.times import SAMPLE_RATE_HZ
from cuetrack.verification import report_lines, verify_track
from cuetrack.verification.late_sound import AnswerMeter, LateSound, late_sound_checks
from cuetrack.verification.spectrum import SEARCH_RATE_HZ
from tests.verification.tracks import levelled, small_class, write

SECOND = SEARCH_RATE_HZ


@pytest.fixture(scope="module")
def track():
    return small_class()


def voice(seed, seconds=1.0):
    """A sound in the band of the search, different with each seed."""
    size = round(seconds * SECOND)
    lines = np.fft.rfft(np.random.default_rng(seed).standard_normal(size))
    hz = np.fft.rfftfreq(size, 1 / SECOND)
    return np.fft.irfft(lines * ((hz > 250) & (hz < 4500)), size).astype(np.float32)


def answer_of(make, cues=8, at=SECOND // 2):
    meter = AnswerMeter()
    for seed in range(cues):
        known = voice(seed)
        stretch = np.zeros(3 * SECOND, np.float32)
        stretch[at : at + known.size] = known
        noise = 0.05 * np.random.default_rng(99 + seed).standard_normal(stretch.size)
        meter.add(make(stretch) + noise.astype(np.float32), at, known)
    return meter.late_sound()


def hall(seconds, db):
    """A tail of noise that falls by 60 dB in so many seconds (ISO 3382-1)."""
    at = np.arange(round(seconds * SECOND))
    tail = np.random.default_rng(5).standard_normal(at.size)
    tail *= 10 ** (-3 * at / at.size)
    tail *= 10 ** (db / 20) / np.sqrt(np.square(tail).sum())
    return np.concatenate([[1.0], tail[1:]])


def test_a_dry_voice_has_no_late_sound():
    """Neither noise nor too few cues are taken for an answer."""
    assert answer_of(lambda sound: sound) is None
    assert answer_of(lambda sound: sound + np.roll(sound, 1800), cues=3) is None


@pytest.mark.parametrize(("after_ms", "gain"), [(60, 0.5), (180, 0.25), (400, 0.7)])
def test_an_echo_is_told_with_its_time_and_level(after_ms, gain):
    """What comes again once, a quarter as loud and more, is an echo."""
    found = answer_of(lambda sound: sound + gain * np.roll(sound, 12 * after_ms))
    assert found.echo_ms == pytest.approx(after_ms, abs=1)
    assert found.level_db == pytest.approx(20 * np.log10(gain), abs=1.5)


@pytest.mark.parametrize("seconds", [0.6, 1.5])
def test_a_hall_is_told_with_how_long_it_rings(seconds):
    """A decay of noise is no echo; its time is known within a third."""
    tail = hall(seconds, -3)
    found = answer_of(lambda sound: oaconvolve(sound, tail)[: sound.size])
    assert found.echo_ms is None
    assert found.seconds == pytest.approx(seconds, rel=0.34)


def test_a_faint_hall_is_none():
    """What a living room adds to a loudspeaker is not told."""
    tail = hall(0.6, -18)
    assert answer_of(lambda sound: oaconvolve(sound, tail)[: sound.size]) is None


def test_a_hall_that_is_over_at_once_has_no_time():
    """What lasts for less than a tenth of a second is named, and not timed."""
    tail = np.zeros(900)
    tail[0] = 1.0
    tail[240:760] = 0.04 * np.random.default_rng(3).standard_normal(520)
    found = answer_of(lambda sound: oaconvolve(sound, tail)[: sound.size])
    assert found.echo_ms is None
    assert found.seconds is None


def test_cues_at_the_edges_of_their_stretch_are_taken_in():
    """A cue at the very start has silence before it; a hundred cues are enough."""
    found = answer_of(lambda sound: sound + 0.5 * np.roll(sound, 1200), cues=104, at=5)
    assert found.echo_ms == pytest.approx(100, abs=1)


def test_the_words_for_what_answers():
    """Echo, hall, and a hall whose decay is not seen are named."""
    assert late_sound_checks(None) == ()
    for found, words in (
        (LateSound(level_db=-6.0, echo_ms=180.0), "again 180 ms later, 6 dB weaker."),
        (LateSound(level_db=2.0, echo_ms=90.0), "again 90 ms later, 2 dB louder."),
        (
            LateSound(level_db=-5.0, seconds=1.46),
            "in a hall, ringing for some 1.5 s",
        ),
        (LateSound(level_db=-5.0), "as in a hall: reverberation came to it."),
    ):
        (check,) = late_sound_checks(found)
        assert words in check.sentence
        assert check.passed is False


def test_an_echo_in_a_file_is_the_only_thing_told(tmp_path, track):
    """No cue is covered by its own echo: the echo is the cause, and is named."""
    sound = track.sound()
    late = np.roll(sound, round(0.18 * SAMPLE_RATE_HZ))
    path = write(tmp_path / "class.wav", levelled(sound + 0.5 * late))
    report = verify_track(path, track.sheet, track.shelf)
    assert report.headline.startswith("An echo says everything again 180 ms later")
    assert not any("<-" in line for line in report_lines(report, every_row=False))
