"""The master: as loud as asked, no peak above the ceiling, no frame moved."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from cuetrack.sound.loudness import measure
from cuetrack.sound.mastering import (
    MOST_GAIN_DB,
    MOST_REDUCTION_DB,
    master_blocks,
    plan_master,
)
from cuetrack.speech.peaks import levelled
from tests.sound.sounds import cut, joined, music, noise, sine, syllables


def spoken_track(seconds=20):
    """Syllables made even, as the clips of a store are, with pauses; mono."""
    sound = np.zeros((seconds * 48_000, 1), np.float32)
    for n in range(seconds // 2):
        clip = levelled(syllables(1.4, seed=n))
        sound[n * 96_000 : n * 96_000 + len(clip), 0] = clip
    return sound


def track_with_music(seconds=20):
    """The same over music at both sides."""
    left, right = (0.5 * music(seconds, seed) for seed in (1, 2))
    return spoken_track(seconds) + np.stack([left, right], axis=1)


def mastered(sound, **wishes):
    channels = sound.shape[1]
    master = plan_master(lambda: cut(sound, 65_536), channels, **wishes)
    return master, joined(master_blocks(cut(sound, 65_536), master))


@pytest.mark.parametrize(
    "sound", [spoken_track(), track_with_music()], ids=["speech", "music"]
)
@pytest.mark.parametrize("target_lufs", [-23.0, -19.0, -16.0])
@pytest.mark.parametrize("ceiling_dbtp", [-1.0, -2.5])
def test_loudness_and_peak_come_out_as_asked(sound, target_lufs, ceiling_dbtp):
    """After the limiter the loudness is right and the true peak under the ceiling."""
    master, after = mastered(sound, target_lufs=target_lufs, ceiling_dbtp=ceiling_dbtp)
    levels = measure([after], sound.shape[1])
    assert levels.integrated_lufs == pytest.approx(target_lufs, abs=0.25)
    assert levels.true_peak_dbtp <= ceiling_dbtp
    assert master.output_lufs == pytest.approx(levels.integrated_lufs, abs=0.1)
    assert master.reduction_db < MOST_REDUCTION_DB


def test_loudness_out_of_reach_is_told_and_not_forced():
    """Speech that cannot be made so loud is not crushed for a last decibel."""
    sound = spoken_track(8)
    master, after = mastered(sound, target_lufs=-10.0)
    levels = measure([after], 1)
    assert master.output_lufs < -12
    assert levels.integrated_lufs == pytest.approx(master.output_lufs, abs=0.1)
    assert levels.true_peak_dbtp <= -1
    assert master.reduction_db <= MOST_REDUCTION_DB


def test_no_frame_moves():
    """The mastered track lines up with the mix to the sample."""
    sound = spoken_track(6)
    _, after = mastered(sound, target_lufs=-14.0)
    assert after.shape == sound.shape
    spectrum = np.fft.rfft(after[:, 0]) * np.conj(np.fft.rfft(sound[:, 0]))
    assert np.argmax(np.fft.irfft(spectrum)) == 0
    assert not after[sound == 0].any()


@given(sizes=st.lists(st.integers(1000, 90_000), min_size=1, max_size=4))
@settings(max_examples=5, deadline=None)
def test_master_does_not_depend_on_the_blocks(sizes):
    """Plan and samples are the same to the bit for any cut of the mix."""
    sound = track_with_music(4)
    master, after = mastered(sound, target_lufs=-13.0)
    again = plan_master(lambda: cut(sound, sizes), 2, target_lufs=-13.0)
    assert again == master
    assert np.array_equal(joined(master_blocks(cut(sound, sizes), again)), after)


def test_silence_is_left_alone():
    """Nothing said: gain 0, silence out, and the report can say so."""
    master, after = mastered(np.zeros((96_000, 1), np.float32))
    assert master.gain_db == 0
    assert master.output_lufs == -math.inf
    assert not after.any()


def test_empty_mix_has_a_master():
    """A track without a frame does not break anything."""
    assert plan_master(list, 1).gain_db == 0


def test_faint_track_is_not_raised_without_end():
    """A whisper far below the target is raised by no more than the limit."""
    master, _ = mastered(noise(96_000, rms=10 ** (-65 / 20)))
    assert master.gain_db == MOST_GAIN_DB
    assert master.output_lufs < -30


def test_one_wild_peak_does_not_crush_the_track():
    """Peaks are flattened only so far; the track then stays quieter, and says so."""
    sound = spoken_track(6)
    sound[100_000] = 4.0
    master, after = mastered(sound)
    assert master.reduction_db <= MOST_REDUCTION_DB + 0.2
    assert master.output_lufs < -16.5
    levels = measure([after], 1)
    assert levels.integrated_lufs == pytest.approx(master.output_lufs, abs=0.1)
    assert levels.true_peak_dbtp <= -1


def test_track_under_its_ceiling_is_measured_once():
    """Without peaks to hold, one pass over the mix is enough."""
    passes = []

    def blocks():
        passes.append(1)
        return cut(sine(500, 3, 0.1).astype(np.float32)[:, np.newaxis], 65_536)

    assert plan_master(blocks, 1).reduction_db == 0
    assert len(passes) == 1
