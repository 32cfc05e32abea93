"""Positions keep within what older people's joints do, and out of chair and body."""

from __future__ import annotations

import pytest
from poses import PHASES, poses

from cuetrack.movements.positions import ranges
from cuetrack.movements.positions.body import USUAL_CHAIR
from cuetrack.movements.positions.measures import (
    ankle_up,
    arm_back_deg,
    arm_lift_deg,
    knee_bend,
    thigh_flexion,
    thigh_opened,
    thigh_turned_in,
    wrist_bend,
)
from cuetrack.movements.positions.motion import Seating
from cuetrack.movements.positions.reading import motions
from cuetrack.movements.positions.vectors import add, along, blend, distance, minus

NAMES = sorted(motions())
ON_THE_SEAT = [n for n in NAMES if motions()[n].seating is not Seating.SIDEWAYS]
MARGIN = 0.95
"""Key positions keep a twentieth of each range in hand."""


def _shares(skeleton):
    """Return each joint's angle as a share of its normal end, by name."""
    trunk, head = skeleton.position.trunk, skeleton.position.head
    shares = {
        "arm lifted": arm_lift_deg(skeleton) / ranges.SHOULDER_FLEXION.most,
        "arm back": arm_back_deg(skeleton) / -ranges.SHOULDER_FLEXION.least,
        "spine bend": ranges.SPINE_BEND.share(trunk.bend),
        "spine side": ranges.SPINE_SIDE.share(trunk.side),
        "spine turn": ranges.SPINE_TURN.share(trunk.turn),
        "neck bend": ranges.NECK_BEND.share(head.nod),
        "neck side": ranges.NECK_SIDE.share(head.side),
        "neck turn": ranges.NECK_TURN.share(head.turn),
    }
    for side, arm in zip((1, -1), skeleton.arms, strict=True):
        shares[f"elbow {side}"] = ranges.ELBOW.share(arm.elbow_angle)
        shares[f"wrist {side}"] = ranges.WRIST.share(wrist_bend(arm))
    for side, leg in zip((1, -1), skeleton.legs, strict=True):
        flexion = thigh_flexion(leg, skeleton)
        shares[f"hip {side}"] = ranges.HIP_FLEXION.share(flexion)
        shares[f"hip open {side}"] = ranges.HIP_ABDUCTION.share(thigh_opened(leg, side))
        turned = thigh_turned_in(leg, side)
        shares[f"hip turn {side}"] = ranges.HIP_ROTATION.share(turned)
        shares[f"knee {side}"] = ranges.KNEE.share(knee_bend(leg))
        shares[f"ankle {side}"] = ranges.ANKLE.share(ankle_up(leg))
    return shares


@pytest.mark.outside
@pytest.mark.parametrize("name", NAMES)
def test_joints_keep_within_normal_ranges(name):
    """No joint goes past 95 % of the published normal range of older people."""
    for phase, skeleton in zip(PHASES, poses(name), strict=True):
        shares = _shares(skeleton)
        beyond = {joint: round(s, 2) for joint, s in shares.items() if s > MARGIN}
        assert not beyond, phase


def _far_from_line(point, start, end):
    """Return how far a point is from the straight line between two others."""
    way = minus(end, start)
    size = sum(c * c for c in way)
    share = sum(a * b for a, b in zip(minus(point, start), way, strict=True)) / size
    return distance(point, blend(start, end, min(max(share, 0.0), 1.0)))


def _trunk_lines(skeleton):
    trunk = skeleton.trunk
    frames = (trunk.pelvis_frame, trunk.waist_frame, trunk.chest_frame)
    ends = (trunk.pelvis, trunk.waist, trunk.chest, trunk.neck)
    for frame, low, high in zip(frames, ends, ends[1:], strict=False):
        for across in (-0.04, 0.0, 0.04):
            yield along(low, frame.left, across), along(high, frame.left, across)


@pytest.mark.parametrize("name", NAMES)
def test_hands_stay_outside_the_body(name):
    """No palm or wrist enters the trunk, the head or a thigh at any phase."""
    for phase, skeleton in zip(PHASES, poses(name), strict=True):
        for arm in skeleton.arms:
            assert distance(arm.palm, skeleton.trunk.head) > 0.07
            for point in (arm.palm, arm.wrist):
                for line in _trunk_lines(skeleton):
                    assert _far_from_line(point, *line) > 0.048, phase
                for leg in skeleton.legs:
                    assert _far_from_line(point, leg.hip, leg.knee) > 0.036, phase
                    assert _far_from_line(point, leg.knee, leg.ankle) > 0.03, phase


@pytest.mark.parametrize("name", ON_THE_SEAT)
def test_hands_and_feet_stay_out_of_the_seat(name):
    """Neither hands nor feet pass through the seat of somebody who faces forward."""
    motion = motions()[name]
    shift = 0.085 if motion.seating is Seating.FORWARD else 0.0
    chair = USUAL_CHAIR
    for phase, skeleton in zip(PHASES, poses(name), strict=True):
        points = [p for a in skeleton.arms for p in (a.palm, a.wrist, a.tip)]
        points += [p for g in skeleton.legs for p in (g.ankle, g.heel, g.toe)]
        for x, y, z in points:
            over = -chair.back < x + shift < chair.front and abs(y) < chair.half_width
            inside = over and chair.seat - 0.03 < z < chair.seat - 0.002
            assert not inside, phase


@pytest.mark.parametrize("name", NAMES)
def test_legs_do_not_pass_through_each_other(name):
    """The shins stay apart by the width of a shin, the knees by that of a knee."""
    for phase, skeleton in zip(PHASES, poses(name), strict=True):
        left, right = skeleton.legs
        for share in (0.0, 0.5, 1.0):
            one = blend(left.knee, left.ankle, share)
            apart = _far_from_line(one, right.knee, right.ankle)
            assert apart > 0.06, (phase, share)


def test_a_hand_in_the_belly_would_be_noticed():
    """The check of hands does see a hand that is inside the trunk."""
    skeleton = poses("tall sit")[8]
    inside = add(skeleton.trunk.waist, (0.03, 0.0, 0.0))
    assert min(_far_from_line(inside, *line) for line in _trunk_lines(skeleton)) < 0.04
