"""What an encoder does to loudness and peaks is made up for, once."""

from __future__ import annotations

import pytest

from cuetrack.pipeline.making import Aim, corrected
from cuetrack.sound.loudness import TrackLevels

USUAL = Aim(target_lufs=-16.0, ceiling_dbtp=-1.5)


def levels(lufs: float, peak: float = -1.4) -> TrackLevels:
    return TrackLevels(
        integrated_lufs=lufs,
        range_lu=5.0,
        true_peak_dbtp=peak,
        sample_peak_dbfs=peak,
    )


def test_a_good_track_is_left_alone():
    """Within 0.3 LU and under the ceiling nothing is written again."""
    assert corrected(USUAL, levels(-16.2), -16.0) == USUAL


def test_lost_loudness_is_asked_for_in_advance():
    """What the encoder takes is added before it, and then enough is enough."""
    better = corrected(USUAL, levels(-16.6), -16.0)
    assert better.target_lufs == pytest.approx(-15.4)
    assert corrected(better, levels(-16.0), -15.4) == better


def test_a_raised_peak_lowers_the_ceiling():
    """The ceiling goes down by the excess and a little more."""
    assert corrected(USUAL, levels(-16.0, -0.8), -16.0).ceiling_dbtp < -1.7


def test_what_cannot_be_louder_is_left():
    """A mix whose master stays under the target is not pushed further."""
    assert corrected(USUAL, levels(-19.0), -18.9) == USUAL


def test_silence_is_left():
    """Silence has no loudness to correct."""
    assert corrected(USUAL, levels(-float("inf"), -float("inf")), -16.0) == USUAL
