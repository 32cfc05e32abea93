"""The figure's joints: lengths, contacts, sides and the way between positions."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from poses import poses

from cuetrack.errors import PlanError
from cuetrack.movements.positions import body
from cuetrack.movements.positions.measures import ankle_up, knee_bend, on_floor
from cuetrack.movements.positions.motion import Sharing, pose_at
from cuetrack.movements.positions.notation import NotationError, position_of
from cuetrack.movements.positions.position import (
    SITTING_TALL,
    Position,
    RestsOn,
    mirrored,
)
from cuetrack.movements.positions.reading import motions, read_motions
from cuetrack.movements.positions.skeleton import skeleton_of
from cuetrack.movements.positions.vectors import distance

NAMES = sorted(motions())


@pytest.mark.parametrize("name", NAMES)
def test_limbs_keep_their_lengths(name):
    """Every bone is as long as the published share of height, at every phase."""
    for skeleton in poses(name):
        for arm in skeleton.arms:
            assert distance(arm.shoulder, arm.elbow) == pytest.approx(0.186, abs=1e-6)
            assert distance(arm.elbow, arm.wrist) == pytest.approx(0.146, abs=1e-6)
            assert distance(arm.wrist, arm.tip) == pytest.approx(0.108, abs=1e-6)
        for leg in skeleton.legs:
            assert distance(leg.hip, leg.knee) == pytest.approx(0.245, abs=1e-6)
            assert distance(leg.knee, leg.ankle) == pytest.approx(0.246, abs=1e-6)


@pytest.mark.parametrize("name", NAMES)
def test_hands_reach_what_they_rest_on(name):
    """No hand is asked to rest on what its arm cannot reach, nor a foot to stand."""
    for skeleton in poses(name):
        assert max(arm.lacks for arm in skeleton.arms) < 1e-6
        assert max(leg.lacks for leg in skeleton.legs) < 0.004


@pytest.mark.parametrize("name", NAMES)
def test_feet_never_sink_into_the_floor(name):
    """Heel, ball and toes stay on or above the floor at every phase."""
    for skeleton in poses(name):
        for leg in skeleton.legs:
            assert min(leg.heel[2], leg.ball[2], leg.toe[2]) > -0.002


@pytest.mark.parametrize("name", NAMES)
def test_motion_is_smooth(name):
    """No joint jumps: a 64th of a cycle moves none by an eighth of the height."""
    motion = motions()[name]
    before = _joints(pose_at(motion, 0.0))
    for step in range(1, 65):
        now = _joints(pose_at(motion, step / 64))
        assert max(map(distance, before, now)) < 0.13, step
        before = now


def _joints(skeleton):
    arms = [p for a in skeleton.arms for p in (a.elbow, a.wrist, a.tip)]
    legs = [p for g in skeleton.legs for p in (g.knee, g.ankle, g.toe)]
    return [*arms, *legs, skeleton.trunk.head]


@given(
    knee=st.floats(20, 100),
    out=st.floats(-10, 40),
    pitch=st.floats(0, 30),
    up=st.booleans(),
)
def test_a_foot_on_the_floor_keeps_its_knee(knee, out, pitch, up):
    """The solved leg stands on the floor and its knee is bent as it was told."""
    word = f"heel {pitch}" if up else f"ball {pitch}"
    position = position_of(f"right leg {word}, knee {knee}, out {out}", Position())
    leg = skeleton_of(position).right_leg
    assert on_floor(leg)
    assert knee_bend(leg) == pytest.approx(knee, abs=0.01)


@given(turn=st.floats(-40, 40), lift=st.floats(0, 160), knee=st.floats(60, 100))
def test_a_mirror_image_is_exact(turn, lift, knee):
    """Exchanging left and right twice changes nothing, and once mirrors each joint."""
    text = f"trunk turn right {turn}; right arm lift {lift} side; left leg knee {knee}"
    position = position_of(text, Position())
    assert mirrored(mirrored(position)) == position
    one, other = skeleton_of(position), skeleton_of(mirrored(position))
    for a, b in zip(one.arms, reversed(other.arms), strict=True):
        assert a.wrist == pytest.approx((b.wrist[0], -b.wrist[1], b.wrist[2]))
    for a, b in zip(one.legs, reversed(other.legs), strict=True):
        assert a.toe == pytest.approx((b.toe[0], -b.toe[1], b.toe[2]))


@pytest.mark.parametrize("place", [p for p in RestsOn if not p.startswith("other ")])
def test_every_place_can_be_reached(place):
    """Both hands reach each place of their own side, for the knees with a lean."""
    lean = 15 if place.endswith("knee") else 0
    position = position_of(f"trunk lean {lean}; arms on {place}", Position())
    for arm in skeleton_of(position).arms:
        assert arm.lacks < 1e-6
        assert arm.elbow_angle < 143


def test_sitting_height_is_the_published_one():
    """From the seat to the crown is .52 of height (Drillis and Contini)."""
    skeleton = skeleton_of(SITTING_TALL)
    assert skeleton.trunk.crown[2] - skeleton.chair.seat == pytest.approx(0.52)


@pytest.mark.outside
def test_proportions_lie_near_measured_people():
    """Medians of Huston 2009 (women 1.618 m, men 1.759 m) are within a seventh.

    Upper leg there is buttock to knee, lower leg the height of the knee.
    """
    for height, sitting, forearm, upper_leg, lower_leg in (
        (1.618, 0.853, 0.428, 0.578, 0.502),
        (1.759, 0.927, 0.483, 0.605, 0.553),
    ):
        assert pytest.approx(sitting / height, rel=0.02) == body.SITTING_HEIGHT
        assert pytest.approx(forearm / height, rel=0.08) == body.FOREARM + body.HAND
        assert (
            pytest.approx(lower_leg / height, rel=0.1) == body.SHANK + body.ANKLE_HEIGHT
        )
        assert upper_leg / height > body.THIGH


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("nose up", "names no part"),
        ("trunk wave 3", "not understood"),
        ("right arm lift 90 up", "not lifted toward"),
        ("right arm lift 90 front, elbow 90 back", "along the upper arm"),
        ("arms on moon", "no place"),
        ("arms elbow 90 sideways", "no direction"),
        ("arms lift 90 front-back", "points nowhere"),
        ("arms hand wave", "no shape"),
        ("legs knee wide", "no number"),
        ("legs knee nan", "no number"),
        ("legs flat 3", "not understood"),
    ],
)
def test_a_phrase_that_means_nothing_is_told(text, said):
    """Each way of miswriting a phrase says what was found and what could stand."""
    with pytest.raises(NotationError, match=said) as caught:
        position_of(text, Position())
    assert caught.value.remedy.endswith(".")


def test_all_mistakes_of_a_file_are_told_with_their_lines():
    """A file of key positions names every mistake at its line and column."""
    march = "march:\n  view: above\n  with: stick\n  end: tail up\n  colour: red\n"
    text = march + "rest:\n  start: legs flat\n"
    with pytest.raises(PlanError) as caught:
        read_motions(text, "mine.yaml")
    told = [(p.line, p.what.split()[0]) for p in caught.value.problems]
    assert told == [
        (2, '"above"'),
        (3, '"stick"'),
        (4, '"tail'),
        (5, '"colour"'),
        (6, '"rest"'),
    ]


def test_sides_take_turns():
    """The second half of a cycle by turns mirrors its first half."""
    march = motions()["easy march"]
    assert march.sharing is Sharing.BY_TURNS
    right, left = pose_at(march, 0.25), pose_at(march, 0.75)
    assert right.right_leg.knee[2] == pytest.approx(left.left_leg.knee[2])
    assert right.right_leg.knee[2] > right.left_leg.knee[2] + 0.03
    assert ankle_up(right.left_leg) == pytest.approx(ankle_up(left.right_leg))


def test_a_hold_stays_at_the_key():
    """Held for half of its time, a movement stands still there."""
    shrug = motions()["shoulder shrug"]
    early, late = pose_at(shrug, 0.3, hold=0.5), pose_at(shrug, 0.7, hold=0.5)
    assert early.left_arm.shoulder == pytest.approx(late.left_arm.shoulder)
    assert early.left_arm.shoulder[2] > pose_at(shrug, 0).left_arm.shoulder[2] + 0.03
