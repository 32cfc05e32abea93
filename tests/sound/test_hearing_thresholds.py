"""Laws of hearing by age."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from cuetrack.sound.hearing.sii_tables import CENTRES_HZ
from cuetrack.sound.hearing.threshold_tables import Sex
from cuetrack.sound.hearing.thresholds import (
    WORSE_QUARTER,
    WORSE_TENTH,
    at_bands,
    thresholds_by_age,
)

sexes = st.sampled_from(list(Sex))


@pytest.mark.parametrize("sex", list(Sex))
def test_the_young_are_the_reference(sex):
    """At 18 the median loss is nought at every frequency."""
    assert set(thresholds_by_age(18, sex).levels_db_hl) == {0.0}


@given(sex=sexes, age=st.integers(18, 79), years=st.integers(1, 10))
@settings(deadline=None)
def test_the_median_only_gets_worse_with_age(sex, age, years):
    """A median listener never hears better later."""
    younger = np.array(thresholds_by_age(age, sex).levels_db_hl)
    older = np.array(thresholds_by_age(age + years, sex).levels_db_hl)
    assert np.all(older >= younger)


@given(sex=sexes, age=st.floats(18, 80))
@settings(deadline=None)
def test_percentiles_are_ordered(sex, age):
    """The worse-hearing tenth hears worse than the quarter, it than the median."""
    better, median, quarter, tenth = (
        np.array(thresholds_by_age(age, sex, percentile).levels_db_hl)
        for percentile in (0.25, 0.5, WORSE_QUARTER, WORSE_TENTH)
    )
    assert np.all(better < median)
    assert np.all(median < quarter)
    assert np.all(quarter < tenth)


@pytest.mark.parametrize(("age", "used"), [(85, 80), (102, 80), (12, 18)])
def test_ages_outside_the_tables_are_clamped(age, used):
    """Where the standard ends its last values are used, and the age says so."""
    found = thresholds_by_age(age, Sex.MEN, WORSE_TENTH)
    assert found.age == used
    assert found.levels_db_hl == thresholds_by_age(used, Sex.MEN, 0.9).levels_db_hl


@pytest.mark.parametrize("percentile", [0, 1, -0.1, 1.5])
def test_impossible_percentiles_are_refused(percentile):
    """No one hears at a percentile of nought or one."""
    with pytest.raises(ValueError, match="means nobody"):
        thresholds_by_age(70, Sex.MEN, percentile)


def test_bands_hold_the_tables_own_frequencies():
    """Where a band's centre is a table's frequency its value is untouched."""
    table = thresholds_by_age(80, Sex.WOMEN)
    bands = dict(zip(CENTRES_HZ, at_bands(table), strict=True))
    for frequency_hz, level in zip(
        table.frequencies_hz, table.levels_db_hl, strict=True
    ):
        if frequency_hz in bands:
            assert bands[frequency_hz] == pytest.approx(level, abs=1e-9)


def test_bands_between_lie_on_the_line_in_log_frequency():
    """Women of 80 at the bands, as worked out apart from this code."""
    # fmt: off
    expected = [
        15.487, 15.718, 15.949, 16.846, 17.774, 18.640, 20.092, 21.718, 23.553,
        25.928, 28.687, 31.515, 35.001, 38.753, 43.175, 48.177, 53.497, 59.534]
    # fmt: on
    found = at_bands(thresholds_by_age(80, Sex.WOMEN))
    np.testing.assert_allclose(found, expected, atol=0.00051)
