"""Who is counted in a group."""

from __future__ import annotations

import numpy as np
import pytest
from reference.speech_spectra import SPEECH_DB

from cuetrack.plan.model import Group
from cuetrack.sound.hearing.listeners import age_note, listeners_of, worst_listener
from cuetrack.sound.hearing.sii import third_octave_sii
from cuetrack.sound.hearing.threshold_tables import Sex
from cuetrack.sound.hearing.thresholds import at_bands, thresholds_by_age


def thresholds(group):
    """Thresholds of the listeners, (listeners, 18)."""
    return np.array([one.threshold_db_hl for one in listeners_of(group)])


@pytest.mark.parametrize("age", [40, 60, 75, 80, 90])
def test_the_first_listener_hears_worst_in_every_band(age):
    """The worse of both sexes at the quarter is the worst of all, band by band."""
    levels = thresholds(Group(age=age))
    np.testing.assert_array_equal(levels[0], levels.max(axis=0))


def test_both_sexes_and_the_median_are_counted():
    """Six listeners: women, men and the worse of both, at the quarter and median."""
    found = listeners_of(Group(age=75))
    for worse, *sexes, share in ((*found[:3], 0.75), (*found[3:], 0.5)):
        women = at_bands(thresholds_by_age(75, Sex.WOMEN, share))
        men = at_bands(thresholds_by_age(75, Sex.MEN, share))
        assert {one.threshold_db_hl for one in sexes} == {women, men}
        assert worse.threshold_db_hl == tuple(map(max, women, men))
        assert worse.threshold_db_hl not in (women, men)


def test_ages_past_the_tables_are_served_as_their_end():
    """A group of 85 is served as one of 80."""
    np.testing.assert_array_equal(thresholds(Group(age=80)), thresholds(Group(age=85)))


@pytest.mark.parametrize(
    ("age", "words"),
    [(85, "end at 80"), (12, "begin at 18"), (80, None), (18, None), (75, None)],
)
def test_what_is_said_of_an_age(age, words):
    """Ages outside the tables get a sentence, others none."""
    note = age_note(age)
    assert note is None if words is None else words in note


def test_the_worst_tenth_hears_worse_than_the_group():
    """Tones are made for people who hear worse than anyone speech is solved for."""
    tenth = np.array(worst_listener(75).threshold_db_hl)
    assert np.all(tenth > thresholds(Group(age=75)))


# From an independent run: ISO 7029:2017 thresholds through Google's program.
@pytest.mark.outside
@pytest.mark.parametrize(
    ("sex", "age", "percentile", "normal", "raised"),
    [
        (Sex.WOMEN, 70, 0.5, 0.883, 0.932),
        (Sex.WOMEN, 70, 0.9, 0.586, 0.752),
        (Sex.WOMEN, 80, 0.5, 0.664, 0.800),
        (Sex.WOMEN, 80, 0.9, 0.286, 0.466),
        (Sex.MEN, 70, 0.5, 0.830, 0.899),
        (Sex.MEN, 70, 0.9, 0.506, 0.658),
        (Sex.MEN, 80, 0.5, 0.640, 0.761),
        (Sex.MEN, 80, 0.9, 0.334, 0.521),
    ],
)
def test_index_of_design_listeners(sex, age, percentile, normal, raised):
    """Older listeners in quiet, at two efforts, as worked out apart from this code."""
    loss = at_bands(thresholds_by_age(age, sex, percentile))
    for effort, expected in (("normal", normal), ("raised", raised)):
        found = third_octave_sii(SPEECH_DB[effort], threshold_db_hl=loss)
        assert found == pytest.approx(expected, abs=0.0006)
