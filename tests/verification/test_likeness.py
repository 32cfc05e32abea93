"""A track whose voice was changed is known by where it is loud and where it is not."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
import soxr

from cuetrack.output.track.cuefile import with_print
from cuetrack.sound.band_print import BandMeter
from cuetrack.verification import verify_track
from cuetrack.verification.likeness import is_alike
from tests.verification.tracks import music, small_class, write

NOWHERE = np.zeros(60, np.bool_)


def levels(seed, steps=60):
    return np.random.default_rng(seed).uniform(-60, -20, (steps, 16))


def printed(track, sound):
    meter = BandMeter()
    meter.add(sound if sound.ndim == 1 else sound.mean(axis=1))
    return replace(track, sheet=with_print(track.sheet, meter.levels_db()))


@pytest.fixture(scope="module")
def track():
    plain = small_class()
    bed = music(plain.sound().size, 1, -30)
    track = replace(plain, bed=bed)
    return printed(track, track.sound())


def robot(sound):
    """A ring modulator of 60 Hz."""
    at = np.arange(len(sound)) / 48_000
    return (1.4 * sound * np.sin(2 * np.pi * 60 * at)[:, None]).astype(np.float32)


def headline(tmp_path, track, sound):
    path = write(tmp_path / "class.wav", sound)
    report = verify_track(path, track.sheet, track.shelf)
    assert not report.recognised
    assert not report.passed
    return report.headline


def test_the_same_levels_are_alike_and_others_are_not():
    """Of another class, of silence, or of a length too far off, nothing is alike."""
    assert is_alike(levels(1), levels(1) - 12, NOWHERE)
    assert not is_alike(levels(1), levels(2), NOWHERE)
    assert not is_alike(levels(1), np.full((60, 16), -90.0), NOWHERE)
    assert not is_alike(levels(1), levels(1, 80), NOWHERE)
    assert not is_alike(levels(1, 5), levels(1, 5), NOWHERE[:5])


def test_music_alone_makes_a_track_alike_between_its_cues():
    """Where the voice is gone, what sounds between its cues still fits."""
    free = np.arange(60) < 20
    heard = np.where(free[:, None], levels(1), levels(2))
    assert is_alike(levels(1), heard, free)
    assert not is_alike(levels(1), heard, NOWHERE)


def test_a_robot_voice_is_not_another_track(tmp_path, track):
    """Its length and levels are the track's: track and sheet may belong together."""
    said = headline(tmp_path, track, robot(track.sound()))
    assert said.startswith("This may be the track of"), said
    assert "it is as long, and loud and quiet where that is" in said
    assert "Another voice or pitch, a hall, an effect or other words do so." in said


def test_a_stretched_and_changed_track_is_told_with_its_length(tmp_path, track):
    """Where no beginning of a cue fits either, the length is all there is to tell."""
    long = soxr.resample(robot(track.sound()), 48_000, 50_400)
    assert "it is 4.8% longer" in headline(tmp_path, track, long)


def test_a_voice_taken_out_leaves_its_track_known(tmp_path, track):
    """What was in the middle is gone, and the music says which track it was."""
    left, right = track.sound().T
    said = headline(tmp_path, track, np.stack([left - right, right - left], axis=1))
    assert said.startswith("This may be the track of"), said
    assert "what was in the middle was taken out" in said


def test_another_class_of_the_same_length_is_another_track(tmp_path, track):
    """The cues of one class at other times do not look like the track."""
    other = small_class(5).sound()
    other = np.pad(other, (0, max(0, len(track.sound()) - other.size)))
    said = headline(tmp_path, track, robot(other[: len(track.sound()), None]))
    assert said.startswith("This does not look like the track of"), said
