"""The Speech Intelligibility Index against published and independent values.

Sources, named beside each check:

- S3-79: the ``.TST`` cases of ASA working group S3-79 and Annex C of ANSI
  S3.5-1997, as carried by the tests of the R package ``SII`` 1.0.3.1.
- R: that package, run; Google's ``speech-intelligibility-index`` 1.0.2 and
  ``phonometry`` 3.3.0 give the same digits wherever they cover the case.
- MATLAB: the output of H. Muesch's MATLAB programs, as carried by the tests of
  ``speech-intelligibility-index``.
"""

from __future__ import annotations

import importlib
import json
from pathlib import Path

import numpy as np
import pytest
from reference.speech_spectra import SPEECH_DB

from cuetrack.sound.hearing.sii import steps, third_octave_sii
from cuetrack.sound.hearing.sii_tables import BANDWIDTH_DB, IMPORTANCE, NORMAL_SPEECH_DB
from cuetrack.sound.hearing.threshold_tables import Sex
from cuetrack.sound.hearing.thresholds import at_bands, thresholds_by_age

pytestmark = pytest.mark.outside

VECTORS = Path(__file__).parent / "data" / "sii_vectors.json"

BOTH_EARS_DB = -1.7
"""Added to the thresholds of someone who listens with both ears (5.1.5)."""

SPIKY_SPEECH = [90, 5] + [40] * 12 + [-10] * 4
SPIKY_NOISE = [10, -10, -10, 75] + [-10] * 10 + [10] * 4
SPIKY_LOSS = [90] + [0] * 17
FLAT_SPEECH = [54] * 18
FLAT_NOISE = [40, 30, 20] + [0] * 15
NORMAL = np.array(NORMAL_SPEECH_DB)


@pytest.mark.parametrize(
    ("importance", "published"),
    [
        (IMPORTANCE, 0.445),  # S3-79, TO.TST
        ([0] * 9 + [0.1] * 7 + [0.3, 0], 0.438),  # S3-79, TO_1.TST
    ],
)
def test_third_octave_method_gives_the_published_cases(importance, published):
    """The one-third-octave method agrees with the working group as printed."""
    found = third_octave_sii(
        SPIKY_SPEECH, SPIKY_NOISE, SPIKY_LOSS, importance=importance
    )
    assert found == pytest.approx(published, abs=5e-4)


@pytest.mark.parametrize(
    ("speech", "noise", "threshold", "importance", "expected"),
    [
        (SPIKY_SPEECH, SPIKY_NOISE, SPIKY_LOSS, IMPORTANCE, 0.4453910058579),
        (
            SPIKY_SPEECH,
            SPIKY_NOISE,
            SPIKY_LOSS,
            [0] * 9 + [0.1] * 7 + [0.3, 0],
            0.438217653976,
        ),
        (FLAT_SPEECH, FLAT_NOISE, 0, IMPORTANCE, 0.851374861875),
        # A sum of powers in place of the maximum would give 0.1841 here.
        (NORMAL, [30] * 18, [40] * 18, IMPORTANCE, 0.21845393287),
    ],
)
def test_third_octave_method_agrees_with_r_in_full(
    speech, noise, threshold, importance, expected
):
    """The one-third-octave method gives all the digits of R."""
    found = third_octave_sii(speech, noise, threshold, importance=importance)
    assert found == pytest.approx(expected, abs=1e-11)


@pytest.mark.parametrize(
    ("effort", "expected"),
    [
        ("normal", 0.995825166667),
        ("raised", 0.998254833333),
        ("loud", 0.9680564625),
        ("shout", 0.9176978125),
    ],
)
def test_speech_in_quiet_by_effort(effort, expected):
    """Standard speech in quiet gives R's values."""
    assert third_octave_sii(SPEECH_DB[effort]) == pytest.approx(expected, abs=1e-11)


def test_flat_noise():
    """Normal speech in flat 20 dB noise gives R's value."""
    assert third_octave_sii(NORMAL, 20) == pytest.approx(0.4973569236, abs=1e-10)


@pytest.mark.parametrize(
    ("below_db", "expected"),
    [
        (0, 0.466250811),
        (5, 0.636342757),
        (10, 0.805238852),
        (15, 0.971545992),
        (20, 0.995825167),
    ],
)
def test_noise_of_the_shape_of_speech(below_db, expected):
    """Noise shaped as the speech, some dB below it, gives R's values."""
    found = third_octave_sii(NORMAL, NORMAL - below_db)
    assert found == pytest.approx(expected, abs=1e-9)


def test_a_woman_of_eighty():
    """Median thresholds at 80 give the values of R."""
    loss = at_bands(thresholds_by_age(80, Sex.WOMEN))
    quiet = third_octave_sii(NORMAL, threshold_db_hl=loss)
    assert quiet == pytest.approx(0.6639545926, abs=1e-9)
    in_noise = third_octave_sii(NORMAL, NORMAL - 10, loss)
    assert in_noise == pytest.approx(0.588667268765, abs=1e-9)


# fmt: off
SHOUT_BY_DISTANCE = [
    .8809, .9177, .9386, .9522, .9623, .9705, .9768, .9819, .9865, .9899, .9928,
    .9949, .9967, .9977, .9979, .9975, .9970, .9966, .9962, .9958, .9954, .9950,
    .9947, .9943, .9940, .9937, .9934, .9931, .9929, .9926, .9924, .9921, .9919,
    .9916, .9914, .9912, .9909, .9906, .9903, .9900]
NORMAL_BY_DISTANCE = [
    1.0000, .9969, .9947, .9920, .9885, .9856, .9831, .9810, .9791, .9775, .9760,
    .9746, .9722, .9698, .9677, .9657, .9638, .9619, .9600, .9583, .9567, .9551,
    .9532, .9508, .9477, .9434, .9380, .9322, .9266, .9203, .9143, .9084, .9024,
    .8962, .8901, .8844, .8788, .8733, .8680, .8627]
SHOUT_IN_WHITE_NOISE = [
    .9177, .9177, .9177, .9173, .9161, .9126, .9092, .9035, .8967, .8894, .8795,
    .8672, .8508, .8306, .8070, .7790, .7482, .7073, .6565, .5960, .5372, .4783,
    .4225, .3669, .3117, .2604, .2105, .1657, .1250, .0865, .0534, .0245, .0062,
    *[0.0] * 8]
# fmt: on


@pytest.mark.parametrize(
    ("effort", "expected"),
    [("shout", SHOUT_BY_DISTANCE), ("normal", NORMAL_BY_DISTANCE)],
)
def test_distance_from_the_talker(effort, expected):
    """Speech at 0.5 to 20 m, both ears: MATLAB's values to its four decimals.

    In the free field it falls by 6 dB with each doubling of the distance (5.1).
    """
    distances_m = 0.5 * np.arange(1, 41)[:, None]
    speech = SPEECH_DB[effort] - 20 * np.log10(distances_m)
    found = third_octave_sii(speech, threshold_db_hl=BOTH_EARS_DB)
    np.testing.assert_allclose(found, expected, atol=1e-4, rtol=0)


def test_shout_in_white_noise():
    """A shout in flat noise of 0 to 80 dB: MATLAB's values to four decimals."""
    noise = np.arange(0.0, 81, 2)[:, None] * np.ones(18)
    found = third_octave_sii(SPEECH_DB["shout"], noise)
    np.testing.assert_allclose(found, SHOUT_IN_WHITE_NOISE, atol=1e-4, rtol=0)


def test_intermediate_values_of_annex_c_2():
    """Slope, masking, level and audibility factors of Annex C.2, by R."""
    found = steps(FLAT_SPEECH, FLAT_NOISE)
    np.testing.assert_allclose(
        found.slope_db[:3], [-46.5871, -52.0056, -51.4242], atol=5e-5
    )
    np.testing.assert_allclose(
        found.masking_db[:6],
        [40.0000, 34.6576, 25.0468, 21.6744, 21.1515, 22.3849],
        atol=5e-5,
    )
    assert found.level_factor[0] == pytest.approx(0.9275625, abs=1e-12)
    assert found.audibility[0] == pytest.approx(0.9666667, abs=5e-8)


def test_intermediate_values_of_the_spiky_case():
    """Masking that spreads far upward: TO.TST by R."""
    found = steps(SPIKY_SPEECH, SPIKY_NOISE, SPIKY_LOSS)
    np.testing.assert_allclose(
        found.masking_db[1:5],
        [61.2367883, 51.2669698, 75.0017059, 70.7976480],
        atol=5e-8,
    )
    assert found.audibility[2] == pytest.approx(0.12443434, abs=5e-9)


def test_speech_masks_itself_in_quiet():
    """Normal speech with no noise: masking levels of phonometry's own test.

    They are given to four decimals, cut or rounded.
    """
    found = steps(NORMAL)
    np.testing.assert_allclose(
        found.masking_db[:4], [8.41, -1.6647, 0.7052, 0.3817], atol=1e-4
    )


def test_stored_vectors_of_an_independent_program():
    """Two hundred random cases agree with another implementation to 1e-12."""
    stored = json.loads(VECTORS.read_text(encoding="utf-8"))
    cases, importances = stored["cases"], stored["importances"]
    assert len(cases) >= 200
    for case in cases:
        found = third_octave_sii(
            case["speech_db"],
            case["noise_db"],
            case["threshold_db_hl"],
            importance=importances[case["importance"]],
        )
        assert found == pytest.approx(case["sii"], abs=1e-12)


def test_live_vectors_of_an_independent_program():
    """Where the independent program is installed it is asked again, live."""
    pytest.importorskip(
        "speech_intelligibility_index",
        reason="pip install speech-intelligibility-index brings the other program",
    )
    reference = importlib.import_module("speech_intelligibility_index.sii")
    random = np.random.default_rng(2026)
    for _ in range(20):
        speech, noise = random.uniform(-10, 80, (2, 18))
        loss = random.uniform(-10, 80, 18)
        expected = reference.sii(speech.copy(), noise.copy(), loss.copy())
        assert third_octave_sii(speech, noise, loss) == pytest.approx(
            float(expected), abs=1e-12
        )


def test_normal_speech_adds_up_to_the_printed_level():
    """Band levels sum to 62.35 dB SPL, as under Table 3 (R and Google agree)."""
    bands = NORMAL + BANDWIDTH_DB
    assert 10 * np.log10(np.sum(10 ** (bands / 10))) == pytest.approx(62.35, abs=0.07)


def test_importances_sum_to_one():
    """No band is forgotten."""
    assert sum(IMPORTANCE) == pytest.approx(1, abs=1e-9)
