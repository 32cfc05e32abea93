"""Music at another tempo: strokes where they belong, pitch kept, no seams heard."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.signal import butter, sosfilt, sosfiltfilt

from cuetrack.sound import stretch as stretch_module
from cuetrack.sound.stretch import MOST_CHANGE, Speed, is_clean, speed_for, tune_at
from tests.sound.beating import SECOND, SNARE, as_tune, beat_times, drums
from tests.sound.sounds import cut, joined, sine

stretches = pytest.mark.skipif(
    not stretch_module.stretcher_is_there(),
    reason='pip install ".[music]" brings the stretcher',
)
SLOWEST, FASTEST = Speed(ten_thousandths=9200), Speed(ten_thousandths=10_800)


def stretched(sound, speed, block_frames=65_536):
    return joined(stretch_module.stretched(cut(sound, block_frames), speed))


@pytest.fixture
def small_windows(monkeypatch):
    """Windows of some 8 s, so that short music has seams."""
    monkeypatch.setattr(stretch_module, "_WINDOW_FRAMES", 40 * 10_000)


@pytest.mark.usefixtures("small_windows")
@stretches
@pytest.mark.parametrize("speed", [SLOWEST, Speed(ten_thousandths=10_450), FASTEST])
def test_strokes_come_within_a_millisecond(speed):
    """By the envelopes of the strokes, seams and all."""
    lowpass = butter(2, 400, fs=SECOND, output="sos")

    def envelope(sound):
        return sosfiltfilt(lowpass, np.abs(sound))

    sound = drums(97, 30, start=0.2)
    out = stretched(sound, speed)
    assert len(out) == round(len(sound) / speed.ratio)
    stroke = envelope(0.3 * SNARE[:4800])
    errors = []
    for place in beat_times(97, 29, 0.2)[1::2] / speed.ratio:
        low = round(place) - 480
        part = envelope(out[low : low + 4800 + 960, 0])
        match = np.correlate(part, stroke - stroke.mean())
        errors.append(low + np.argmax(match) - place)
    assert np.abs(np.mean(errors)) < 0.0005 * SECOND
    assert np.abs(errors).max() < 0.001 * SECOND


@pytest.mark.usefixtures("small_windows")
@stretches
@pytest.mark.parametrize("speed", [SLOWEST, FASTEST])
def test_pitch_stays(speed):
    """A note keeps its frequency within 0.1 Hz."""
    sound = np.stack([sine(440.5, 20, 0.3)] * 2, 1).astype(np.float32)
    out = stretched(sound, speed)[SECOND : 11 * SECOND, 0]
    power = np.abs(np.fft.rfft(out * np.hanning(len(out))))
    assert np.argmax(power) / 10 == pytest.approx(440.5, abs=0.1)


@pytest.mark.usefixtures("small_windows")
@stretches
def test_seams_do_not_click_and_keep_the_level():
    """A low chord has nothing above 3 kHz, at the seams neither; no dip over 3 dB."""
    tone = sum(sine(hz, 30, 0.1) for hz in (110, 138.6, 164.8))
    out = stretched(np.stack([tone, tone], 1).astype(np.float32), FASTEST)
    middle = slice(SECOND, len(out) - SECOND)
    clicks = sosfilt(butter(6, 3000, "high", fs=SECOND, output="sos"), out[:, 0])
    assert np.abs(clicks[middle]).max() < 10 ** (-66 / 20)
    parts = out[middle, 0][: 25 * SECOND].reshape(-1, 4800)
    level_db = 10 * np.log10(np.mean(parts**2, axis=1))
    assert level_db.min() > np.median(level_db) - 3


@pytest.mark.usefixtures("small_windows")
@stretches
def test_stretched_music_does_not_depend_on_the_blocks():
    """And is the same every time."""
    sound = drums(120, 22)
    one = stretched(sound, SLOWEST)
    assert np.array_equal(one, stretched(sound, SLOWEST, [7000, 90_001]))


@pytest.mark.usefixtures("small_windows")
@stretches
@pytest.mark.parametrize("frames", [1, 500, 400_000, 432_000, 432_001, 453_600])
def test_any_length_comes_out_whole(frames):
    """No frame too many or too few around the ends of windows."""
    sound = np.full((frames, 2), 0.1, np.float32)
    assert len(stretched(sound, FASTEST)) == round(frames / FASTEST.ratio)


@stretches
def test_stretched_tune_is_kept(tmp_path, monkeypatch):
    """A second make reads it; at its own speed a tune is itself."""
    tune = as_tune(tmp_path / "drums.wav", drums(120, 6))
    fast = tune_at(tune, FASTEST)
    assert fast.frames == round(tune.frames / FASTEST.ratio)
    assert fast.lufs == pytest.approx(tune.lufs, abs=1)
    monkeypatch.setattr(stretch_module, "stretched", None)
    assert tune_at(tune, FASTEST) == fast
    assert tune_at(tune, Speed(ten_thousandths=10_000)) is tune


@pytest.mark.parametrize(
    ("bpm", "wanted", "ratio"),
    [(120, 126, 1.05), (63, 126, 1.0), (170, 84, 0.9882), (100, 128, 1.28)],
)
def test_the_nearest_of_double_and_half_tempo_counts(bpm, wanted, ratio):
    """The beat of slow music is felt twice as fast, and the other way round."""
    assert speed_for(bpm, wanted).ratio == pytest.approx(ratio, abs=1e-4)


def test_only_small_changes_are_clean():
    """As far as was measured, and no further."""
    assert is_clean(SLOWEST)
    assert is_clean(FASTEST)
    assert not is_clean(Speed(ten_thousandths=round(10_010 + 10_000 * MOST_CHANGE)))
    assert not is_clean(Speed(ten_thousandths=round(9990 - 10_000 * MOST_CHANGE)))
