"""Band levels and loudness of sound, against signals whose levels are known."""

from __future__ import annotations

import tracemalloc

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from cuetrack.sound.hearing.bands import (
    HOP_FRAMES,
    SILENCE_DB,
    TrackPart,
    active_spectrum,
    power_sum_db,
    spectrum,
    stretch_spectra,
)
from cuetrack.sound.hearing.sii_tables import CENTRES_HZ

RATE = 48_000


def noise(seconds, rms=0.1, seed=1, channels=None):
    """White noise of known power; its density is rms**2 over half the rate."""
    shape = (int(seconds * RATE),) + (() if channels is None else (channels,))
    random = np.random.default_rng(seed)
    return (rms * random.standard_normal(shape)).astype(np.float32)


def sine(frequency_hz, seconds=2.0, amplitude=1.0):
    """A steady sine."""
    time = np.arange(int(seconds * RATE)) / RATE
    return (amplitude * np.sin(2 * np.pi * frequency_hz * time)).astype(np.float32)


def test_white_noise_is_flat_at_its_density():
    """White noise of known density reads that density in all 18 bands, +-0.2 dB."""
    found = np.array(spectrum(noise(120)).spectrum_level_db)
    density_db = 10 * np.log10(0.1**2 / (RATE / 2))
    np.testing.assert_allclose(found, density_db, atol=0.2)


@pytest.mark.parametrize("band", range(18))
def test_a_tone_lies_in_its_band(band):
    """A full-scale sine at a band's centre reads -3.01 there, 15 dB less beside."""
    centre_hz = 1000 * 10 ** ((band - 8) / 10)
    levels = np.array(spectrum(sine(centre_hz, 10)).band_db)
    assert levels[band] == pytest.approx(-3.01, abs=0.1)
    others = np.delete(levels, band)
    assert power_sum_db(others) < -18
    far = levels[np.abs(np.arange(18) - band) > 1]
    assert far.max() < -40


def test_bands_sum_to_the_whole():
    """Noise from 300 to 5000 Hz: the bands together hold all of its power."""
    lines = np.fft.rfft(noise(20))
    at_hz = np.fft.rfftfreq(20 * RATE, 1 / RATE)
    lines[(at_hz < 300) | (at_hz > 5000)] = 0
    sound = np.fft.irfft(lines).astype(np.float32)
    whole_db = 10 * np.log10(np.mean(sound.astype(np.float64) ** 2))
    assert spectrum(sound).level_db == pytest.approx(whole_db, abs=0.05)


def test_energy_of_a_short_sound_is_kept_wherever_it_falls():
    """A click of a few milliseconds weighs the same at any place in the grid."""
    burst = sine(1000, 0.01)
    levels = []
    for offset in range(0, HOP_FRAMES, 111):
        sound = np.zeros(2 * RATE, np.float32)
        sound[RATE // 2 + offset :][: len(burst)] = burst
        levels.append(spectrum(sound).loudness_lufs)
    assert max(levels) - min(levels) < 0.01


def test_same_on_both_channels_reads_as_mono():
    """A voice in the middle of a stereo track reads as the mono clip does."""
    mono = noise(1)
    stereo = np.stack([mono, mono], axis=1)
    np.testing.assert_allclose(
        spectrum(stereo).band_db, spectrum(mono).band_db, atol=1e-4
    )


def test_channels_are_averaged_by_power():
    """Sound on one of two channels reads 3.01 dB lower than on both."""
    mono = noise(1)
    left = np.stack([mono, np.zeros_like(mono)], axis=1)
    lower = np.array(spectrum(mono).band_db) - np.array(spectrum(left).band_db)
    np.testing.assert_allclose(lower, 10 * np.log10(2), atol=1e-4)


@given(cuts=st.lists(st.integers(1, 60_000), max_size=12))
@settings(max_examples=10, deadline=None)
def test_cutting_into_blocks_changes_nothing(cuts):
    """However the stream is cut, each stretch reads the same."""
    sound = noise(6, channels=2)
    stretches = [
        TrackPart(start_frame=0, end_frame=20_000),
        TrackPart(start_frame=15_000, end_frame=150_000),
        TrackPart(start_frame=250_000, end_frame=300_000),
    ]
    blocks = np.split(sound, np.minimum(np.cumsum(cuts, dtype=int), len(sound)))
    whole = stretch_spectra([sound], stretches)
    for cut, uncut in zip(stretch_spectra(blocks, stretches), whole, strict=True):
        np.testing.assert_allclose(cut.band_db, uncut.band_db, atol=1e-4)
        assert cut.loudness_lufs == pytest.approx(uncut.loudness_lufs, abs=1e-4)


def test_a_stretch_reads_what_lies_in_it():
    """Quiet before, loud inside: each stretch reads its own level."""
    sound = noise(6)
    sound[2 * RATE : 4 * RATE] *= 10
    quiet, loud = stretch_spectra(
        [sound],
        [
            TrackPart(start_frame=0, end_frame=int(1.9 * RATE)),
            TrackPart(start_frame=int(2.1 * RATE), end_frame=int(3.9 * RATE)),
        ],
    )
    assert loud.loudness_lufs - quiet.loudness_lufs == pytest.approx(20, abs=0.3)


def test_the_loudest_piece_of_a_long_stretch_counts():
    """Silence after two seconds of music does not make the music milder."""
    music = noise(2)
    long = np.concatenate([music, np.zeros(6 * RATE, np.float32)])
    (found,) = stretch_spectra([long], [TrackPart(start_frame=0, end_frame=len(long))])
    assert found.loudness_lufs == pytest.approx(spectrum(music).loudness_lufs, abs=0.2)


def test_beyond_the_track_is_silence():
    """A stretch after the end of the bed, or a silent one, reads as nothing."""
    after, inside = stretch_spectra(
        [np.zeros((RATE, 2), np.float32)],
        [
            TrackPart(start_frame=5 * RATE, end_frame=6 * RATE),
            TrackPart(start_frame=100, end_frame=200),
        ],
    )
    assert set(after.band_db) == set(inside.band_db) == {SILENCE_DB}


def test_empty_blocks_are_no_hindrance():
    """A stream may hold blocks of no frames, also at its start."""
    sound, nothing = noise(1, channels=2), np.zeros((0, 2), np.float32)
    stretches = [TrackPart(start_frame=0, end_frame=RATE)]
    blocks = [nothing, sound[:1000], nothing, sound[1000:], nothing]
    assert stretch_spectra(blocks, stretches) == stretch_spectra([sound], stretches)


def test_no_stretches_no_work():
    """With nothing asked the stream is not read."""
    assert stretch_spectra(iter(()), ()) == ()


def test_a_stretch_must_last():
    """An empty stretch is refused."""
    with pytest.raises(ValueError, match="must last"):
        TrackPart(start_frame=5, end_frame=5)


def test_a_stretch_shorter_than_a_hop_is_read_at_its_middle():
    """Ten milliseconds inside steady noise still read its level."""
    (found,) = stretch_spectra(
        [noise(2)], [TrackPart(start_frame=48_001, end_frame=48_481)]
    )
    assert found.loudness_lufs == pytest.approx(spectrum(noise(2)).loudness_lufs, abs=1)


def test_memory_does_not_grow_with_the_track():
    """Ten times the track needs no more memory at its peak."""

    def peak(seconds):
        block = noise(1, channels=2)
        stretches = [TrackPart(start_frame=0, end_frame=seconds * RATE)]
        tracemalloc.start()
        stretch_spectra((block for _ in range(seconds)), stretches)
        _, highest = tracemalloc.get_traced_memory()
        tracemalloc.stop()
        return highest

    peak(8)
    assert peak(50) < 1.1 * peak(8)


def test_pauses_do_not_count_in_a_clip():
    """A clip with silence around and inside reads as the same clip without."""
    word = noise(0.5)
    gap = np.zeros(RATE // 2, np.float32)
    spoken = np.concatenate([gap, word, gap, word, gap])
    alone = active_spectrum(np.concatenate([word, word]))
    found = active_spectrum(spoken)
    np.testing.assert_allclose(found.band_db, alone.band_db, atol=0.1)
    assert found.loudness_lufs == pytest.approx(alone.loudness_lufs, abs=0.05)


@pytest.mark.parametrize("samples", [np.zeros(RATE, np.float32), np.zeros(0, "f4")])
def test_a_silent_clip_is_refused(samples):
    """Nothing to hear has no spectrum, and the message says so."""
    with pytest.raises(ValueError, match="silent clip"):
        active_spectrum(samples)


def test_raising_a_spectrum_raises_all_of_it():
    """Six decibels more are six in every band and in loudness."""
    plain = spectrum(noise(1))
    louder = plain.raised(6)
    np.testing.assert_allclose(np.subtract(louder.band_db, plain.band_db), 6)
    assert louder.loudness_lufs == pytest.approx(plain.loudness_lufs + 6)
    assert louder.level_db == pytest.approx(plain.level_db + 6)
    assert len(louder.band_db) == len(CENTRES_HZ)
