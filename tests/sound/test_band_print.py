"""A band print gives the levels that the definitions of decibel and power give."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from cuetrack.sound.band_print import (
    BANDS,
    EDGES_HZ,
    LETTERS,
    LOWEST_DB,
    BandMeter,
    as_letters,
    from_letters,
)

RATE = 48_000


def levels_of(*blocks):
    meter = BandMeter()
    for block in blocks:
        meter.add(block.astype(np.float32))
    return meter.levels_db()


@pytest.mark.parametrize(("hz", "band"), [(600, 6), (1200, 8), (14_000, 15)])
def test_a_sine_of_full_scale_reads_3_db_under_it_in_its_band(hz, band):
    """The mean square of a sine is half that of full scale: -3.01 dB."""
    sound = np.sin(2 * np.pi * hz * np.arange(RATE) / RATE)
    levels = levels_of(sound)
    assert levels.shape == (2, BANDS)
    assert levels[:, band] == pytest.approx(-3.01, abs=0.2)
    assert (np.delete(levels, band, axis=1) < -28).all()


def test_white_noise_rises_with_the_width_of_the_bands():
    """Each half octave is 1.5 dB wider than the last: 10 log10 of the root of 2."""
    noise = 0.1 * np.random.default_rng(1).standard_normal(60 * RATE)
    levels = 10 * np.log10((10 ** (levels_of(noise) / 10)).mean(axis=0))
    widths = np.diff(EDGES_HZ) / (RATE / 2)
    assert levels[3:] == pytest.approx(-20 + 10 * np.log10(widths)[3:], abs=0.5)


@given(st.lists(st.integers(0, 30_000), min_size=1, max_size=6))
def test_blocks_of_any_size_give_the_same_print(sizes):
    """How the sound comes in does not matter, and half a step more is no step."""
    sound = 0.1 * np.random.default_rng(2).standard_normal(sum(sizes) + 50_000)
    cut = np.split(sound, np.cumsum(sizes))
    levels = levels_of(*cut)
    assert len(levels) == sound.size // (RATE // 2)
    assert levels == pytest.approx(levels_of(sound), abs=1e-4)


@given(
    st.lists(
        st.lists(st.integers(LOWEST_DB, 0), min_size=BANDS, max_size=BANDS), max_size=4
    )
)
def test_letters_keep_every_whole_decibel(levels):
    """What is written is read back, with no letter that JSON would escape."""
    text = as_letters(np.array(levels, float))
    assert from_letters(text).tolist() == levels
    assert not set(text) & {'"', "\\"}
    assert len(set(LETTERS)) == len(LETTERS) > -LOWEST_DB


def test_no_sound_has_no_print():
    """A track shorter than a step has none, and silence is the lowest level."""
    assert levels_of().shape == (0, BANDS)
    assert (levels_of(np.zeros(RATE)) == LOWEST_DB).all()
