"""The review finds exactly what is wrong with a plan, and says so usefully."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from plan.strategies import legal_plans
from review.flawed import (
    FLAWS,
    changed,
    findings_of,
    flawed,
    placed_sheet,
    tripped,
    without,
)

from cuetrack import cuekinds
from cuetrack.cues.timeline import lay_out
from cuetrack.cues.tonekinds import ToneKind
from cuetrack.errors import PlacementError, PlanError
from cuetrack.movements.library import load_library
from cuetrack.plan.model import Acknowledgement
from cuetrack.plan.reading import read_plan
from cuetrack.plan.rule_ids import RULE_IDS
from cuetrack.review import change_rules
from cuetrack.review.model import Severity
from cuetrack.review.reviewing import (
    MIX_CHECKS,
    PLAN_CHECKS,
    SHEET_CHECKS,
    STALE,
    failing,
    refuse_unsafe,
    review,
    review_step,
    stopping,
)
from cuetrack.review.rulebook import rulebook

EXAMPLES = sorted(Path(__file__).parents[2].joinpath("examples").glob("*.yaml"))


def test_a_sound_plan_trips_nothing():
    """The base of every flawed plan is clean."""
    assert findings_of(changed()) == ()


@pytest.mark.parametrize("name", FLAWS)
def test_a_flaw_trips_its_rules_and_no_other(name):
    """Each flawed plan is told of exactly what is wrong with it."""
    assert tripped(findings_of(flawed(name))) == set(FLAWS[name]["trips"])


SILENCED = {
    cuekinds.SAFETY: {"S01", "S02", "S03"},
    cuekinds.REST: {"S04"},
    cuekinds.BREATH: {"S05"},
    cuekinds.TALK_CHECK: {"I03"},
    cuekinds.SIDE_CHANGE: {"M02"},
    cuekinds.PREVIEW: {"C02"},
    cuekinds.COUNT_IN: {"C03"},
    cuekinds.COUNTDOWN: {"C03"},
    cuekinds.EQUIPMENT: {"C05", "C06"},
}


@pytest.mark.parametrize("kind", SILENCED)
def test_what_is_not_said_is_missed(kind):
    """A sheet that lost a kind of cue trips the rules that listen for it."""
    weights = {"intervals/movements/3/equipment": "light hand weights"}
    plan = changed(weights, dropped=["intervals/movements/3/tempo"])
    assert findings_of(plan) == ()
    silent = without(placed_sheet(plan), kind)
    found = review(plan, silent.sheet.timeline, silent)
    assert tripped(found) == SILENCED[kind]


def test_a_voice_without_a_pause_is_told():
    """One cue that fills a work is too much."""
    plan = changed()
    sheet = placed_sheet(plan)
    work = next(s for s in sheet.sheet.timeline.segments if s.id == "intervals.r1.m1")
    long = tuple(
        replace(p, start_ms=work.start_ms, end_ms=work.end_ms)
        if p.cue.segment == work.id and p.cue.kind is cuekinds.FORM
        else p
        for p in sheet.placed
    )
    found = review(plan, sheet.sheet.timeline, replace(sheet, placed=long))
    assert "C07" in tripped(found)


def test_rounds_in_the_same_words_are_told():
    """What is coached in the last round must not be what was coached before it."""
    plan = changed()
    sheet = placed_sheet(plan)
    coached = (cuekinds.FORM, cuekinds.ENCOURAGEMENT, cuekinds.OPTION)
    first = [
        p
        for p in sheet.placed
        if p.cue.kind in coached and p.cue.segment.startswith("intervals.r1")
    ]
    starts_ms = {s.id: s.start_ms for s in sheet.sheet.timeline.segments}
    later_ms = starts_ms["intervals.r2.m1"] - starts_ms["intervals.r1.m1"]
    again = [
        replace(
            p,
            cue=replace(p.cue, segment=p.cue.segment.replace(".r1.", ".r2.")),
            start_ms=p.start_ms + later_ms,
            end_ms=p.end_ms + later_ms,
        )
        for p in first
    ]
    rest = [
        p
        for p in sheet.placed
        if p.cue.kind not in coached or not p.cue.segment.startswith("intervals.")
    ]
    alike = replace(sheet, placed=(*rest, *first, *again))
    assert tripped(review(plan, sheet.sheet.timeline, alike)) == {"C10"}


@pytest.mark.parametrize(
    ("factor", "trips"), [(0.5, {"A03"}), (1, set()), (2, {"A03"})]
)
def test_a_voice_is_neither_hurried_nor_dragged(factor, trips):
    """Twice and half the speed of a calm voice are told."""
    plan = changed()
    sheet = placed_sheet(plan)
    paced = tuple(
        replace(p, end_ms=p.start_ms + round(factor * (p.end_ms - p.start_ms)))
        for p in sheet.placed
    )
    found = review(plan, sheet.sheet.timeline, replace(sheet, placed=paced))
    assert tripped(found) - {"C02", "C05", "C07"} == trips


def test_music_near_the_voice_is_told_once_measured():
    """WCAG 2.2, 1.4.7: the background is at least 20 dB under the speech."""
    plan = changed()
    assert tripped(findings_of(plan, separations_lu=(25.0, 19.9))) == {"A01"}
    assert findings_of(plan, separations_lu=(25.0, 20.0)) == ()


def test_a_timeline_that_is_not_the_plans_is_told():
    """Sections that are laid out for another time do not add up."""
    other = lay_out(changed({"intervals/work": "35 s"}))
    assert "T17" in tripped(review(changed(), other))


def test_counting_by_ticks_counts():
    """Tones alone count to a start as well as words do."""
    plan = changed({"counting": "tones"})
    sheet = placed_sheet(plan)
    assert any(tone.kind is ToneKind.TICK for tone in sheet.sheet.tones)
    assert "C03" not in tripped(review(plan, sheet.sheet.timeline, sheet))


STEPS = {
    "P01": ({}, {"intervals/rounds": "3"}),
    "P02": ({}, {"intervals/work": "46 s"}),
    "P03": (
        {"intervals/work": "30 s", "intervals/rest": "30 s"},
        {"intervals/work": "36 s", "intervals/rest": "22 s"},
    ),
}


@pytest.mark.parametrize("rule", STEPS)
def test_a_step_that_is_too_much_is_told(rule):
    """Work that grows by half, by 15 %, and work up with rest down."""
    before, after = (changed(changes) for changes in STEPS[rule])
    found = review_step((before, lay_out(before)), (after, lay_out(after)))
    assert tripped(found) - {"P02"} == {rule} - {"P02"}
    assert rule in tripped(found)


def test_everything_up_at_once_is_told():
    """Longer work, one more round and a faster beat, though the sum grows little."""
    before = changed({"intervals/rounds": "6"})
    after = changed(
        {
            "intervals/rounds": "7",
            "intervals/work": "41 s",
            "intervals/movements/0/tempo": "110",
        }
    )
    found = review_step((before, lay_out(before)), (after, lay_out(after)))
    assert tripped(found) == {"P01", "P02"}


def test_steps_without_a_clock_are_no_steps():
    """Plans that only move and rest have no work to compare."""
    plan = changed(dropped=["intervals"])
    both = (plan, lay_out(plan))
    assert review_step(both, both, after_absence=True) == ()


def test_sides_that_got_different_times_are_told():
    """A timeline that gives one side ten seconds more is not fair."""
    plan = changed()
    timeline = lay_out(plan)
    stretch = [s for s in timeline.segments if s.activity == "cool-down.m3"]
    middle_ms = stretch[0].end_ms + 5_000
    moved = {
        stretch[0].id: replace(stretch[0], end_ms=middle_ms),
        stretch[1].id: replace(stretch[1], start_ms=middle_ms),
    }
    uneven = replace(
        timeline, segments=tuple(moved.get(s.id, s) for s in timeline.segments)
    )
    assert tripped(review(plan, uneven)) == {"M01"}


def test_a_step_of_the_ladder_is_fair():
    """From 35/25 to 40/20 is one step, 14 % more work."""
    before = changed({"intervals/work": "35 s", "intervals/rest": "25 s"})
    after = changed({"intervals/work": "40 s", "intervals/rest": "20 s"})
    found = review_step((before, lay_out(before)), (after, lay_out(after)))
    assert tripped(found) == {"P02"}


def test_after_a_gap_one_steps_back():
    """The same class again is too much, a smaller one is right."""
    before, less = changed(), changed({"intervals/work": "35 s"})
    same = review_step(*[(before, lay_out(before))] * 2, after_absence=True)
    assert tripped(same) == {"P04"}
    smaller = (less, lay_out(less))
    assert review_step((before, lay_out(before)), smaller, after_absence=True) == ()


def test_a_safe_form_that_is_not_said_is_told():
    """The plan says it by itself; a class whose words lost it is told of."""
    tags = {"group/facts": "new hip", "intervals/movements/2/tags": ["rotation"]}
    plan = changed(tags)
    assert findings_of(plan) == ()
    silent = [
        replace(s, movements=tuple(replace(m, caution=None) for m in s.movements))
        for s in plan.sections
    ]
    assert tripped(findings_of(replace(plan, sections=tuple(silent)))) == {"G03"}


def test_a_pacemaker_is_asked_about_where_arms_go_high():
    """The note names the movements; with low arms it only says whom to ask."""
    group = {"group/facts": ["a new pacemaker"]}
    (low,) = findings_of(changed(group))
    high = {"intervals/movements/3/how": "Both arms up over the top and down."}
    (told,) = findings_of(changed(group | high))
    assert low.rule.id == told.rule.id == "G02"
    assert told.what == f"{low.what} It concerns front punch."


def test_every_rule_is_tripped_by_some_test():
    """No rule stands in the table that was never seen to work."""
    seen = {rule for flaw in FLAWS.values() for rule in flaw["trips"]}
    seen |= {rule for rules in SILENCED.values() for rule in rules}
    seen |= {*STEPS, "P04", "G03", "A01", "A03", "C07", "C10"}
    assert seen == set(rulebook())


def test_rules_functions_and_known_ids_are_the_same():
    """The table, the functions and what a plan may acknowledge go together."""
    asked = {*PLAN_CHECKS, *SHEET_CHECKS, *MIX_CHECKS, *change_rules.CHECKS}
    assert {*asked, "P04", STALE} == set(rulebook()) == set(RULE_IDS)
    assert len(rulebook()) >= 80


@pytest.mark.parametrize("rule", rulebook().values(), ids=lambda rule: rule.id)
def test_a_rule_says_why_what_to_do_and_where_it_comes_from(rule):
    """Each is a sentence or more; only errors can stop a track."""
    assert rule.title
    assert rule.source
    for text in (rule.why, rule.remedy):
        assert text[0].isupper()
        assert text.endswith(".")
    assert not rule.safety or rule.severity is Severity.ERROR


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_an_example_passes_its_review(path):
    """No error that is not acknowledged, and no warning at all."""
    found = findings_of(read_plan(path, library=load_library()))
    assert failing(found) == ()
    assert not [
        f for f in found if f.severity is Severity.WARNING and not f.acknowledged
    ]


def test_an_error_is_stopped_until_it_is_answered():
    """A safety error stops a track; with a reason it is listed and stops nothing."""
    plan = flawed("warm-up under five minutes")
    (finding,) = findings_of(plan)
    assert stopping([finding]) == failing([finding]) == (finding,)
    with pytest.raises(PlanError, match="T01: The warm-up moves for 4 min"):
        refuse_unsafe(plan, [finding])
    answer = Acknowledgement(rule="T01", reason="We walk here together.")
    (answered,) = findings_of(replace(plan, acknowledged=(answer,)))
    assert answered.reason == "We walk here together."
    assert stopping([answered]) == failing([answered]) == ()
    refuse_unsafe(plan, [answered])


def test_an_error_that_hurts_nobody_fails_the_check_only():
    """A wrong sum is an error; a track may still be made."""
    found = findings_of(flawed("stated length that is wrong by far"))
    assert tripped(failing(found)) == {"T17"}
    assert stopping(found) == ()


def test_findings_stand_where_the_plan_has_them():
    """Line and column are those of the movement that is meant."""
    plan = flawed("head down by its words")
    (finding,) = findings_of(plan)
    turn = plan.sections[1].movements[2]
    assert turn.name == "slow turn"
    assert finding.place == turn.place
    assert finding.place.line > 20
    assert finding.segments == ("warm-up.m3",)


@settings(max_examples=20, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(legal_plans())
def test_a_placed_sheet_only_adds_its_own_rules(plan):
    """What plan and timeline answer is the same with a cue sheet beside them."""
    try:
        sheet = placed_sheet(replace(plan, language="en"))
    except PlacementError:
        return
    timeline = sheet.sheet.timeline
    found = review(plan, timeline, sheet)
    assert found == review(plan, timeline, sheet)
    alone = review(plan, timeline)
    assert [f for f in found if f.rule.id in PLAN_CHECKS] == [
        f for f in alone if f.rule.id in PLAN_CHECKS
    ]


@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(legal_plans())
def test_any_legal_plan_can_be_reviewed(plan):
    """The review never fails, says the same twice, and every rule can be answered."""
    timeline = lay_out(plan)
    found = review(plan, timeline)
    assert found == review(plan, timeline)
    answers = tuple(Acknowledgement(rule=name, reason="Seen.") for name in RULE_IDS)
    answered = review(replace(plan, acknowledged=answers), timeline)
    assert failing(answered) == stopping(answered) == ()
    assert tripped(found) - {"X01"} <= tripped(answered)
