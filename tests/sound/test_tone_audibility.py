"""Tones are heard by those who hear worst, and never louder than the limit."""

from __future__ import annotations

import functools
import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from cuetrack.cues.tonekinds import ToneKind
from cuetrack.plan.model import Group
from cuetrack.sound.duck_solving import SILENT_BED
from cuetrack.sound.hearing.bands import ClipSpectrum
from cuetrack.sound.tone_audibility import (
    LEAST_LEVEL_DB,
    LIMIT_DB,
    OVER_BED_DB,
    OVER_THRESHOLD_DB,
    PEAK_LIMIT_DBFS,
    QUIET_MINIMUM_DB,
    solve_tones,
)

RATE = 48_000
GROUP = Group(age=75)


@functools.cache
def beep(frequency_hz=800, length_ms=250, peak=0.2, harmonics=1):
    """A tone with faded ends and equal harmonics."""
    time = np.arange(RATE * length_ms // 1000) / RATE
    wave = sum(
        np.sin(2 * np.pi * frequency_hz * number * time)
        for number in range(1, harmonics + 1)
    )
    ramp = 0.5 - 0.5 * np.cos(np.pi * np.arange(720) / 720)
    wave[:720] *= ramp
    wave[-720:] *= ramp[::-1]
    return (peak * wave / np.abs(wave).max()).astype(np.float32)


def bed(*bands_db):
    """A bed with this level in every band, or band by band."""
    levels = bands_db * 18 if len(bands_db) == 1 else bands_db
    return ClipSpectrum(band_db=tuple(levels), loudness_lufs=-30.0)


def solve(beds, offset_db=85.0, group=GROUP, sound=None, **options):
    """Solve ticks over some beds."""
    sounds = {ToneKind.TICK: beep() if sound is None else sound}
    return solve_tones(
        [ToneKind.TICK] * len(beds),
        beds,
        group,
        sounds=sounds,
        ear_offset_db=offset_db,
        **options,
    )


@given(
    bands=st.lists(st.floats(-90, 0), min_size=18, max_size=18),
    offset_db=st.floats(60, 110),
    age=st.integers(40, 90),
    harmonics=st.integers(1, 4),
)
@settings(max_examples=30, deadline=None)
def test_what_is_called_audible_is(bands, offset_db, age, harmonics):
    """An audible tone keeps every distance; none passes a limit."""
    sound = beep(500, harmonics=harmonics)
    found = solve([bed(*bands)], offset_db, Group(age=age), sound)
    (row,) = found.rows
    gain_db = found.gain_db(ToneKind.TICK)
    assert row.level_db_spl <= LIMIT_DB + 1e-9
    assert 20 * math.log10(np.abs(sound).max()) + gain_db <= PEAK_LIMIT_DBFS + 1e-6
    if row.audible:
        assert row.over_threshold_db >= OVER_THRESHOLD_DB - 1e-9
        assert row.over_bed_db >= OVER_BED_DB - 1e-9
        assert int(row.band_hz) in QUIET_MINIMUM_DB


@given(louder_db=st.floats(0, 60))
@settings(deadline=None)
def test_a_louder_bed_never_makes_a_tone_softer(louder_db):
    """Turning the bed up raises the gain or the duck, never lowers either."""
    plain, louder = (solve([bed(level)]) for level in (-60, -60 + louder_db))
    assert louder.gain_db(ToneKind.TICK) >= plain.gain_db(ToneKind.TICK)
    assert louder.rows[0].duck_depth_db >= plain.rows[0].duck_depth_db


def test_a_clear_tone_is_left_as_it_is():
    """With no bed and enough level there is nothing to do."""
    found = solve([SILENT_BED])
    assert found.gain_db(ToneKind.TICK) == 0
    assert found.rows[0].audible
    assert found.rows[0].duck_depth_db == 0


def test_a_bed_in_the_band_raises_the_tone_by_the_least():
    """The gain brings the tone 15 dB over the bed in its band, within a tenth."""
    found = solve([bed(-31.0)])
    assert 0 < found.gain_db(ToneKind.TICK) < LIMIT_DB - 65
    assert found.rows[0].over_bed_db == pytest.approx(OVER_BED_DB, abs=0.1)
    assert found.rows[0].duck_depth_db == 0


def test_beyond_the_limit_the_bed_gives_way():
    """A tone at its limit leaves the rest to a duck that is just deep enough."""
    found = solve([bed(-20.0)])
    (row,) = found.rows
    assert row.level_db_spl == pytest.approx(LIMIT_DB, abs=0.1)
    assert row.duck_depth_db > 0
    assert row.over_bed_db == pytest.approx(OVER_BED_DB, abs=0.1)
    assert row.audible


def test_a_bed_elsewhere_does_not_matter():
    """Bass and treble far from the tone's band cost nothing."""
    levels = [0.0] * 18
    for band in range(5, 10):
        levels[band] = -80.0
    assert solve([bed(*levels)]).gain_db(ToneKind.TICK) == 0


def test_one_gain_serves_all_places_of_a_kind():
    """A kind sounds the same all through the class: the loudest place decides."""
    beds = [bed(-31.0), SILENT_BED, bed(-33.0)]
    together = solve(beds).gain_db(ToneKind.TICK)
    assert together == max(solve([one]).gain_db(ToneKind.TICK) for one in beds)


def test_kinds_are_solved_apart():
    """A start over loud music does not raise the ticks."""
    found = solve_tones(
        [ToneKind.TICK, ToneKind.START],
        [SILENT_BED, bed(-31.0)],
        GROUP,
        sounds={ToneKind.TICK: beep(), ToneKind.START: beep()},
        ear_offset_db=85.0,
    )
    assert found.gain_db(ToneKind.TICK) == 0
    assert found.gain_db(ToneKind.START) > 0
    assert [row.kind for row in found.rows] == [ToneKind.TICK, ToneKind.START]
    assert found.gain_db(ToneKind.STOP) == 0


def test_soft_tones_reach_the_least_level():
    """A tone made too soft comes up to 60 dB at the ear."""
    found = solve([SILENT_BED], offset_db=70)
    assert found.rows[0].level_db_spl == pytest.approx(LEAST_LEVEL_DB, abs=0.1)


def test_a_loud_room_setting_brings_tones_down_to_the_limit():
    """Played so loud that tones would pass 70 dB, they are turned down."""
    found = solve([SILENT_BED], offset_db=95)
    assert found.gain_db(ToneKind.TICK) < 0
    assert found.rows[0].level_db_spl <= LIMIT_DB
    assert found.rows[0].audible


def test_a_shrill_tone_is_not_heard_by_the_oldest():
    """The same tone at 8 kHz is lost to the worst-hearing tenth: it is too soft."""
    found = solve([SILENT_BED], group=Group(age=80), sound=beep(8000))
    assert not found.rows[0].audible
    assert found.rows[0].over_threshold_db < OVER_THRESHOLD_DB


def test_a_short_tone_needs_more():
    """Below 200 ms it is the energy that is heard: 40 ms stand 9.5 dB nearer.

    Two ramps of 15 ms, each worth 3/8 of it, leave 21.25 ms of 40 and 381.25 of
    400 at full power.
    """
    long, short = (
        solve([SILENT_BED], sound=beep(length_ms=length)).rows[0].over_threshold_db
        for length in (400, 40)
    )
    expected = 10 * math.log10(200 / 21.25) - 10 * math.log10(400 / 381.25)
    assert long - short == pytest.approx(expected, abs=0.1)


def test_hopeless_music_hides_a_tone():
    """Where even the deepest duck hides a tone it is the music, not the level."""
    found = solve([bed(20.0)])
    assert not found.rows[0].audible
    assert found.rows[0].over_threshold_db >= OVER_THRESHOLD_DB
    assert found.rows[0].over_bed_db < OVER_BED_DB


def test_no_tones_no_rows():
    """A track without tones has no rows."""
    assert solve([]).rows == ()


def test_one_bed_for_each_tone():
    """A missing stretch of the bed is a mistake of the caller."""
    with pytest.raises(ValueError, match="give one for each"):
        solve_tones([ToneKind.TICK], [], GROUP, sounds={}, ear_offset_db=85)
