"""Promises of the timeline: exact, complete, and as the trade lays a class out."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import pytest
from cues import builders as make
from cues.strategies import few, plans
from hypothesis import given

from cuetrack.cues.model import SegmentKind
from cuetrack.cues.timeline import lay_out
from cuetrack.errors import PlanError
from cuetrack.plan.model import Movement, Plan, SectionKind
from cuetrack.times import clock


def main_part_ms(plan: Plan) -> int:
    """Return first work start to last work end."""
    works = [s for s in lay_out(plan).segments if s.kind is SegmentKind.WORK]
    return works[-1].end_ms - works[0].start_ms


def movements(count: int) -> list[Movement]:
    return [Movement(name=f"movement {number}") for number in range(1, count + 1)]


def test_forty_five_fifteen_with_six_movements_takes_twelve_and_a_half_minutes():
    """45/15, six movements, two rounds, 60 s between is 12:30 (common practice)."""
    plan = make.plan(
        make.intervals(*movements(6), work=45, rest=15, rounds=2, between=60)
    )
    assert clock(main_part_ms(plan)) == "12:30"


@pytest.mark.parametrize(
    ("count", "rounds", "work", "rest", "minutes"),
    [(6, 2, 30, 30, 12), (8, 2, 40, 20, 16), (6, 3, 20, 40, 18)],
)
def test_total_is_moves_times_rounds_less_the_last_rest(
    count, rounds, work, rest, minutes
):
    """Moves x rounds x (work + rest), less one rest: worked by hand."""
    plan = make.plan(
        make.intervals(
            *movements(count), work=work, rest=rest, rounds=rounds, between=None
        )
    )
    assert main_part_ms(plan) == (minutes * 60 - rest) * 1000


def test_round_ends_in_the_recovery_break_and_the_last_in_nothing():
    """No rest after the last work of a round, no break after the last round."""
    plan = make.plan(make.intervals(make.HEEL_DIG, make.TOE_TAP, opening=0))
    assert [s.id for s in lay_out(plan).segments] == [
        "intervals.r1.m1",
        "intervals.r1.m1.rest",
        "intervals.r1.m2",
        "intervals.r1.recovery",
        "intervals.r2.m1",
        "intervals.r2.m1.rest",
        "intervals.r2.m2",
    ]


def test_break_after_the_last_round_when_asked():
    """A plan may ask for the recovery break after the last round too."""
    plan = make.plan(make.intervals(make.HEEL_DIG, after_last=True))
    assert lay_out(plan).segments[-1].id == "intervals.r2.recovery"


def test_movement_overrides_work_and_rest():
    """A movement's own length and rest win over the section's."""
    own = replace(make.HEEL_DIG, duration_ms=25_000, rest_ms=35_000)
    plan = make.plan(make.intervals(own, make.TOE_TAP, opening=0, rounds=1))
    assert [s.length_ms for s in lay_out(plan).segments] == [25_000, 35_000, 40_000]


def test_sides_share_an_activity_and_differ_by_a_millisecond_at_most():
    """Each side gets equal time; an odd length leaves 1 ms to one of them."""
    plan = make.plan(make.plain(make.timed(make.ANKLE_CIRCLE, 30.001), opening=0))
    right, left = lay_out(plan).segments
    assert (right.id, left.id) == ("warm-up.m1.right", "warm-up.m1.left")
    assert right.activity == left.activity == "warm-up.m1"
    assert (right.side, left.side) == ("right", "left")
    assert sorted((right.length_ms, left.length_ms)) == [15_000, 15_001]


def test_sides_without_a_name_of_their_own_are_numbered():
    """Two sides of one name still get ids that differ."""
    odd = replace(make.ANKLE_CIRCLE, sides=("one", "one"), duration_ms=20_000)
    ids = [s.id for s in lay_out(make.plan(make.plain(odd, opening=0))).segments]
    assert ids == ["warm-up.m1.side1", "warm-up.m1.side2"]


def test_second_section_of_a_kind_is_numbered():
    """Ids stay unique when a kind of section appears twice."""
    one = make.plain(make.timed(make.EASY_MARCH, 30), opening=10)
    ids = [s.id for s in lay_out(make.plan(one, one)).segments]
    assert ids == ["warm-up.opening", "warm-up.m1", "warm-up2.opening", "warm-up2.m1"]


def test_next_movement_is_shown_in_openings_and_rests():
    """An opening shows the first movement, a rest the next, sides look past each."""
    plan = make.plan(
        make.welcome(), make.intervals(make.HEEL_DIG, make.ANKLE_CIRCLE, rounds=1)
    )
    shown = {
        s.id: s.next_movement.name if s.next_movement else None
        for s in lay_out(plan).segments
    }
    assert shown == {
        "welcome": "heel dig",
        "intervals.opening": "heel dig",
        "intervals.r1.m1": "ankle circle",
        "intervals.r1.m1.rest": "ankle circle",
        "intervals.r1.m2.right": None,
        "intervals.r1.m2.left": None,
    }


def test_same_movement_twice_running_is_still_the_next_one():
    """What comes next is told by activity, not by the movement's name."""
    plan = make.plan(make.intervals(make.HEEL_DIG, make.HEEL_DIG, rounds=1, opening=0))
    assert lay_out(plan).segments[0].next_movement is make.HEEL_DIG


def test_plain_movement_without_a_duration_is_a_mistake_of_the_plan():
    """The message names the movement and says what to do."""
    with pytest.raises(PlanError, match=r"'heel dig' has no duration\. Say how long"):
        lay_out(make.plan(make.plain(make.HEEL_DIG)))


def test_empty_plan_has_an_empty_timeline():
    """Nothing planned, nothing laid out."""
    assert lay_out(make.plan()).end_ms == 0


@few
@given(plans())
def test_segments_follow_each_other_from_zero_without_gap(plan):
    """The first segment starts at 0, each next where the last ended, none is empty."""
    segments = lay_out(plan).segments
    assert segments[0].start_ms == 0
    assert all(a.end_ms == b.start_ms for a, b in pairwise(segments))
    assert all(s.length_ms > 0 for s in segments)
    assert len({s.id for s in segments}) == len(segments)


@few
@given(plans())
def test_total_is_the_sum_of_the_parts(plan):
    """Openings, movements, rests and breaks add up to the class."""
    total = 0
    for section in plan.sections:
        total += section.opening_ms + (section.duration_ms or 0)
        if section.intervals is None:
            total += sum(m.duration_ms for m in section.movements)
            continue
        clockwork = section.intervals
        pause = clockwork.between_rounds
        for number in range(1, clockwork.rounds + 1):
            last = number == clockwork.rounds
            for movement in section.movements:
                total += movement.duration_ms or clockwork.work_ms
            resting = section.movements[: None if not (last or pause) else -1]
            total += sum(
                clockwork.rest_ms if m.rest_ms is None else m.rest_ms for m in resting
            )
            if pause and (not last or clockwork.break_after_last):
                total += pause.duration_ms
    assert lay_out(plan).end_ms == total


@few
@given(plans())
def test_a_movement_with_sides_gives_each_the_same_time(plan):
    """Sides of one activity differ by at most a millisecond and touch."""
    segments = lay_out(plan).segments
    for first, second in pairwise(segments):
        if first.activity == second.activity:
            assert abs(first.length_ms - second.length_ms) <= 1
            assert first.side != second.side


def test_close_and_welcome_keep_their_kinds():
    """A close is a close and a welcome a welcome."""
    kinds = [s.kind for s in lay_out(make.plan(make.welcome(), make.close())).segments]
    assert kinds == [SegmentKind.WELCOME, SegmentKind.CLOSE]
    assert make.close().kind is SectionKind.CLOSE
