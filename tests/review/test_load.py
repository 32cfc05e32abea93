"""The load of a class is reckoned right, and claims no more than it knows."""

from __future__ import annotations

from dataclasses import replace

import pytest
from cues import builders as make
from hypothesis import given
from hypothesis import strategies as st
from plan.strategies import legal_plans
from review.flawed import changed

from cuetrack.cues.timeline import lay_out
from cuetrack.plan.model import Group, Movement
from cuetrack.review.load import (
    CLASS,
    SITTING,
    STRETCHING,
    WARMING,
    WEIGHTS,
    Load,
    SectionLoad,
    activity_of,
    load_lines,
    load_of,
)
from cuetrack.review.reviewing import review


def load(plan):
    return load_of(plan, lay_out(plan))


@pytest.mark.parametrize(
    ("counts", "seconds", "total_min", "work_min"),
    [
        ((6, 2), (30, 30), 12, 6),
        ((8, 2), (40, 20), 16, 32 / 3),
        ((6, 3), (20, 40), 18, 6),
    ],
)
def test_total_work_is_that_of_the_formula(counts, seconds, total_min, work_min):
    """Rounds x movements x (work + rest), less the last rest; common arithmetic."""
    movements = [Movement(name=f"move {n}") for n in range(counts[0])]
    work, rest = seconds
    section = make.intervals(
        *movements, work=work, rest=rest, rounds=counts[1], between=None, opening=0
    )
    found = load(make.plan(section))
    assert found.work_ms == round(work_min * 60_000)
    assert found.work_ms + found.rest_ms == total_min * 60_000 - rest * 1000


LADDER = ((20, 40, 33), (25, 35, 42), (30, 30, 50), (35, 25, 58), (40, 20, 67))


@pytest.mark.parametrize(("work", "rest", "share"), [*LADDER, (45, 15, 75)])
def test_each_step_of_the_ladder_has_its_share_of_work(work, rest, share):
    """Work over work and rest, in whole per cent, along the five-second ladder."""
    section = SectionLoad(section=0, title="", work_ms=work * 1000, rest_ms=rest * 1000)
    found = Load(sections=(section,), regions=(), unknown_ms=0, energy=None)
    assert round(100 * found.work_share) == share
    assert found.work_to_rest == work / rest


def test_times_are_told_by_section():
    """Work, rest, recovery, plain movement and talk, each where it belongs."""
    sections = {s.title: s for s in load(changed()).sections}
    main = sections["Intervals"]
    assert (main.work_ms, main.rest_ms, main.recovery_ms) == (320_000, 240_000, 90_000)
    assert main.talk_ms == 30_000
    assert sections["Warm-up"].moving_ms == 600_000
    assert sections["Welcome"].talk_ms == 60_000
    assert load(changed()).work_to_rest == pytest.approx(320 / 330)


def test_times_are_told_by_region():
    """A movement counts in each region it works, sides and rounds together."""
    regions = {r.region: r for r in load(changed()).regions}
    assert regions["arms"].work_ms == 160_000
    assert regions["calves"].work_ms == 80_000
    assert regions["calves"].moving_ms == 60_000
    assert load(changed()).unknown_ms == 0


def test_a_movement_without_regions_is_not_hidden():
    """Its time is told as unknown."""
    plan = changed(dropped=["warm-up/movements/0/regions"])
    assert load(plan).unknown_ms == 240_000
    assert any("name no region" in line for line in load_lines(load(plan)))


def test_each_block_keeps_the_value_of_one_activity():
    """Works are the class, stretches and talk are not; rests have no value."""
    by_id = {s.id: activity_of(s) for s in lay_out(changed()).segments}
    assert by_id["welcome"] is SITTING
    assert by_id["warm-up.opening"] is SITTING
    assert by_id["warm-up.m1"] is WARMING
    assert by_id["intervals.r1.m1"] is CLASS
    assert by_id["intervals.r1.m1.rest"] is None
    assert by_id["intervals.r1.recovery"] is None
    assert by_id["intervals.r1.m2"] is CLASS
    assert by_id["cool-down.m2"] is STRETCHING


def test_strength_is_light_resistance_in_the_least_estimate():
    """And the class itself in the most, where nothing counts as light."""
    found = load(changed()).energy
    assert WEIGHTS in {block.activity for block in found.least.blocks}
    assert WEIGHTS not in {block.activity for block in found.most.blocks}


def means(plan):
    found = load(plan).energy
    return found.least.mean_met, found.most.mean_met


def with_clocks(plan, **times):
    """Return a plan with other times in all its intervals."""
    return replace(
        plan,
        sections=tuple(
            replace(s, intervals=replace(s.intervals, **times)) if s.intervals else s
            for s in plan.sections
        ),
    )


@given(legal_plans(), st.integers(0, 60), st.integers(1, 120))
def test_more_rest_never_makes_a_class_more_intense(plan, extra_s, more_s):
    """Neither estimate of the mean rises when rests grow; the longest never counts."""
    shorter = with_clocks(plan, rest_ms=(5 + extra_s) * 1000)
    longer = with_clocks(plan, rest_ms=(5 + extra_s + more_s) * 1000)
    for before, after in zip(means(shorter), means(longer), strict=True):
        assert after <= before + 1e-9


def test_a_minute_of_rest_lowers_the_least_estimate():
    """From 20 to 60 seconds of rest the class is clearly less intense on average."""
    works = [Movement(name=f"move {n}") for n in range(4)]
    met = [
        means(make.plan(make.intervals(*works, work=40, rest=rest, rounds=2)))
        for rest in (20, 60)
    ]
    assert met[1][0] < met[0][0] - 0.4
    assert met[1][1] == pytest.approx(met[0][1])


@given(legal_plans(), st.sampled_from(["light hand weights", "an exercise band"]))
def test_weights_never_make_a_class_less_intense(plan, thing):
    """What is held in the hands lowers neither estimate."""
    held = replace(
        plan,
        sections=tuple(
            replace(
                s, movements=tuple(replace(m, equipment=thing) for m in s.movements)
            )
            for s in plan.sections
        ),
    )
    for before, after in zip(means(plan), means(held), strict=True):
        assert after >= before - 1e-9


@given(legal_plans())
def test_the_least_estimate_is_the_least(plan):
    """And both lie between the smallest and the greatest published value."""
    low, high = means(plan)
    assert SITTING.met <= low <= high + 1e-9 <= CLASS.met + 1e-6


def test_minutes_of_movement_stand_beside_the_range():
    """Work, plain movement and recovery, without rests and talk."""
    found = load(changed())
    assert found.moved_ms == found.work_ms + 90_000 + sum(
        s.moving_ms for s in found.sections
    )
    assert "of movement. About" in " ".join(load_lines(found))
    assert "METs on average" in " ".join(load_lines(found))


def test_energy_is_called_an_estimate_and_names_its_source():
    """Wherever the number stands, its source and its scatter stand too."""
    text = " ".join(load_lines(load(changed())))
    for word in ("About", "MET-minutes", "estimate", "2024 Older Adult Compendium"):
        assert word in text


def test_a_younger_group_gets_no_estimate():
    """The values are not of them; the review says why."""
    plan = replace(changed(), group=Group(age=59))
    assert load(plan).energy is None
    assert "I06" in {f.rule.id for f in review(plan, lay_out(plan))}
    assert load(replace(plan, group=Group(age=60))).energy is not None


@given(legal_plans())
def test_no_time_is_lost(plan):
    """The times of all sections add up to the class, and so do the energy blocks."""
    timeline = lay_out(plan)
    found = load_of(plan, timeline)
    assert sum(s.length_ms for s in found.sections) == timeline.end_ms
    for told in (found.energy.least, found.energy.most):
        blocks_ms = sum(block.length_ms for block in told.blocks)
        assert blocks_ms + told.eased_ms == timeline.end_ms
    assert load_lines(found)
