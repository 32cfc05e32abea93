"""A block of weeks builds up by one wise step at a time."""

from dataclasses import replace
from functools import cache
from itertools import pairwise
from pathlib import Path

import pytest
from planning.generated import wishes_of

from cuetrack.cues.timeline import lay_out
from cuetrack.movements.library import load_library
from cuetrack.plan.model import SectionKind
from cuetrack.plan.reading import parse_plan
from cuetrack.planning.editing import rewritten
from cuetrack.planning.fitting import length_ms
from cuetrack.planning.generating import generate
from cuetrack.planning.progression import LONGEST_GROWTH, block
from cuetrack.planning.request import ClassRequest, Level
from cuetrack.planning.steps import easier, work_ms
from cuetrack.review.model import Severity
from cuetrack.review.reviewing import review, review_step

EXAMPLES = sorted(Path(__file__).parents[2].joinpath("examples").glob("*.yaml"))
TEXTS = {path.stem: path.read_text("utf-8") for path in EXAMPLES}
TEXTS |= {f"new {n}": generate(wishes_of(n), n) for n in range(6)}
SHORT = ("shortest", "short")
for name, level, minutes in zip(SHORT, (Level.NEW, Level.USUAL), (10, 12), strict=True):
    TEXTS[name] = generate(ClassRequest(level=level, slot_ms=minutes * 60_000), minutes)
TEXTS["gentle ladder"] = """\
title: Ladder
group: [experienced]
warm-up: {for: 6 min, movements: [easy march, shoulder roll, ankle pump]}
intervals:
  work: 20 s
  rest: 40 s
  movements: [heel dig, slow punch, {movement: toe tap side}, seat squeeze]
cool-down: {for: 6 min, movements: [slow march: 2 min, toe tap, ankle pump]}
"""
each_text = pytest.mark.parametrize("name", sorted(TEXTS))


def read(text):
    return parse_plan(text, "class.yaml", library=load_library)


def heavy(plan):
    found = review(plan, lay_out(plan))
    return {
        f.rule.id
        for f in found
        if f.severity is not Severity.NOTE and not f.acknowledged
    }


@cache
def weeks_of(name, *, missed=frozenset(), after_absence=False):
    """Return a plan and twelve weeks of it."""
    plan = read(TEXTS[name])
    return plan, block(plan, 12, missed=missed, after_absence=after_absence)


@each_text
def test_every_week_can_be_written_and_passes_the_review_as_the_first_does(name):
    """Read back from its own text, no week trips a rule the plan does not."""
    plan, weeks = weeks_of(name)
    told = heavy(plan)
    for week in weeks:
        written = read(rewritten(TEXTS[name], plan, week.plan, read))
        assert heavy(written) <= told, (name, week.number)
        assert written.title.endswith(f", week {week.number}")


@each_text
def test_no_week_is_a_large_step_or_two_at_once(name):
    """P01 and P03 of the review, asked of each week and the one before."""
    plan, weeks = weeks_of(name)
    for before, after in pairwise([plan, *(week.plan for week in weeks)]):
        found = review_step((before, lay_out(before)), (after, lay_out(after)))
        assert not {f.rule.id for f in found} & {"P01", "P03"}, name


@each_text
def test_easier_weeks_are_less_work_and_the_block_builds_up(name):
    """Every fourth week is easier; the last built-up week is more than the first."""
    plan, weeks = weeks_of(name)
    amounts = [work_ms(week.plan) for week in weeks]
    assert [week.number for week in weeks if week.easier] == [4, 8, 12]
    if easier(plan) != plan:
        assert amounts[3] < amounts[2]
        assert amounts[7] < amounts[6]
    assert amounts[4] == amounts[2]
    assert max(amounts) >= amounts[0]


@each_text
def test_a_week_grows_by_a_quarter_at_most_and_says_its_length(name):
    """Halls are booked; and what is stated is true."""
    plan, weeks = weeks_of(name)
    for week in weeks:
        assert length_ms(week.plan) <= LONGEST_GROWTH * length_ms(plan)
        if week.plan.lasts_ms is not None:
            assert abs(week.plan.lasts_ms - length_ms(week.plan)) <= 1000


def test_the_ladder_is_climbed_by_fives_and_by_halves_where_a_rung_is_too_high():
    """20/40 to 25/35 is a quarter more work: half the movements go first."""
    plan, weeks = weeks_of("gentle ladder")
    clocks = []
    for week in weeks:
        (section,) = [s for s in week.plan.sections if s.intervals]
        own = [m.duration_ms for m in section.movements]
        clocks.append((section.intervals.work_ms // 1000, own.count(25_000)))
    assert clocks[:3] == [(20, 0), (20, 2), (25, 0)]
    assert work_ms(weeks[1].plan) < work_ms(weeks[2].plan)
    assert (30, 0) in clocks
    assert plan == read(TEXTS["gentle ladder"])


@pytest.mark.parametrize("name", [*SHORT, "new 0", "six-lines"])
def test_after_a_gap_the_class_goes_on_a_step_lower(name):
    """P04 of the review finds nothing, not even where a class can hardly be less."""
    plan, weeks = weeks_of(name, missed=frozenset({4, 5}))
    assert [week.number for week in weeks if week.plan is None] == [4, 5]
    before, after = weeks[2].plan, weeks[5].plan
    assert weeks[5].after_gap
    found = review_step(
        (before, lay_out(before)), (after, lay_out(after)), after_absence=True
    )
    assert "P04" not in {f.rule.id for f in found}
    assert heavy(after) <= heavy(plan)
    assert plan == read(TEXTS[name])


def test_a_long_gap_takes_two_steps():
    """Three weeks away are more than two."""
    _, weeks = weeks_of("six-lines", missed=frozenset({4, 5}))
    _, longer = weeks_of("six-lines", missed=frozenset({4, 5, 6}))
    assert work_ms(longer[6].plan) < work_ms(weeks[5].plan)


def test_a_group_that_was_away_starts_a_step_lower():
    """And comes to the plan itself a week later."""
    plan, weeks = weeks_of("six-lines", after_absence=True)
    assert work_ms(weeks[0].plan) < work_ms(plan)
    assert work_ms(weeks[1].plan) == work_ms(plan)


@each_text
def test_a_slot_that_a_plan_states_is_kept_every_week(name):
    """To the second, and warm-up and cool-down lose a fifth at most."""
    plan, weeks = weeks_of(name)
    if plan.lasts_ms is None:
        plan = replace(plan, lasts_ms=length_ms(plan))
        weeks = block(plan, 8)
    for week in weeks:
        assert length_ms(week.plan) == length_ms(plan), week.number
        for was, now in zip(plan.sections, week.plan.sections, strict=True):
            if was.kind in {SectionKind.WARM_UP, SectionKind.COOL_DOWN}:
                times = [sum(m.duration_ms for m in s.movements) for s in (was, now)]
                assert times[1] >= 0.8 * times[0]


def test_new_people_get_one_round_more_at_most():
    """Whatever the weeks."""
    plan = read(TEXTS["six-lines"])
    plan = replace(plan, group=replace(plan.group, facts=("new",)))
    for week in block(plan, 20):
        for was, now in zip(plan.sections, week.plan.sections, strict=True):
            if was.intervals:
                assert now.intervals.rounds <= was.intervals.rounds + 1


def test_what_else_was_possible_is_told_of_a_step():
    """The first step of the six lines could have been another."""
    _, weeks = weeks_of("six-lines")
    assert weeks[0].others == ()
    assert "a movement more" in weeks[1].others
