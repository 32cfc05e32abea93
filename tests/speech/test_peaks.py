"""Clips made even: all as loud, none with a peak that a master must cut off."""

from __future__ import annotations

import numpy as np
import pytest

from cuetrack.sound.loudness import measure
from cuetrack.speech.level import TARGET_LUFS, active_lufs
from cuetrack.speech.peaks import CLIP_PEAK_DBTP, even, hold_peaks
from tests.sound.sounds import noise, syllables


@pytest.mark.parametrize("seed", range(6))
@pytest.mark.parametrize("raw_lufs", [-35.0, -20.0, -8.0])
def test_clips_come_out_equally_loud_with_peaks_held(seed, raw_lufs):
    """Whatever level a voice gives, loudness and true peak are those of the house."""
    clip = even(syllables(1.5, seed, raw_lufs))
    assert active_lufs(clip) == pytest.approx(TARGET_LUFS, abs=0.06)
    peak_dbtp = measure([clip[:, np.newaxis]], 1).true_peak_dbtp
    assert peak_dbtp <= CLIP_PEAK_DBTP + 0.05


def test_evening_keeps_every_frame_in_place():
    """The clip keeps its length, its silences and its alignment."""
    clip = np.pad(syllables(1.0), 500)
    after = even(clip)
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
    after = even(clip)
    assert active_lufs(after) == pytest.approx(TARGET_LUFS, abs=0.3)
    assert np.abs(after).max() <= 10 ** (CLIP_PEAK_DBTP / 20) + 1e-6


def test_silence_and_quiet_pass_unchanged():
    """Nothing to hold: the same samples come back."""
    silent = np.zeros(4800, np.float32)
    assert even(silent) is silent
    quiet = syllables(0.5, lufs=-40)
    assert hold_peaks(quiet, 0.9) is quiet
