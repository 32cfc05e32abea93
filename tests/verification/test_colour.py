"""The sound of the voice, of both sides and of the mains, against what it should be."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.signal import butter, sosfilt

from cuetrack.verification.background import listening_cells
from cuetrack.verification.hum import HumMeter
from cuetrack.verification.limits import COLOUR_DB, GRIT_DB, GRIT_SHARE, HUM_DBFS
from cuetrack.verification.sides import StereoMeter, sides_checks
from cuetrack.verification.timbre import colour_faults, colour_of, timbre_of
from tests.verification.tracks import music

RATE = 48_000


@pytest.fixture(scope="module")
def voice():
    """Noise that comes and goes in syllables, with little of it above 4 kHz."""
    draw = np.random.default_rng(3).standard_normal(4 * RATE)
    low = sosfilt(butter(2, 2500, fs=RATE, output="sos"), draw)
    syllables = np.sin(np.pi * 4 * np.arange(low.size) / RATE) ** 2
    return (0.3 * low * syllables).astype(np.float32)


def colour(heard, known):
    return colour_of([timbre_of(listening_cells(heard.astype(np.float32), known))])


def filtered(sound, kind, hz):
    return sosfilt(butter(2, hz, kind, fs=RATE, output="sos"), sound)


@pytest.mark.parametrize("level_db", [-60, -16])
def test_the_voice_has_its_own_colour_over_music_too(voice, level_db):
    """At any level, with or without a bed, nothing is dull, thin or coarse."""
    found = colour(-0.4 * voice + 0.4 * music(voice.size, 3, level_db), voice)
    assert abs(found.low_db) < 1
    assert abs(found.high_db) < 1
    assert found.top_db > -1
    assert found.grit_db < GRIT_DB or found.grit_share < GRIT_SHARE


def test_a_filter_colours_the_voice_by_its_own_gain(voice):
    """What a filter takes from lows and highs is what is read; a tilt to half a dB.

    Of the centres of the bands, 251, 792 and 2245 Hz in the mean, 3 dB an octave.
    """
    assert colour(filtered(voice, "lowpass", 1200), voice).high_db < -2 * COLOUR_DB
    assert colour(filtered(voice, "highpass", 700), voice).low_db < -4 * COLOUR_DB
    lines = np.fft.rfft(voice)
    hz = np.maximum(np.fft.rfftfreq(voice.size, 1 / RATE), 50)
    tilted = np.fft.irfft(lines * (hz / 1000) ** (-3 / 6.02), voice.size)
    found = colour(tilted, voice)
    assert found.high_db == pytest.approx(-3 * np.log2(2245 / 792), abs=0.5)
    assert found.low_db == pytest.approx(-3 * np.log2(251 / 792), abs=0.5)


def test_few_bits_are_coarse(voice):
    """Rounded to four bits, the loud parts of a voice carry hiss above it."""
    coarse = (np.round(voice * 8) / 8).astype(np.float32)
    found = timbre_of(listening_cells(coarse, voice))
    (fault,) = colour_faults(colour_of([found]), low_rate=False)
    assert fault.startswith("coarse")


def test_few_bits_take_the_highest_sounds(voice):
    """A tilt from 3.5 kHz on is dull, where no encoder had to do it; no cue is not."""
    lines = np.fft.rfft(voice)
    hz = np.fft.rfftfreq(voice.size, 1 / RATE)
    tilted = np.fft.irfft(lines * np.where(hz > 3000, 10 ** (-5 / 20), 1), voice.size)
    found = timbre_of(listening_cells(tilted.astype(np.float32), voice))
    (fault,) = colour_faults(colour_of([found]), low_rate=False)
    assert fault.startswith("dull")
    assert colour_faults(colour_of([found]), low_rate=True) == ()


def hum_of(*sounds):
    meter = HumMeter()
    for sound in sounds:
        meter.add(sound.astype(np.float32))
    return meter.hum()


def line(hz, level_dbfs, seconds=20):
    """A sine whose mean square is so many dB of full scale."""
    at = np.arange(seconds * RATE) / RATE
    return 10 ** (level_dbfs / 20) * np.sqrt(2) * np.sin(2 * np.pi * hz * at)


@pytest.mark.parametrize("hz", [50, 60, 100, 120, 49.95])
def test_a_hum_of_the_mains_is_found_under_music(hz):
    """A line at the frequency of the mains is told with its level, however cut."""
    tune = music(20 * RATE, 4, -6)
    sound = tune + line(hz, -34)
    found = hum_of(sound[:70_001], sound[70_001:])
    assert found.hz == round(hz)
    assert found.level_dbfs == pytest.approx(-34, abs=1)


@pytest.mark.parametrize(
    "sound",
    [
        music(20 * RATE, 5, 0),
        line(48.9994, -30),  # the lowest G
        line(55, -30),  # the lowest A
        line(50, HUM_DBFS - 2),
        line(50, -30) * (np.arange(20 * RATE) < 12 * RATE),
        line(50, -30, seconds=8),
    ],
    ids=["music", "bass G", "bass A", "too faint", "not all along", "too short"],
)
def test_music_and_what_is_not_there_all_along_is_no_hum(sound):
    """Notes of the bass are not the mains, nor is what stops or is hardly heard."""
    assert hum_of(sound) is None


def test_without_sound_there_is_no_hum():
    """A stream without a frame has none."""
    assert hum_of() is None


def told(left, right):
    meter = StereoMeter()
    sound = np.stack([left, right], axis=1).astype(np.float32)
    for first in range(0, len(sound), 65_536):
        meter.add(sound[first : first + 65_536])
    return " ".join(check.sentence for check in sides_checks(meter.sides(RATE)))


@pytest.mark.parametrize(
    ("late_ms", "side"), [(0.5, "right"), (2, "right"), (-20, "left")]
)
def test_a_side_that_comes_late_is_told_with_its_delay(voice, late_ms, side):
    """The voice is in the middle, so both sides fit best on one place."""
    late = np.roll(voice, round(48 * late_ms))
    beds = [music(voice.size, seed, -16) for seed in (1, 2)]
    said = told(voice + beds[0], late + beds[1])
    assert said.startswith(f"The {side} side comes {abs(late_ms):.1f} ms after")


@pytest.mark.parametrize(("gains", "side"), [((1, 0.25), "right"), ((0.25, 1), "left")])
def test_a_side_much_quieter_is_told(voice, gains, side):
    """12 dB less on one side are told, by their name and amount."""
    assert told(gains[0] * voice, gains[1] * voice) == (
        f"The {side} side is 12 dB quieter than the other."
    )


def test_a_voice_out_of_the_middle_is_told_under_music_too(voice):
    """6 dB less on one side, wide music under the voice."""
    beds = [music(voice.size, seed, -20) for seed in (1, 2)]
    said = told(voice + beds[0], 0.5 * (voice + beds[1]))
    assert said == "The right side is 6 dB quieter than the other."


def test_music_that_echoes_on_the_other_side_makes_none_late():
    """Where the voice is gone, a fifth of one side in the other is no late voice."""
    hiss = np.random.default_rng(3).standard_normal((2, 4 * RATE))
    assert told(hiss[0], 0.2 * np.roll(hiss[0], 1704) + hiss[1]) == ""
    assert "comes 35.5 ms after" in told(hiss[0], np.roll(hiss[0], 1704) + hiss[1])


def test_music_of_two_sides_around_a_voice_is_as_it_should_be(voice):
    """Wide music, as loud as the voice, moves neither side."""
    beds = [music(voice.size, seed, 0) for seed in (1, 2)]
    assert told(voice + beds[0], voice + 0.5 * beds[1]) == ""
