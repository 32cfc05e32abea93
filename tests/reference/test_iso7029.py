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

# fmt: off
ROWS = [
    (M, 60, .5, [4.29, 5.50, 6.03, 6.82, 7.85, 10.18, 12.46, 16.58, 20.21, 25.94,
                 30.41]),
    (M, 70, .5, [9.75, 10.06, 10.36, 11.65, 13.37, 17.17, 20.82, 27.38, 33.20,
                 42.53, 50.00]),
    (M, 80, .5, [19.17, 16.56, 16.18, 18.13, 20.73, 26.40, 31.77, 41.40, 49.98,
                 63.90, 75.31]),
    (W, 60, .5, [5.86, 5.87, 6.49, 7.19, 7.90, 9.32, 10.62, 13.08, 15.32, 19.44,
                 23.03]),
    (W, 70, .5, [9.90, 10.15, 11.58, 13.00, 14.38, 16.99, 19.29, 23.42, 27.04,
                 33.44, 38.77]),
    (W, 80, .5, [15.23, 15.95, 18.64, 21.19, 23.55, 27.87, 31.51, 37.85, 43.17,
                 52.26, 59.53]),
    (M, 70, .75, [16.07, 16.72, 17.38, 19.32, 21.56, 26.41, 30.81, 38.20, 44.92,
                  54.71, 62.63]),
    (M, 70, .9, [21.75, 22.71, 23.70, 26.22, 28.94, 34.73, 39.80, 47.94, 55.47,
                 65.68, 73.99]),
    (W, 70, .75, [15.74, 16.36, 17.44, 20.29, 21.98, 24.97, 26.99, 32.71, 37.22,
                  45.26, 51.64]),
    (W, 70, .9, [21.00, 21.94, 22.71, 26.85, 28.82, 32.15, 33.92, 41.07, 46.38,
                 55.89, 63.23]),
    (M, 80, .9, [33.01, 32.81, 32.20, 34.46, 36.96, 42.64, 47.43, 52.87, 60.40,
                 68.91, 77.01]),
    (W, 80, .9, [35.28, 33.91, 33.01, 39.21, 41.33, 45.36, 46.43, 56.02, 62.16,
                 72.29, 79.88]),
    (M, 70, .1, [2.06, 3.83, 1.95, 2.65, 3.72, 6.02, 8.45, 12.02, 16.27, 21.40,
                 25.77]),
    (W, 70, .1, [3.20, 2.38, 3.05, 3.65, 4.73, 6.28, 7.30, 9.83, 11.79, 16.17,
                 19.20]),
]
# fmt: on


@pytest.mark.parametrize(("sex", "age", "percentile", "expected"), ROWS)
def test_rows_of_hearing_by_age(sex, age, percentile, expected):
    """Medians and fractiles of both sexes equal phonometry's to 0.01 dB."""
    found = thresholds_by_age(age, sex, percentile)
    np.testing.assert_allclose(found.levels_db_hl, expected, atol=0.0051, rtol=0)
    assert not found.clamped


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
