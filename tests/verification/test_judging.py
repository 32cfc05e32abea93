"""Shifts that all cues share are told from cues that are wrong by themselves."""

from __future__ import annotations

import pytest

from cuetrack.verification.judging import CommonShift, common_shift, shift_sentence
from cuetrack.verification.report import CueVerdict, SoundRow


def row(planned_ms, error_frames):
    found = error_frames is not None
    return SoundRow(
        part="cue",
        id=f"cue-{planned_ms}",
        kind="form",
        text="Shoulders down.",
        planned_ms=float(planned_ms),
        measured_ms=planned_ms + error_frames / 48 if found else None,
        error_ms=error_frames / 48 if found else None,
        error_frames=error_frames,
        score=1.0,
        level_db=0.0,
        verdict=CueVerdict.ON_TIME if error_frames == 0 else CueVerdict.MOVED,
    )


def rows(errors):
    return [row(10_000 * number, error) for number, error in enumerate(errors)]


@pytest.mark.parametrize(
    "errors",
    [
        [0] * 12,
        [0] * 11 + [3840],
        [0, 0, 0, 3840],
        [900, -300, 40, 2000, -77, 10, 500, 0, 123, 999],
        [500, 500],
        [None] * 8,
        [10_000 * number for number in range(12)],
        [0, 5000, 0, -5000, 0, 5000, 0, -5000],
    ],
    ids=[
        "right",
        "one moved",
        "one of four moved",
        "scattered",
        "too few",
        "none found",
        "too steep to be a speed",
        "every other one",
    ],
)
def test_no_shift_is_made_up(errors):
    """Single faults, scatter and too little to go by are no common shift."""
    assert common_shift(rows(errors)) is None


def test_a_shift_within_the_tolerance_is_none():
    """Nine cues 2.3 frames early are off in WAV, not in Opus."""
    early = rows([-2.3] * 9)
    assert common_shift(early) is not None
    assert common_shift(early, 3.0) is None


def test_a_common_shift_survives_one_other_fault():
    """Nine of ten early by the same amount share it, whatever the tenth does."""
    shift = common_shift(rows([-2400] * 9 + [77]))
    assert shift == CommonShift(frames=-2400)


def test_a_speed_is_the_slope_of_the_errors():
    """Errors that grow by 4.8 frames every 10 s are 0.001 % of slowness."""
    shift = common_shift(rows([4.8 * number for number in range(12)]))
    assert shift is not None
    assert shift.speed == pytest.approx(-1e-5)
    assert shift.frames == pytest.approx(0)


@pytest.mark.parametrize(
    ("shift", "missing", "rate_hz", "sentence"),
    [
        (
            CommonShift(frames=-2400),
            0,
            48_000,
            "Every cue is 50.0 ms early, by the same amount.",
        ),
        (
            CommonShift(frames=-2.4),
            0,
            48_000,
            "Every cue is 0.04 ms early, by the same amount.",
        ),
        (
            CommonShift(frames=4800),
            0,
            48_000,
            "Every cue is 100.0 ms late, by the same amount.",
        ),
        (
            CommonShift(frames=96_000),
            0,
            48_000,
            "Every cue is 2.0 s late, by the same amount.",
        ),
        (
            CommonShift(frames=0, speed=-1e-4),
            0,
            48_000,
            "The whole track plays 0.010% too slow.",
        ),
        (
            CommonShift(frames=1105 * 48 / 44.1),
            0,
            44_100,
            (
                "Every cue is 25.1 ms late (1105 samples): what MP3 encoding adds in "
                "front was not cut off, because the file has no gapless tag. Encode it "
                "with one."
            ),
        ),
    ],
)
def test_a_shift_is_put_into_words(shift, missing, rate_hz, sentence):
    """Early, late, slow, and an encoder's delay counted at the file's own rate."""
    assert shift_sentence(shift, missing, rate_hz) == sentence
