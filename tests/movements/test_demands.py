"""What movements ask of a body, derived from their key positions."""

from __future__ import annotations

from dataclasses import fields

import pytest

from cuetrack.movements.positions.body import Chair
from cuetrack.movements.positions.demands import MIDDLE, SMALL, Reach, reach_of
from cuetrack.movements.positions.measures import QUANTITIES
from cuetrack.movements.positions.motion import Motion
from cuetrack.movements.positions.notation import position_of
from cuetrack.movements.positions.position import Position
from cuetrack.movements.positions.reading import motions


def _reach(text):
    key = position_of(text, Position())
    return reach_of(Motion(name="tried", start=key, keys=(key,)), 1.0)


def test_every_quantity_is_measured():
    """The table of measures and the fields of a reach name the same quantities."""
    assert {field.name for field in fields(Reach)} == set(QUANTITIES)


@pytest.mark.parametrize(
    ("text", "quantity", "value", "within"),
    [
        ("arms lift 90 front, elbow 0", "arm_lift_deg", 90, 1),
        ("arms lift 90 side, elbow 0", "hand_above_shoulder_deg", 0, 1),
        ("arms lift 40 back, elbow 0", "arm_back_deg", 40, 1),
        ("arms lift 90 front, elbow 0", "lever_shoulder", 0.186 + 0.146 + 0.05, 0.005),
        ("right leg thigh 110", "hip_flexion_deg", 110, 0.5),
        ("trunk lean 30", "hip_flexion_deg", 84 + 30, 1),
        ("trunk lean 25", "lean_forward_deg", 25, 0.5),
        ("trunk lean -20", "lean_back_deg", 20, 0.5),
        ("trunk bend 40", "spine_bend", 0.5, 0.01),
        ("trunk turn left 27", "spine_turn", 0.6, 0.01),
        ("head turn left 30", "neck_turn", 0.5, 0.01),
        ("right leg thigh 86, knee 12", "knee_straight_deg", 12, 0.5),
        ("right leg thigh 90, out 30", "hip_opened_deg", 30, 1),
        (
            "arms lift 90 front, elbow 0, palm down, wrist -50.4",
            "wrist_back",
            0.8,
            0.02,
        ),
        ("right leg thigh 90, knee 90", "feet_on_floor", 1, 0),
        ("arms on seat", "hands_on_chair", 2, 0),
    ],
)
def test_known_postures_measure_as_they_were_told(text, quantity, value, within):
    """A posture told in plain numbers is measured back as these numbers."""
    assert getattr(_reach(text), quantity) == pytest.approx(value, abs=within)


def test_hands_over_the_head_are_overhead():
    """Straight up is overhead, level is neither that nor above the shoulder."""
    assert _reach("arms lift 160 front, elbow 0").overhead
    level = _reach("arms lift 88 front, elbow 0")
    assert not level.overhead
    assert not level.above_shoulder


def test_crossing_the_middle_is_seen():
    """A leg swung inward crosses the middle line, one lifted straight does not."""
    assert _reach("right leg thigh 95, knee 60, out -25").crosses_middle
    assert not _reach("right leg thigh 95").crosses_middle


def test_bending_deep_brings_the_head_below_the_heart():
    """A deep fold does, a hinge of the hips does not."""
    assert _reach("trunk lean 70, bend 60; head nod 30").head_below_heart > 0
    assert _reach("trunk lean 30; arms hanging").head_below_heart < -0.1


@pytest.mark.parametrize("name", sorted(motions()))
def test_more_range_never_asks_less(name):
    """From small to whole range the hip, the shoulder and the back work more."""
    reaches = [reach_of(motions()[name], share) for share in (SMALL, MIDDLE, 1.0)]
    for quantity in ("spine_turn", "spine_side", "neck_turn", "off_seat"):
        small, middle, end = (getattr(reach, quantity) for reach in reaches)
        assert small <= middle + 1e-6
        assert middle <= end + 1e-6


def test_a_higher_seat_lowers_the_knees():
    """The same march on a higher chair bends the resting hip less."""
    shrug = motions()["shoulder shrug"]
    low = reach_of(shrug, 1.0, Chair(seat=0.24))
    high = reach_of(shrug, 1.0, Chair(seat=0.29))
    assert high.knee_above_hip < low.knee_above_hip
    assert high.hip_flexion_deg < low.hip_flexion_deg - 5
