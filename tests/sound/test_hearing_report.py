"""The report says what is heard, what to do, and what it does not know."""

from __future__ import annotations

import numpy as np
import pytest

from cuetrack.plan.model import Group
from cuetrack.sound.duck_solving import solve_ducks
from cuetrack.sound.hearing.bands import ClipSpectrum
from cuetrack.sound.hearing.sii_tables import BANDWIDTH_DB, NORMAL_SPEECH_DB
from cuetrack.sound.hearing_report import (
    ENOUGH_SII,
    LIMITS,
    CueAdvice,
    hearing_report,
)

BANDS = np.array(NORMAL_SPEECH_DB) + BANDWIDTH_DB
SPEECH = ClipSpectrum(band_db=tuple(BANDS - 82), loudness_lufs=-20.0)
MUSIC = ClipSpectrum(band_db=tuple(BANDS - 86), loudness_lufs=-24.0)
BLAST = ClipSpectrum(band_db=(10.0,) * 18, loudness_lufs=20.0)


def report(group, beds=None, count=2):
    """The report of some equal cues."""
    speech = [SPEECH] * count
    ids = [f"cue-{number}" for number in range(count)]
    cut = [
        ClipSpectrum(
            band_db=bed.raised(-24).band_db, loudness_lufs=bed.loudness_lufs - 9
        )
        for bed in beds or ()
    ]
    under = {0.0: beds, 24.0: cut}
    solved = None if beds is None else solve_ducks(speech, under, group)
    texts = [f"Toes {number}." for number in range(count)]
    return hearing_report(ids, speech, solved, group, texts=texts)


def test_a_row_for_every_cue_in_order():
    """Rows come in the order of the cues, with the solver's own figures."""
    found = report(Group(), [MUSIC, MUSIC.raised(6)])
    assert [row.cue for row in found.rows] == ["cue-0", "cue-1"]
    first, second = found.rows
    assert second.depth_db > first.depth_db
    for row in found.rows:
        assert row.sii_quiet - row.sii_mix <= row.loss <= 0.02
        assert row.separation_lu >= 10
        assert row.advice is CueAdvice.NONE


def test_all_well_is_said_in_plain_words():
    """A good track says that nothing is lost and that it is loud enough."""
    text = " ".join(report(Group(), [MUSIC, MUSIC]).summary)
    assert "No cue is lost" in text
    assert "Loud enough" in text
    assert "75" in text
    assert "65 dB" in text
    assert "dB softer on average under speech" in text
    assert "at 150 to 4000 Hz, by 24 dB and more" in text


def test_music_lowered_as_a_whole_has_no_band_named():
    """Well under the voice the music goes down without a cut."""
    solved = solve_ducks([SPEECH], {0.0: [MUSIC]}, Group())
    text = " ".join(hearing_report(["a"], [SPEECH], solved, Group()).summary)
    assert "dB softer on average under speech" in text
    assert "Hz" not in text


def test_too_soft_asks_for_the_loudspeaker_and_says_how_much():
    """Where level is the limit the advice is a level, and following it helps."""
    group = Group(age=80, level_db_spl=55)
    found = report(group, [MUSIC, MUSIC])
    assert {row.advice for row in found.rows} == {CueAdvice.LOUDSPEAKER_UP}
    assert found.louder_by_db
    assert f"up by about {found.louder_by_db} dB" in " ".join(found.summary)
    heeded = report(Group(age=80, level_db_spl=55 + found.louder_by_db))
    assert min(row.sii_quiet for row in heeded.rows) >= ENOUGH_SII
    a_little_less = report(Group(age=80, level_db_spl=54 + found.louder_by_db))
    assert min(row.sii_quiet for row in a_little_less.rows) < ENOUGH_SII


def test_when_no_level_is_enough_other_help_is_named():
    """Muffled speech that no loudspeaker mends sends people nearer the front."""
    muffled = ClipSpectrum(
        band_db=tuple([-25.0] * 5 + [-120.0] * 13), loudness_lufs=-24.0
    )
    found = hearing_report(["a"], [muffled], None, Group(age=80))
    assert found.louder_by_db is None
    assert "sit near" in " ".join(found.summary)


def test_music_too_loud_asks_for_the_music():
    """Music beyond the deepest duck is named with its cues."""
    found = report(Group(), [MUSIC, BLAST])
    assert [row.advice for row in found.rows] == [CueAdvice.NONE, CueAdvice.MUSIC_DOWN]
    text = " ".join(found.summary)
    assert 'too loud under 1 cue ("Toes 1.")' in text
    assert "turn the music down" in text
    assert "No cue is lost" not in text


def test_both_at_once():
    """Too soft and too much music at once asks for both."""
    found = report(Group(age=80, level_db_spl=50), [BLAST, BLAST])
    assert {row.advice for row in found.rows} == {CueAdvice.BOTH}


def test_without_music_nothing_is_said_of_music():
    """A track without a bed has rows in quiet and no word of ducking."""
    found = report(Group())
    assert all(row.separation_lu is None for row in found.rows)
    assert all(row.loss == 0 for row in found.rows)
    assert "softer" not in " ".join(found.summary)


@pytest.mark.parametrize(("age", "said"), [(85, True), (80, False), (75, False)])
def test_beyond_the_tables_is_said(age, said):
    """Ages past 80 are flagged where the number is read."""
    text = " ".join(report(Group(age=age)).summary)
    assert ("tables end at 80" in text) is said


def test_long_lists_of_cues_are_cut_short():
    """Three names and a count, not forty names."""
    text = " ".join(report(Group(age=80, level_db_spl=50), count=40).summary)
    assert '"Toes 0.", "Toes 1.", "Toes 2." and 37 more' in text


def test_limits_stand_with_the_numbers():
    """What the figures leave out and who judged them is in the report itself."""
    found = report(Group())
    assert found.limits == LIMITS
    for word in ("echo", "screened", "no listener", "not a claim of conformity"):
        assert word in found.limits


def test_a_silent_track():
    """No speech, no rows, one sentence."""
    found = hearing_report([], [], (), Group())
    assert found.rows == ()
    assert len(found.summary) == 1
