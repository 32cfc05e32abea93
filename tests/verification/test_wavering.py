"""A speed that wavers is told from filters, steps and speeds that are only wrong."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.signal import butter, sosfilt

from cuetrack.times import SAMPLE_RATE_HZ
from cuetrack.verification import CueVerdict, report_lines, verify_track
from cuetrack.verification.spectrum import SEARCH_RATE_HZ
from cuetrack.verification.wavering import delays_of, wavering_checks, wavering_of
from tests.verification.test_late_sound import voice
from tests.verification.tracks import small_class, write


def wavering(sound, share, hz, rate=SEARCH_RATE_HZ):
    at = np.arange(sound.size)
    off = share * rate / (2 * np.pi * hz) * np.sin(2 * np.pi * hz * at / rate)
    return np.interp(at + off, at, sound).astype(np.float32)


def found_in(change):
    return wavering_of([delays_of(change(voice(n, 3)), voice(n, 3)) for n in range(3)])


@pytest.mark.parametrize(("share", "hz"), [(0.01, 8), (0.004, 5), (0.002, 2)])
def test_how_far_and_how_often_the_speed_wavers(share, hz):
    """Flutter and wow (IEC 60386 parts them at 10 and 0.2 Hz, from memory) are told."""
    found = found_in(lambda sound: wavering(sound, share, hz))
    assert found.share == pytest.approx(share, rel=0.3)
    assert found.hz == pytest.approx(hz, abs=1.0)


def test_what_does_not_waver():
    """A filter, an even speed, a noise and a single step are none of it."""
    band = butter(2, (400, 2000), "bandpass", fs=SEARCH_RATE_HZ, output="sos")
    noise = 0.3 * np.random.default_rng(1).standard_normal(3 * SEARCH_RATE_HZ)
    for change in (
        lambda sound: sound,
        lambda sound: sosfilt(band, sound).astype(np.float32),
        lambda sound: wavering(sound, 0.0005, 0.01),
        lambda sound: (sound + noise * sound.std()).astype(np.float32),
        lambda sound: np.roll(sound, 20),
    ):
        assert found_in(change) is None


def test_too_little_to_tell():
    """A word, silence and one short cue tell nothing of the speed."""
    silence = np.zeros(SEARCH_RATE_HZ, np.float32)
    assert delays_of(voice(1, 0.1), voice(1, 0.1)).frames.size == 0
    assert delays_of(silence, voice(1)).frames.size == 0
    assert wavering_checks([]) == ()


def verified(tmp_path, track, sound):
    path = write(tmp_path / "class.wav", sound.astype(np.float32))
    return verify_track(path, track.sheet, track.shelf)


def test_flutter_is_one_finding_with_its_size(tmp_path):
    """No cue is moved or cut short by a flutter: the speed is what is told."""
    track = small_class()
    sound = wavering(track.sound(), 0.006, 8, SAMPLE_RATE_HZ)
    report = verified(tmp_path, track, sound)
    assert report.headline.startswith("The speed wavers by about 0."), report.headline
    assert "times a second" in report.headline
    assert not any("<-" in line for line in report_lines(report, every_row=False))


def test_slow_wavering_is_told_where_no_whole_cue_fits(tmp_path):
    """By how far the beginnings of cues are early and late, the track is known."""
    track = small_class().drop(4)
    sound = wavering(track.sound(), 0.003, 0.7, SAMPLE_RATE_HZ)
    report = verified(tmp_path, track, sound)
    assert report.recognised
    assert report.headline.startswith("The speed wavers"), report.headline
    assert report.rows[4].verdict == CueVerdict.MISSING
    assert "missing" not in report.headline, "others that are there are not found too"
    assert any("Mend it first" in check.sentence for check in report.checks)
