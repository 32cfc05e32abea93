"""A class is fitted into its slot by the cheapest change, exactly."""

from dataclasses import replace
from functools import cache
from itertools import product
from pathlib import Path

import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st
from planning.generated import wishes_of

from cuetrack.cues.timeline import lay_out
from cuetrack.movements.library import load_library
from cuetrack.plan.model import Group, SectionKind
from cuetrack.plan.reading import parse_plan
from cuetrack.planning.alternatives import Bounds, leaving_out, section_ways
from cuetrack.planning.diff import changes
from cuetrack.planning.editing import rewritten
from cuetrack.planning.fitting import (
    FittedPlan,
    NoFit,
    fit,
    length_ms,
    remarks,
    ways_out,
)
from cuetrack.planning.generating import generate
from cuetrack.planning.steps import work_ms
from cuetrack.review.reviewing import review_step

EXAMPLES = sorted(Path(__file__).parents[2].joinpath("examples").glob("*.yaml"))
SMALL = """\
title: Small
warm-up: {for: %(warm)s s, movements: [easy march, shoulder roll, ankle pump]}
intervals:
  work: %(work)s s
  rest: %(rest)s s
  rounds: %(rounds)s
  movements:
    - {movement: heel dig, importance: 5}
    - {movement: slow punch, importance: %(one)s}
    - {movement: toe tap side, importance: %(two)s}
    - {movement: knee lift, importance: 2}
cool-down: {for: 5 min, movements: [slow march: 2 min, toe tap, ankle pump]}
"""
TIGHT = Bounds(
    work_ms=(25_000, 40_000),
    rest_ms=(25_000, 40_000),
    rounds=(1, 3),
    talk_longer_ms=30_000,
)


def read(text):
    return parse_plan(text, "class.yaml", library=load_library)


def small(**values):
    usual = {"warm": 330, "work": 30, "rest": 30, "rounds": 2, "one": 3, "two": 3}
    return read(SMALL % {**usual, **values})


def brute_force(plan, slot_ms, bounds):
    """Return the least cost of all combinations, None if none ends on the slot.

    Talks may lose what is over a minute of welcome or 45 s of close, and grow by
    the bound; each five seconds started cost a point.
    """
    talks = [s for s in plan.sections if s.duration_ms is not None and not s.movements]
    floor = {SectionKind.WELCOME: 60_000, SectionKind.CLOSE: 45_000}
    low_ms = sum(min(t.duration_ms, floor[t.kind]) for t in talks)
    up_ms = sum(t.duration_ms + bounds.talk_longer_ms for t in talks)
    planned_ms = sum(t.duration_ms for t in talks)
    costs = []
    parts = [s for s in plan.sections if s not in talks]
    for ways in product(*(section_ways(plan, s, bounds) for s in parts)):
        left_ms = slot_ms - sum(way.length_ms for way in ways)
        if low_ms <= left_ms <= up_ms:
            padding = -(-abs(left_ms - planned_ms) // 5000)
            costs.append(sum(way.cost for way in ways) + padding)
    return min(costs, default=None)


@settings(max_examples=12, phases=[Phase.explicit, Phase.reuse, Phase.generate])
@given(
    st.fixed_dictionaries(
        {
            "warm": st.sampled_from([240, 300, 330, 345]),
            "work": st.sampled_from([25, 30, 35]),
            "rest": st.sampled_from([28, 30, 40]),
            "rounds": st.integers(1, 3),
            "one": st.integers(1, 5),
            "two": st.integers(1, 5),
        }
    ),
    st.integers(10 * 60_000, 26 * 60_000),
)
def test_fitting_is_as_cheap_as_the_cheapest_of_all_combinations(values, slot_ms):
    """Against brute force over every way of every section."""
    plan = small(**values)
    tight = replace(TIGHT, keep=frozenset({"cool-down"}))
    found = fit(plan, slot_ms, tight)
    cheapest = brute_force(plan, slot_ms, tight)
    assert (found.cost if isinstance(found, FittedPlan) else None) == cheapest


@cache
def drawn(number):
    """Return an example, or behind them a new plan for answers drawn by number.

    As text and as read, with the rules that find something in it.
    """
    new = number >= len(EXAMPLES)
    made = generate(wishes_of(number), number) if new else ""
    text = made or EXAMPLES[number].read_text("utf-8")
    return text, read(text), remarks(read(text))


@settings(max_examples=20, phases=[Phase.explicit, Phase.reuse, Phase.generate])
@given(st.integers(0, 20), st.floats(0.6, 1.5))
def test_a_fitted_plan_ends_on_its_slot_and_draws_no_complaint(number, share):
    """To the millisecond, read back from its own text; no rule trips that did not."""
    text, plan, told_before = drawn(number)
    slot_ms = int(share * length_ms(plan))
    found = fit(plan, slot_ms)
    if isinstance(found, NoFit):
        assert not (found.below_ms or 0) >= slot_ms
        assert not (found.above_ms or slot_ms + 1) <= slot_ms
        return
    fitted = read(rewritten(text, plan, found.plan, read))
    assert length_ms(fitted) == slot_ms
    assert remarks(fitted) <= told_before
    told = review_step((plan, lay_out(plan)), (fitted, lay_out(fitted)))
    assert not {f.rule.id for f in told} & {"P01", "P03"}


def test_a_class_that_ends_on_its_slot_is_left_alone():
    """No change costs nothing."""
    plan = small()
    found = fit(plan, length_ms(plan))
    assert found == FittedPlan(plan=plan, cost=0)
    assert changes(plan, found.plan) == ()


def test_a_few_seconds_go_to_welcome_and_close():
    """Nobody notices twelve seconds there."""
    plan = small()
    found = fit(plan, length_ms(plan) + 12_000)
    assert {c.what for c in changes(plan, found.plan)} == {"welcome", "close"}
    assert found.cost == 3


@pytest.mark.parametrize("minutes", [14, 16, 18, 25, 32])
def test_warm_up_and_cool_down_keep_their_five_minutes(minutes):
    """Or what was planned, where that was less."""
    for warm in (200, 330):
        plan = small(warm=warm)
        found = fit(plan, minutes * 60_000)
        if isinstance(found, FittedPlan):
            for section in found.plan.sections:
                if section.kind in {SectionKind.WARM_UP, SectionKind.COOL_DOWN}:
                    total_ms = sum(m.duration_ms for m in section.movements)
                    assert total_ms >= min(warm * 1000, 300_000)


def test_the_least_important_is_left_out_first_and_five_never():
    """Of equals, the last one goes first."""
    plan = small(one=3, two=3)
    (section,) = [s for s in plan.sections if s.intervals]
    names = {m.place: m.name for m in section.movements}
    orders = leaving_out(section, Bounds(fewest_movements=1), plan)
    assert [sorted(names[p] for p in gone) for gone in orders] == [
        [],
        ["knee lift"],
        ["knee lift", "toe tap side"],
        ["knee lift", "slow punch", "toe tap side"],
    ]


def test_importance_is_read_from_the_plan_alone():
    """A key of the movement; the library says nothing of it."""
    (section,) = [s for s in small(one=1).sections if s.intervals]
    assert [m.importance for m in section.movements] == [5, 1, 3, 2]


def test_what_is_kept_does_not_change():
    """Every kind in turn."""
    plan = small()
    for kind in ("work", "rest", "rounds", "movements", "warm-up", "cool-down"):
        found = fit(plan, 21 * 60_000, Bounds(keep=frozenset({kind})))
        assert isinstance(found, FittedPlan)
        told = " ".join(c.what for c in changes(plan, found.plan))
        assert ("left out" if kind == "movements" else kind) not in told


def test_new_people_are_never_given_more_work_than_rest():
    """The clock stays within what the review lets pass."""
    plan = small()
    plan = replace(plan, group=replace(plan.group, facts=("new",)))
    for minutes in range(14, 30, 3):
        found = fit(plan, minutes * 60_000)
        if isinstance(found, FittedPlan):
            (clock,) = [s.intervals for s in found.plan.sections if s.intervals]
            assert clock.work_ms <= clock.rest_ms


def test_what_cannot_be_had_is_told_with_the_nearest_lengths():
    """Eight minutes is below what warm-up, cool-down and safety words take."""
    plan = small()
    found = fit(plan, 8 * 60_000)
    assert isinstance(found, NoFit)
    assert found.below_ms is None
    assert isinstance(fit(plan, found.above_ms), FittedPlan)
    assert isinstance(fit(plan, found.above_ms - 1), NoFit)
    longest = fit(plan, 120 * 60_000)
    assert longest.above_ms is None
    assert isinstance(fit(plan, longest.below_ms), FittedPlan)


def test_a_stated_length_follows_the_slot():
    """A plan that says how long it lasts goes on telling the truth."""
    plan = replace(small(), lasts_ms=20 * 60_000)
    assert fit(plan, 22 * 60_000).plan.lasts_ms == 22 * 60_000


def test_new_people_do_not_go_from_two_rounds_to_five():
    """However long the slot: a fifth more work at most."""
    plan = replace(small(), group=Group(facts=("new",)))
    for minutes in (22, 28, 40):
        found = fit(plan, minutes * 60_000)
        if isinstance(found, FittedPlan):
            (clock,) = [s.intervals for s in found.plan.sections if s.intervals]
            assert clock.rounds <= 3
            assert work_ms(found.plan) <= 1.2 * work_ms(plan)


def test_what_the_group_is_here_for_is_never_left_out():
    """The last lively work, and strength of the legs and of the upper back, stay."""
    text = """\
title: Strength
warm-up: {for: 5 min, movements: [easy march, shoulder roll, ankle pump]}
intervals:
  movements: [heel dig, slow punch, seat squeeze, reverse fly, slow turn, step-out]
cool-down: {for: 5 min, movements: [slow march: 2 min, toe tap, ankle pump]}
"""
    plan = read(text)
    (section,) = [s for s in plan.sections if s.intervals]
    names = {m.place: m.name for m in section.movements}
    most = leaving_out(section, Bounds(fewest_movements=1), plan)[-1]
    kept = {name for place, name in names.items() if place not in most}
    assert kept == {"heel dig", "seat squeeze", "reverse fly"}


def test_a_longer_class_is_no_class_of_waiting():
    """However much time there is: a rest grows by fifteen seconds at most."""
    for minutes in (22, 28):
        found = fit(small(rest=25), minutes * 60_000)
        if isinstance(found, FittedPlan):
            (clock,) = [s.intervals for s in found.plan.sections if s.intervals]
            assert clock.rest_ms <= 40_000


def test_weak_hearts_keep_fifteen_and_ten_minutes():
    """Thow 2006: no shorter slot takes from them."""
    text = SMALL % {
        "warm": 900,
        "work": 30,
        "rest": 30,
        "rounds": 2,
        "one": 3,
        "two": 3,
    }
    plan = read(text.replace("for: 5 min", "for: 10 min"))
    plan = replace(plan, group=Group(facts=("heart condition",)))
    for minutes in range(28, 40, 2):
        found = fit(plan, minutes * 60_000)
        if isinstance(found, FittedPlan):
            times = [
                sum(m.duration_ms for m in s.movements)
                for s in found.plan.sections
                if s.kind in {SectionKind.WARM_UP, SectionKind.COOL_DOWN}
            ]
            assert times[0] >= 900_000
            assert times[1] >= 600_000


def test_advice_frees_one_thing_and_that_thing_helps():
    """Each way out ends on the slot; where nothing is held there is none."""
    plan = small()
    slot_ms = 16 * 60_000
    held = Bounds(keep=frozenset({"rounds", "breaks"}))
    out = ways_out(plan, slot_ms, held)
    assert [held.keep - bounds.keep for bounds in out] == [{"rounds"}]
    for bounds in out:
        assert isinstance(fit(plan, slot_ms, bounds), FittedPlan)
    assert ways_out(plan, 5 * 60_000, Bounds()) == ()
