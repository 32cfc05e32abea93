"""Loudness: one answer however the sound is cut, and the same by two ways."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from cuetrack.sound.loudness import (
    SUBBLOCK_FRAMES,
    Meter,
    gated_lufs,
    measure,
    read_subblocks,
)
from tests.sound.sounds import cut, noise, sine


def sparse(channels=1):
    """Noise bursts of several levels with pauses from 0.05 to 3 s of silence."""
    sound = np.zeros((12 * 48_000, channels), np.float32)
    for start_s, length_s, rms in (
        (0.03, 1.0, 0.1),
        (1.08, 0.2, 0.02),
        (1.7, 0.9, 0.2),
        (3.33, 1.5, 0.05),
        (7.9, 0.41, 0.1),
        (8.8, 0.05, 0.3),
        (9.21, 2.0, 0.003),
    ):
        start, length = round(start_s * 48_000), round(length_s * 48_000)
        sound[start : start + length] = noise(length, channels, start, rms)
    return sound


@pytest.mark.parametrize("channels", [1, 2])
def test_skipping_silence_changes_nothing(channels):
    """100 ms powers with silence left out give what the whole gives."""
    sound = sparse(channels)
    whole = measure(cut(sound, 65_536), channels).integrated_lufs
    skipped = gated_lufs(read_subblocks(cut(sound, 65_536), channels).powers)
    assert skipped == pytest.approx(whole, abs=1e-6)


@given(sizes=st.lists(st.integers(1, 90_000), min_size=1, max_size=5))
@settings(max_examples=15, deadline=None)
def test_levels_do_not_depend_on_the_blocks(sizes):
    """A meter says the same of any cut of the same sound."""
    sound = sparse(2)[: 4 * 48_000]
    sizes = [max(size, 500) for size in sizes]
    expected = measure([sound], 2)
    found = measure(cut(sound, sizes), 2)
    assert found.integrated_lufs == pytest.approx(expected.integrated_lufs, abs=1e-9)
    assert found.true_peak_dbtp == expected.true_peak_dbtp
    assert found.sample_peak_dbfs == expected.sample_peak_dbfs
    subblocks = read_subblocks(cut(sound, sizes), 2)
    assert np.array_equal(subblocks.powers, read_subblocks([sound], 2).powers)


def test_silence_has_no_loudness():
    """Silence, a breath of sound and nothing at all are told as such."""
    for sound in (np.zeros((0, 1)), np.zeros((96_000, 1)), noise(96_000, rms=1e-5)):
        levels = measure([sound.astype(np.float32)], 1)
        assert levels.integrated_lufs == -math.inf
        assert levels.range_lu == 0
        assert gated_lufs(read_subblocks([sound], 1).powers) == -math.inf
    assert Meter(1).levels().true_peak_dbtp == -math.inf


def test_too_short_for_a_gating_block_has_no_loudness():
    """Under 400 ms there is no gating block to measure."""
    assert gated_lufs(read_subblocks([noise(19_000)], 1).powers) == -math.inf


def test_voice_in_the_middle_reads_3_lu_louder_than_mono():
    """The same voice on both channels sums to twice the power."""
    mono = sine(997, 2, 0.1).astype(np.float32)[:, np.newaxis]
    both = np.repeat(mono, 2, axis=1)
    difference = measure([both], 2).integrated_lufs - measure([mono], 1).integrated_lufs
    assert difference == pytest.approx(3.0103, abs=1e-3)


def test_meter_may_be_read_on_the_way():
    """Asking for levels does not disturb what follows."""
    sound = sparse(1)[: 3 * 48_000]
    meter = Meter(1)
    for block in cut(sound, 10_000):
        meter.add(block)
        meter.levels()
    assert meter.levels().sample_peak_dbfs == measure([sound], 1).sample_peak_dbfs
    assert meter.levels().integrated_lufs == pytest.approx(
        measure([sound], 1).integrated_lufs
    )


def test_true_peak_is_found_wherever_it_falls():
    """A burst between samples is read at page edges and block edges alike."""
    burst = sine(12_000, 0.05, 0.5, 45) * np.hanning(2400)
    for start in (0, 11_000, 22_800, 23_400, 24_000, 47_900):
        sound = np.zeros((72_000, 1), np.float32)
        sound[start : start + len(burst), 0] = burst
        levels = measure(cut(sound, 7000), 1)
        assert levels.true_peak_dbtp == pytest.approx(-6.02, abs=0.05)
        assert levels.sample_peak_dbfs < -8.9


def test_peak_of_each_100_ms_is_that_of_its_samples():
    """Peaks count both signs and all channels."""
    sound = noise(5 * SUBBLOCK_FRAMES + 100, 2)
    rows = np.abs(sound[: 5 * SUBBLOCK_FRAMES]).reshape(5, -1)
    assert np.array_equal(read_subblocks([sound], 2).peaks, rows.max(axis=1))
