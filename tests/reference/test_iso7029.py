"""Hearing by age against tables and an independent program.

Sources: ``phonometry`` 3.3.0, run, and the check points its tests state; the
preset audiograms of T. Irino's gammachirp hearing-loss model (ISO 7029:2000).
No copy of the standard itself was at hand, and ``phonometry`` is also where our
coefficients come from: agreement with it proves formulae and typing.
"""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest

from cuetrack.sound.hearing.threshold_tables import Sex
from cuetrack.sound.hearing.thresholds import (
    thresholds_by_age,
    tone_threshold_db_spl,
)

pytestmark = pytest.mark.outside

VECTORS = Path(__file__).parent / "data" / "iso7029_vectors.json"
W, M = Sex.WOMEN, Sex.MEN


@pytest.mark.parametrize(
    ("sex", "frequency_hz", "expected"),
    [(M, 1000, 7.8473), (M, 4000, 20.2085), (W, 4000, 15.3218)],
)
def test_medians_at_sixty_as_stated_elsewhere(sex, frequency_hz, expected):
    """Check points that phonometry's own tests state."""
    found = thresholds_by_age(60, sex)
    at = found.frequencies_hz.index(frequency_hz)
    assert found.levels_db_hl[at] == pytest.approx(expected, abs=5e-5)


def test_spread_above_the_median_as_stated_elsewhere():
    """One standard deviation above the median at 1 kHz, men of 60: 10.1533 dB."""
    one_deviation = 0.8413447460685429
    worse = thresholds_by_age(60, M, one_deviation).levels_db_hl[4]
    median = thresholds_by_age(60, M).levels_db_hl[4]
    assert worse - median == pytest.approx(10.1533, abs=5e-5)


def test_stored_vectors_of_an_independent_program():
    """Ten ages, both sexes, six fractiles agree with phonometry to 1e-9 dB."""
    cases = json.loads(VECTORS.read_text(encoding="utf-8"))["cases"]
    assert len(cases) == 120
    for case in cases:
        found = thresholds_by_age(case["age"], Sex(case["sex"]), case["percentile"])
        np.testing.assert_allclose(found.levels_db_hl, case["levels_db_hl"], atol=1e-9)
        assert found.age == case["age"]


def test_live_vectors_of_an_independent_program():
    """Where the independent program is installed it is asked again, live."""
    phonometry = pytest.importorskip(
        "phonometry", reason="pip install phonometry brings the other program"
    )
    for age, sex, column in ((63, W, "female"), (77, M, "male")):
        expected = phonometry.age_threshold(age, column, 0.8).threshold
        found = thresholds_by_age(age, sex, 0.8).levels_db_hl
        np.testing.assert_allclose(found, expected, atol=1e-9)


@pytest.mark.parametrize(
    ("age", "older_edition"),
    [(60, [5, 5, 6, 7, 11, 16, 26]), (70, [8, 8, 9, 10, 16, 24, 41])],
)
def test_women_are_near_the_older_edition(age, older_edition):
    """Irino's table of the 2000 edition lies within 5 dB for women.

    The editions differ on purpose; this catches a wrong column or a slipped
    exponent, whoever transcribed it.
    """
    found = thresholds_by_age(age, W)
    at = [found.frequencies_hz.index(f) for f in (125, 250, 500, 1000, 2000, 4000)]
    ours = [found.levels_db_hl[index] for index in at] + [found.levels_db_hl[-1]]
    np.testing.assert_allclose(ours, older_edition, atol=5.0)


@pytest.mark.parametrize(
    ("frequency_hz", "published"),
    [(500, 4.4), (1000, 2.4), (2000, -1.3), (4000, -5.4), (8000, 12.6)],
)
def test_normal_threshold_of_a_tone(frequency_hz, published):
    """ISO 389-7:2005, free field, agrees with ISO 226 where both give values."""
    assert tone_threshold_db_spl(frequency_hz, 0.0) == pytest.approx(published)


# fmt: off
TONES = [
    (W, .5, 70, {500: 16.0, 1000: 16.8, 2000: 18.0, 4000: 21.6, 8000: 51.4}),
    (M, .5, 70, {500: 14.8, 1000: 15.8, 2000: 19.5, 4000: 27.8, 8000: 62.6}),
    (W, .9, 80, {500: 37.4, 1000: 43.7, 2000: 45.1, 4000: 56.8, 8000: 92.5}),
    (M, .9, 80, {500: 36.6, 1000: 39.4, 2000: 46.1, 4000: 55.0, 8000: 89.6}),
]
# fmt: on


@pytest.mark.parametrize(("sex", "percentile", "age", "expected"), TONES)
def test_tone_thresholds_of_older_listeners(sex, percentile, age, expected):
    """Loss plus free-field threshold: sums made by hand from the two tables."""
    found = thresholds_by_age(age, sex, percentile)
    for frequency_hz, level in expected.items():
        loss = found.levels_db_hl[found.frequencies_hz.index(frequency_hz)]
        assert tone_threshold_db_spl(frequency_hz, loss) == pytest.approx(
            level, abs=0.06
        )
