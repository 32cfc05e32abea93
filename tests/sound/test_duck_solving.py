"""The least duck: exact, never more than needed, never less than promised."""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from cuetrack.plan.model import Group
from cuetrack.sound.duck_solving import (
    CAP_DB,
    LOSS_LIMIT,
    SILENT_BED,
    STEP_DB,
    DuckReason,
    Hearing,
    listeners_at_level,
    solve_ducks,
)
from cuetrack.sound.hearing.bands import ClipSpectrum
from cuetrack.sound.hearing.sii_tables import THIRD_OCTAVE, Effort

GROUP = Group(age=75)
SPEECH_BANDS = np.array(THIRD_OCTAVE.speech_db[Effort.NORMAL]) + np.array(
    THIRD_OCTAVE.bandwidth_db
)


def sound(bands_db, loudness_lufs):
    """A spectrum with these bands."""
    return ClipSpectrum(
        band_db=tuple(float(level) for level in bands_db),
        loudness_lufs=float(loudness_lufs),
    )


SPEECH = sound(SPEECH_BANDS - 82, -20)


@st.composite
def cases(draw):
    """A clip and a bed of some shape, and a group."""
    tilt = np.array(draw(st.lists(st.floats(-15, 15), min_size=18, max_size=18)))
    speech = sound(SPEECH_BANDS - 82 + tilt, -20)
    bands = draw(st.lists(st.floats(-90, 0), min_size=18, max_size=18))
    bed = sound(bands, draw(st.floats(-60, -5)))
    group = Group(age=draw(st.integers(50, 90)), level_db_spl=draw(st.floats(50, 80)))
    return speech, bed, group


@given(case=cases())
@settings(max_examples=40, deadline=None)
def test_the_answer_is_the_least_on_its_grid(case):
    """Every depth on the grid tried in turn finds the same answer."""
    speech, bed, group = case
    (solved,) = solve_ducks([speech], [bed], group)
    steps = np.arange(round(CAP_DB / STEP_DB) + 1)
    many = len(steps)
    heard = Hearing([speech] * many, [bed] * many, listeners_at_level(group, [speech]))
    clear = heard.losses(steps * STEP_DB) <= LOSS_LIMIT
    far = heard.separation_lu + steps * STEP_DB >= 10 - 1e-9
    fits = np.flatnonzero(clear & far)
    if len(fits):
        assert solved.met
        assert solved.depth_db == pytest.approx(fits[0] * STEP_DB, abs=1e-9)
        assert solved.loss <= LOSS_LIMIT
        assert solved.separation_lu >= 10 - 1e-9
    else:
        assert not solved.met
        assert solved.depth_db == CAP_DB
        assert solved.reason is DuckReason.CAP


@given(case=cases(), lower_db=st.floats(0, 50), more_db=st.floats(0, 30))
@settings(deadline=None)
def test_lowering_the_bed_never_lowers_what_is_heard(case, lower_db, more_db):
    """The deeper the duck the higher the index, for every listener."""
    speech, bed, group = case
    heard = Hearing([speech], [bed], listeners_at_level(group, [speech]))
    before, after = heard.mix([lower_db]), heard.mix([lower_db + more_db])
    assert np.all(after >= before - 1e-12)
    assert np.all(heard.quiet >= after - 1e-12)


@given(case=cases(), louder_db=st.floats(0.1, 12))
@settings(deadline=None)
def test_a_louder_bed_is_never_ducked_less(case, louder_db):
    """Turning the bed up never makes the duck shallower."""
    speech, bed, group = case
    plain, louder = solve_ducks([speech, speech], [bed, bed.raised(louder_db)], group)
    assert louder.depth_db >= plain.depth_db


@given(case=cases())
@settings(deadline=None)
def test_the_accessible_level_keeps_twenty_lu(case):
    """Where WCAG 1.4.7 is asked for, speech stands 20 LU over the bed or it is said."""
    speech, bed, group = case
    (solved,) = solve_ducks([speech], [bed], group, wcag=True)
    assert solved.separation_lu >= 20 - 1e-9 or not solved.met


def test_cues_are_solved_apart_from_one_another():
    """With one calibration, a cue's answer does not depend on the others."""
    random = np.random.default_rng(7)
    beds = [sound(random.uniform(-70, -20, 18), -25) for _ in range(12)]
    speech = [SPEECH] * len(beds)
    together = solve_ducks(speech, beds, GROUP)
    alone = [solve_ducks([SPEECH], [bed], GROUP)[0] for bed in beds]
    for one, other in zip(together, alone, strict=True):
        assert one.depth_db == other.depth_db
        assert one.sii_mix == pytest.approx(other.sii_mix, abs=1e-12)


def test_no_bed_no_duck():
    """Without music nothing is lost and nothing goes down."""
    (solved,) = solve_ducks([SPEECH], [SILENT_BED], GROUP)
    assert solved.depth_db == 0
    assert solved.loss == 0
    assert solved.reason is DuckReason.LOW_ALREADY
    assert solved.met


def test_music_out_of_the_bands_of_speech_is_held_by_the_floor_alone():
    """A deep drone costs no words; only the least distance ducks it."""
    drone = sound([-200.0] * 18, -18)
    (solved,) = solve_ducks([SPEECH], [drone], GROUP)
    assert solved.reason is DuckReason.FLOOR
    assert solved.depth_db == pytest.approx(12)
    assert solved.separation_lu == pytest.approx(10)


def test_music_in_the_bands_of_speech_is_ducked_by_hearing():
    """Music of the shape of speech goes deeper than the floor asks."""
    bed = sound(np.array(SPEECH.band_db), -20)
    (solved,) = solve_ducks([SPEECH], [bed], GROUP)
    assert solved.reason is DuckReason.HEARING
    assert solved.depth_db > 10
    assert 0.9 * LOSS_LIMIT < solved.loss <= LOSS_LIMIT


def test_music_far_too_loud_is_said_not_hidden():
    """Where 40 dB are not enough the answer is 40 dB, and not met."""
    (solved,) = solve_ducks([SPEECH], [sound([10.0] * 18, 20)], GROUP)
    assert solved.depth_db == CAP_DB
    assert not solved.met
    assert solved.reason is DuckReason.CAP
    assert solved.loss > LOSS_LIMIT


def test_a_floor_beyond_the_cap_is_not_met():
    """A distance that 40 dB cannot make is owned up to."""
    (solved,) = solve_ducks([SPEECH], [sound([-200.0] * 18, 15)], GROUP)
    assert solved.depth_db == CAP_DB
    assert solved.separation_lu == pytest.approx(5)
    assert not solved.met


def test_older_groups_hear_less_in_quiet():
    """At the same level the index in quiet falls with age."""
    worst = [
        solve_ducks([SPEECH], [SILENT_BED], Group(age=age))[0].sii_quiet[0]
        for age in (60, 75, 80)
    ]
    assert worst[0] > worst[1] > worst[2]


def test_six_decibels_more_at_the_ear_help_the_oldest():
    """Level is what the worst-hearing lack: +6 dB raises their index by over 0.1."""
    quiet, louder = (
        solve_ducks([SPEECH], [SILENT_BED], Group(age=80, level_db_spl=level))[0]
        for level in (60.0, 66.0)
    )
    assert louder.sii_quiet[0] - quiet.sii_quiet[0] > 0.1


def test_speech_is_calibrated_over_the_whole_track():
    """A clip twice as strong as another arrives louder; their mean is as stated."""
    soft, strong = SPEECH, SPEECH.raised(6)
    audience = listeners_at_level(GROUP, [soft, strong])
    at_ear = [
        10 ** ((clip.level_db + audience.offset_db) / 10) for clip in (soft, strong)
    ]
    assert 10 * np.log10(np.mean(at_ear)) == pytest.approx(GROUP.level_db_spl)


def test_one_bed_for_each_cue():
    """A missing stretch of the bed is a mistake of the caller."""
    with pytest.raises(ValueError, match="give one for each"):
        solve_ducks([SPEECH], [], GROUP)


def test_nothing_to_say_nothing_to_solve():
    """A track without speech has no ducks."""
    assert solve_ducks([], [], GROUP) == ()


def test_answers_are_frozen():
    """An answer cannot be changed after the fact."""
    (solved,) = solve_ducks([SPEECH], [SILENT_BED], GROUP)
    with pytest.raises(dataclasses.FrozenInstanceError):
        solved.depth_db = 3
