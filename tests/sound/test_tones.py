"""Tones: older ears hear them, people tell them apart, a filter finds them."""

from __future__ import annotations

from functools import cache
from itertools import combinations

import numpy as np
import pytest
from scipy.signal import correlate, fftconvolve

from cuetrack.cues.tonekinds import TONES, ToneKind
from cuetrack.sound.tones import tone
from cuetrack.speech.level import TARGET_LUFS, active_lufs
from cuetrack.times import SAMPLE_RATE_HZ, frames_from_ms
from tests.sound.sounds import music

KINDS = tuple(ToneKind)


def spectrum(kind):
    power = np.abs(np.fft.rfft(tone(kind).astype(np.float64), 2**18)) ** 2
    return np.fft.rfftfreq(2**18, 1 / SAMPLE_RATE_HZ), power / power.sum()


def edges_hz(kind):
    ends = [hz for pulse in TONES[kind].pulses for hz in (pulse.from_hz, pulse.to_hz)]
    return min(ends), max(ends)


@pytest.mark.parametrize("kind", KINDS)
def test_tone_lasts_as_long_as_the_cue_sheet_says(kind):
    """A tone has exactly the frames of its length, first and last at zero."""
    samples = tone(kind)
    assert samples.shape == (frames_from_ms(TONES[kind].length_ms),)
    assert samples.dtype == np.float32
    assert samples[0] == samples[-1] == 0
    assert np.any(samples[:48]), "the first millisecond is already the fade"


@pytest.mark.parametrize("kind", KINDS)
def test_tone_is_as_loud_as_a_spoken_clip(kind):
    """Tones and speech are levelled by the same measure."""
    assert active_lufs(tone(kind)) == pytest.approx(TARGET_LUFS, abs=0.01)


@pytest.mark.parametrize("kind", KINDS)
def test_tone_keeps_where_older_ears_hear(kind):
    """Fundamentals keep within 500-1000 Hz, and the top harmonic ends at 4 kHz."""
    lowest_hz, highest_hz = edges_hz(kind)
    assert lowest_hz >= 500
    assert highest_hz <= 1000
    hz, power = spectrum(kind)
    assert 10 * np.log10(power[hz > 4100].sum()) < -50


@pytest.mark.parametrize("kind", KINDS)
def test_tone_has_harmonics_that_small_loudspeakers_carry(kind):
    """Each of the harmonics 2 to 4 is within 15 dB of the fundamental."""
    pulse = TONES[kind].pulses[0]
    start = frames_from_ms(pulse.start_ms)
    frames = frames_from_ms(pulse.length_ms)
    middle = tone(kind)[start + frames // 2 - 960 : start + frames // 2 + 960]
    power = np.abs(np.fft.rfft(middle * np.hanning(1920), 2**16)) ** 2
    hz = np.fft.rfftfreq(2**16, 1 / SAMPLE_RATE_HZ)
    centre_hz = (pulse.from_hz + pulse.to_hz) / 2

    def level_db(number):
        near = np.abs(hz - number * centre_hz) < 0.3 * centre_hz
        return 10 * np.log10(power[near].sum())

    falls = [level_db(1) - level_db(number) for number in (2, 3, 4)]
    assert max(falls) <= 15
    assert min(falls) > 0


@pytest.mark.parametrize("kind", KINDS)
def test_tone_does_not_click(kind):
    """Outside half the lowest to twice the highest partial there is under -65 dB."""
    lowest_hz, highest_hz = edges_hz(kind)
    hz, power = spectrum(kind)
    outside = power[(hz < lowest_hz / 2) | (hz > 2 * 4 * highest_hz)].sum()
    assert 10 * np.log10(outside) <= -65


@pytest.mark.parametrize("kind", KINDS)
def test_every_pulse_fades_in_and_out(kind):
    """Between pulses there is silence, and no pulse is at once at its height."""
    samples = np.abs(tone(kind))
    for pulse in TONES[kind].pulses:
        start = frames_from_ms(pulse.start_ms)
        end = start + frames_from_ms(pulse.length_ms)
        assert samples[start : start + 96].max() < 0.1 * samples.max()
        assert samples[end - 96 : end].max() < 0.1 * samples.max()
        assert not samples[end : end + 480].any()


def test_tones_differ_in_rhythm():
    """Once sound tick, halfway and start, each longer; side twice, stop three times."""
    pulses = {kind: len(TONES[kind].pulses) for kind in KINDS}
    assert pulses == {
        ToneKind.TICK: 1,
        ToneKind.START: 1,
        ToneKind.MIDWAY: 1,
        ToneKind.SIDE: 2,
        ToneKind.STOP: 3,
    }
    assert TONES[ToneKind.START].length_ms >= 3 * TONES[ToneKind.TICK].length_ms
    assert TONES[ToneKind.MIDWAY].length_ms >= 2 * TONES[ToneKind.TICK].length_ms


@pytest.mark.parametrize(("one", "other"), tuple(combinations(KINDS, 2)))
def test_tones_are_unlike_each_other(one, other):
    """No shift of one tone correlates with another by half."""
    a, b = tone(one).astype(np.float64), tone(other).astype(np.float64)
    alike = np.abs(correlate(a, b, method="fft")).max()
    assert alike / np.sqrt(np.sum(a**2) * np.sum(b**2)) < 0.5


@cache
def busy_music():
    return music(30).astype(np.float64)


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("snr_db", [12, 0])
def test_tone_is_found_to_the_sample_in_music(kind, snr_db):
    """A matched filter within 200 ms of the plan finds every tone exactly."""
    samples = tone(kind).astype(np.float64)
    bed = busy_music().copy()
    tone_rms = np.sqrt(np.mean(samples**2))
    bed *= tone_rms / np.sqrt(np.mean(bed**2)) * 10 ** (-snr_db / 20)
    places = [48_000 * second + 37 * second for second in range(1, 28, 2)]
    for place in places:
        bed[place : place + len(samples)] += samples
    for place in places:
        around = bed[place - 9600 : place + 9600 + len(samples)]
        found = np.argmax(fftconvolve(around, samples[::-1], mode="valid")) - 9600
        assert found == 0


def test_tones_cannot_be_changed_by_who_uses_them():
    """The one copy of a tone is read-only."""
    with pytest.raises(ValueError, match="read-only"):
        tone(ToneKind.TICK)[0] = 1
