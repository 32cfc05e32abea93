"""The cut of the band of speech: as deep as said, dry elsewhere, and never a click."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from cuetrack.sound.ducking import Duck, DuckEnvelope, DuckShape
from cuetrack.sound.hearing.bands import spectrum
from cuetrack.sound.mixing import MixPlan, Stem, mix_blocks
from cuetrack.sound.speech_band import CHUNK_FRAMES, cut_blocks, gain_when_cut
from tests.sound.sounds import Clips, SoundBed, cut, joined, music, noise, sine

SECOND = 48_000
SHAPE = DuckShape()
LENGTH = 8 * SECOND


def duck(start, end, depth_db=24.0):
    return Duck(start_frame=start, end_frame=end, depth_db=depth_db)


def cut_under(sound, *ducks):
    """The sound with its band of speech down under the ducks."""
    return joined(cut_blocks(cut(sound, CHUNK_FRAMES), DuckEnvelope(ducks)))


def stereo(one):
    return np.stack([one, np.roll(one, 7)], axis=1).astype(np.float32)


@st.composite
def some_cuts(draw):
    starts = st.integers(0, LENGTH)
    return tuple(
        duck(start, start + draw(st.integers(1, 2 * SECOND)), depth_db)
        for start in draw(st.lists(starts, min_size=1, max_size=4))
        for depth_db in [draw(st.sampled_from([0.0, 6.0, 18.0, 24.0, 40.0]))]
    )


@given(cuts=some_cuts(), block_frames=st.integers(500, 200_000))
@settings(max_examples=20, deadline=None)
def test_bits_do_not_depend_on_the_blocks(cuts, block_frames):
    """In blocks of any size the bed comes out the same to the bit."""
    bed = SoundBed(noise(LENGTH, 2, seed=4))
    plan = MixPlan(length_frames=LENGTH, events=(), bed=bed, cuts=cuts)
    whole = joined(mix_blocks(plan, Clips(), stem=Stem.BED))
    again = joined(mix_blocks(plan, Clips(), block_frames, Stem.BED))
    assert np.array_equal(again, whole)


@given(cuts=some_cuts())
@settings(max_examples=20, deadline=None)
def test_where_nothing_is_cut_the_bed_is_dry(cuts):
    """Outside of the glides not one bit differs, and it is back at once after them."""
    sound = noise(LENGTH, 2, seed=5)
    gains = DuckEnvelope(cuts).gains(0, LENGTH)
    found = cut_under(sound, *cuts)
    assert np.array_equal(found[gains == 1], sound[gains == 1])


@given(cuts=some_cuts(), seed=st.integers(0, 99))
@settings(max_examples=20, deadline=None)
def test_no_band_is_ever_louder_than_dry(cuts, seed):
    """In every band the cut bed is at most what it was, but for the analysis."""
    sound = stereo(music(LENGTH / SECOND, seed))
    dry, found = spectrum(sound), spectrum(cut_under(sound, *cuts))
    assert np.all(np.subtract(found.band_db, dry.band_db) <= 0.05)
    assert found.loudness_lufs <= dry.loudness_lufs + 0.01


@pytest.mark.parametrize(
    ("hz", "lowered_db"),
    [(50, 0), (90, 0), (200, 24), (1000, 24), (3900, 24), (6000, 0), (12_000, 0)],
)
def test_depth_by_frequency(hz, lowered_db):
    """A tone in the band goes down by what is asked for, one outside it not at all."""
    tone = stereo(sine(hz, 4, 0.2))
    found = cut_under(tone, duck(0, 4 * SECOND))
    middle = slice(SECOND, 3 * SECOND)
    change_db = 20 * np.log10(np.std(found[middle]) / np.std(tone[middle]))
    assert change_db == pytest.approx(-lowered_db, abs=0.1)


@given(hz=st.floats(20, 20_000), depth_db=st.floats(0.5, 40))
@settings(max_examples=25, deadline=None)
def test_the_model_knows_what_the_filter_does(hz, depth_db):
    """The gain that the hearing model reckons with is that of the samples."""
    tone = stereo(sine(hz, 2, 0.2))
    found = cut_under(tone, duck(0, 2 * SECOND, depth_db))[SECOND // 2 :][:SECOND]
    expected = gain_when_cut(hz, depth_db)
    assert np.std(found) / np.std(tone[:SECOND]) == pytest.approx(expected, abs=0.004)


@pytest.mark.parametrize("hz", [60, 150, 440, 2000, 4700])
def test_glides_do_not_click(hz):
    """A tone bends no more than dry, and nothing appears away from it."""
    tone = stereo(sine(hz, 4, 0.5))
    found = cut_under(tone, duck(int(1.2 * SECOND), int(2.1 * SECOND)))
    inner = slice(
        SECOND // 2, int(3.5 * SECOND)
    )  # where the tone itself begins or ends
    bend = np.abs(np.diff(found.astype(np.float64), 2, axis=0))[inner]
    alone = np.abs(np.diff(tone.astype(np.float64), 2, axis=0))[inner]
    assert bend.max() <= alone.max() * 1.01 + 1e-6
    steep = np.abs(np.fft.rfft(found[inner, 0] * np.hanning(len(found[inner]))))
    at_hz = np.fft.rfftfreq(len(found[inner]), 1 / SECOND)
    away = steep[np.abs(at_hz - hz) > 60]
    assert 20 * np.log10(away.max() / steep.max()) < -85


def test_glide_is_that_of_the_envelope():
    """A tone in the band follows the raised cosine in decibels of every duck."""
    tone = stereo(sine(1000, 4, 0.5))
    one = duck(2 * SECOND, 3 * SECOND, 18.0)
    gains = DuckEnvelope([one]).gains(0, len(tone))[:, None]
    inner = slice(SECOND // 2, int(3.5 * SECOND))
    found = cut_under(tone, one)
    assert np.abs(found - tone * gains)[inner].max() < 2e-4


def test_a_hit_is_not_heard_before_it_comes():
    """What the filter rings ahead of a click is 50 dB under it 10 ms before."""
    click = np.zeros((SECOND, 2), np.float32)
    click[SECOND // 2] = 1
    found = cut_under(click, duck(0, SECOND))
    early = found[: SECOND // 2 - 480]
    assert np.abs(early).max() < 10 ** (-50 / 20)


def test_channels_stay_apart():
    """Silence on one side stays silence whatever the other plays."""
    sound = noise(LENGTH, 2, seed=8)
    sound[:, 1] = 0
    found = cut_under(sound, duck(0, LENGTH))
    assert np.abs(found[:, 1]).max() < 1e-6


def test_short_sounds_come_back_whole():
    """A bed shorter than the filter reaches keeps its length and its level."""
    sound = noise(700, 2, seed=9)
    assert cut_under(sound, duck(0, 10, 0.0)).shape == sound.shape
    assert np.array_equal(cut_under(sound, duck(0, 10, 0.0)), sound)
