"""Energy against worked values of the compendia and of a textbook.

The compendium values (3.8 for a chair class, 4.5 for walking, 2.8, 2.3) are those of
the 2024 Older Adult Compendium of Physical Activities (Willis and others, J Sport
Health Sci 13:13-17), whose MET is 2.7 mL of oxygen per kg and minute. The formula
(MET x oxygen x kg / 200 x minutes) and 7 MET for 70 kg are worked in the slides to
ACSM's textbook. Where no published result exists, the value was reckoned by hand
from the same formula, and this is said.
"""

from __future__ import annotations

import pytest

from cuetrack.review.load import (
    CLASS,
    STRETCHING,
    WARMING,
    WEIGHTS,
    Activity,
    Basis,
    Energy,
    EnergyBlock,
    energy_kcal,
    net_energy_kcal,
)

pytestmark = pytest.mark.outside


def adult(met):
    return Activity(code="", name="", met=met, basis=Basis.ADULT)


def block(activity, minutes):
    return EnergyBlock(activity=activity, length_ms=minutes * 60_000)


def test_walking_of_the_older_is_reckoned_on_their_own_basis():
    """4.5 MET of people over 60, 70 kg, half an hour: 127.575 kcal, never 165.375."""
    walking = Activity(code="1717060", name="walking", met=4.5)
    assert energy_kcal(walking, 70, 30) == pytest.approx(127.575, abs=1e-9)
    assert energy_kcal(adult(4.5), 70, 30) == pytest.approx(165.375, abs=1e-9)


@pytest.mark.parametrize(
    ("weight_kg", "minutes", "kcal"), [(65, 30, 100.035), (70, 45, 161.595)]
)
def test_a_chair_class(weight_kg, minutes, kcal):
    """Code 0206360, 3.8; by hand from the formula."""
    assert CLASS.met == 3.8
    assert energy_kcal(CLASS, weight_kg, minutes) == pytest.approx(kcal, abs=1e-9)


def test_the_textbook_example():
    """7 MET, 70 kg: 8.575 kcal a minute; three half hours 630 MET-minutes, 771.75."""
    assert energy_kcal(adult(7), 70, 1) == pytest.approx(8.575)
    assert energy_kcal(adult(7), 70, 90) == pytest.approx(771.75)
    assert block(adult(7), 90).met_minutes == pytest.approx(630)


def test_a_class_by_its_blocks():
    """5 min at 2.8, 16 at 3.8, 5 at 2.3, 4 at 2.8; 65 kg; by hand."""
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
    assert energy.kcal(65) == pytest.approx(85.556, abs=5e-4)


def test_gross_and_net_of_a_mixed_session():
    """Adult values, 65 kg: 75.7 MET-minutes, 86.1 kcal gross, 52.0 net; by hand."""
    parts = ((2.3, 5), (3.5, 8), (1.5, 8), (3.0, 5), (2.3, 4))
    energy = Energy(blocks=tuple(block(adult(met), m) for met, m in parts))
    assert energy.met_minutes == pytest.approx(75.7)
    assert energy.mean_met == pytest.approx(2.52, abs=0.005)
    assert energy.kcal(65) == pytest.approx(86.1, abs=0.05)
    assert energy.net_kcal(65) == pytest.approx(52.0, abs=0.05)
    assert net_energy_kcal(adult(1), 65, 10) == 0
