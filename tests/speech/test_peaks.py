"""Clips made even: all as loud, none with a peak that a master must cut off."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.signal import butter, sosfiltfilt

from cuetrack.sound.loudness import measure
from cuetrack.speech.level import TARGET_LUFS, active_lufs
from cuetrack.speech.peaks import CLIP_PEAK_DBTP, all_passed, hold_peaks, levelled
from tests.sound.sounds import noise, syllables


@pytest.mark.parametrize("seed", range(6))
@pytest.mark.parametrize("raw_lufs", [-35.0, -20.0, -8.0])
def test_clips_come_out_equally_loud_with_peaks_held(seed, raw_lufs):
    """Whatever level a voice gives, loudness and true peak are those of the house."""
    clip = levelled(syllables(1.5, seed, raw_lufs))
    assert active_lufs(clip) == pytest.approx(TARGET_LUFS, abs=0.06)
    peak_dbtp = measure([clip[:, np.newaxis]], 1).true_peak_dbtp
    assert peak_dbtp <= CLIP_PEAK_DBTP + 0.05


def test_evening_keeps_every_frame_in_place():
    """The clip keeps its length, its silences and its alignment."""
    clip = np.pad(syllables(1.0), 500)
    after = levelled(clip)
    assert after.shape == clip.shape
    assert after.dtype == np.float32
    assert not after[:500].any()
    assert not after[-500:].any()
    spectrum = np.fft.rfft(after) * np.conj(np.fft.rfft(clip))
    assert np.argmax(np.fft.irfft(spectrum, len(clip))) == 0


def test_spiky_clip_is_held_and_raised_as_far_as_it_goes():
    """A click over a hum does not keep the hum from its loudness."""
    clip = (noise(24_000, rms=0.01)[:, 0]).astype(np.float32)
    clip[12_000] = 1.0
    after = levelled(clip)
    assert active_lufs(after) == pytest.approx(TARGET_LUFS, abs=0.3)
    assert np.abs(after).max() <= 10 ** (CLIP_PEAK_DBTP / 20) + 1e-6


def test_silence_and_quiet_pass_unchanged():
    """Nothing to hold: the same samples come back."""
    silent = np.zeros(4800, np.float32)
    assert levelled(silent) is silent
    quiet = syllables(0.5, lufs=-40)
    assert hold_peaks(quiet, 0.9) is quiet


def test_turning_phases_changes_no_level_at_any_frequency():
    """Turned noise has the spectrum it had: the filters pass everything."""
    noise = np.random.default_rng(3).standard_normal(48_000).astype(np.float32)
    before = np.abs(np.fft.rfft(noise, 96_000))
    after = np.abs(np.fft.rfft(all_passed(noise, 48_000), 96_000))
    np.testing.assert_allclose(after, before, atol=1e-2 * before.max())


def test_turning_phases_draws_a_pulse_train_apart():
    """The tall peak of a hum of many harmonics loses at least 3 dB."""
    time_s = np.arange(48_000) / 48_000
    hum = sum(np.cos(2 * np.pi * 110 * n * time_s) / n for n in range(1, 30))
    found = all_passed(hum.astype(np.float32), 48_000)
    lost_db = 20 * np.log10(np.abs(hum).max() / np.abs(found[4800:-4800]).max())
    assert lost_db > 3


def test_turning_phases_moves_no_instant_by_more_than_eight_milliseconds():
    """A click in any band is where it was, within 8 ms."""
    for low, high in ((150, 300), (300, 600), (600, 1200), (1200, 4000)):
        band = butter(2, (low, high), "bandpass", fs=48_000, output="sos")
        click = np.zeros(9600, np.float32)
        click[4800] = 1
        wide = sosfiltfilt(band, click)
        moved = sosfiltfilt(band, all_passed(click, 48_000))[: wide.size]
        places = np.arange(wide.size)
        shift = (places @ moved**2) / (moved**2).sum() - (places @ wide**2) / (
            wide**2
        ).sum()
        assert 0 <= shift <= 8 * 48


def test_turning_nothing_gives_silence():
    """An empty sound is no mistake here."""
    assert not all_passed(np.zeros(0, np.float32), 48_000).any()
