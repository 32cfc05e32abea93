"""Energy of a class against the values of a compendium.

The values (3.8 for a chair class, 2.8, 2.3) are those of the 2024 Older Adult
Compendium of Physical Activities (Willis and others, J Sport Health Sci 13:13-17),
whose MET is 2.7 mL of oxygen per kg and minute. Sums were reckoned by hand.
"""

from __future__ import annotations

import pytest

from cuetrack.review.load import (
    CLASS,
    SITTING,
    STRETCHING,
    WARMING,
    WEIGHTS,
    Activity,
    Energy,
    EnergyBlock,
)

pytestmark = pytest.mark.outside


def block(activity, minutes):
    return EnergyBlock(activity=activity, length_ms=minutes * 60_000)


def test_activities_have_the_values_of_the_compendium():
    """Codes 0206360, 0221160, 0205360, 0219160 and 0702160."""
    known = (CLASS, WARMING, WEIGHTS, STRETCHING, SITTING)
    assert [(one.code, one.met) for one in known] == [
        ("0206360", 3.8),
        ("0221160", 2.8),
        ("0205360", 2.3),
        ("0219160", 2.8),
        ("0702160", 1.3),
    ]


def test_a_class_by_its_blocks():
    """5 min at 2.8, 16 at 3.8, 5 at 2.3, 4 at 2.8; by hand."""
    energy = Energy(
        blocks=(
            block(WARMING, 5),
            block(CLASS, 16),
            block(WEIGHTS, 5),
            block(STRETCHING, 4),
        )
    )
    assert energy.met_minutes == pytest.approx(97.5)
    assert energy.mean_met == pytest.approx(3.25)


def test_eased_time_counts_as_the_mean():
    """Six minutes at 3.8, two at 1.3 and four that count as those do; by hand."""
    energy = Energy(blocks=(block(CLASS, 6), block(SITTING, 2)), eased_ms=240_000)
    assert energy.mean_met == pytest.approx(3.175)
    assert energy.met_minutes == pytest.approx(38.1)


def test_a_mixed_session():
    """75.7 MET-minutes in half an hour; by hand."""
    parts = ((2.3, 5), (3.5, 8), (1.5, 8), (3.0, 5), (2.3, 4))
    energy = Energy(
        blocks=tuple(
            block(Activity(code="", name="", met=met), minutes)
            for met, minutes in parts
        )
    )
    assert energy.met_minutes == pytest.approx(75.7)
    assert energy.mean_met == pytest.approx(2.52, abs=0.005)
