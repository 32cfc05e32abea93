"""Search, new classes, the review and every change of a plan ask one table."""

from __future__ import annotations

from random import Random

import pytest

from cuetrack.cues.timeline import lay_out
from cuetrack.languages.group_words import group_words
from cuetrack.languages.vocabulary import vocabulary
from cuetrack.movements.contraindications import (
    Suits,
    contraindications,
    facts_named,
    verdict,
)
from cuetrack.movements.library import library_entries, load_library
from cuetrack.movements.library_search import Wanted, caution_named, fitting
from cuetrack.plan.reading import parse_plan
from cuetrack.planning.alternatives import Bounds, leaving_out
from cuetrack.planning.choosing import ALWAYS_AVOIDED, UNSTEADY, pool_for, works_for
from cuetrack.planning.ordering import changes_seat
from cuetrack.planning.progression import block
from cuetrack.planning.request import ClassRequest
from cuetrack.planning.variants import Manner, version
from cuetrack.review.case import tags_of
from cuetrack.review.group_rules import CHECKS
from cuetrack.review.reviewing import review

ENTRIES = library_entries()
FACTS = tuple(contraindications())
TABLE_RULES = set(CHECKS) - {"G01", "G02", "G03"}
EQUIPMENT = tuple(vocabulary().equipment)


def plan_of(fact, *names):
    lines = "\n".join(f'    - movement: "{name}"' for name in names)
    text = f"""title: Agreement at Larkfield Hall
group: {{facts: ["{fact}"]}}
warm-up: {{for: 5 min, movements: [ankle pump]}}
intervals:
  work: 40 s
  rest: 40 s
  rounds: 1
  movements:
{lines}
cool-down: {{for: 5 min, movements: [toe tap]}}
"""
    return parse_plan(text, "agreed.yaml", library=load_library)


def against(plan):
    """Return the movements that the review speaks against for the group."""
    found = review(plan, lay_out(plan))
    return {
        (f.rule.id, f.what.split(", with ")[0])
        for f in found
        if f.rule.id in TABLE_RULES
    }


def left_out_by_table(fact):
    return {
        entry.name
        for entry in ENTRIES
        if verdict(entry.movement, fact).suits is Suits.LEAVE_OUT
    }


@pytest.mark.parametrize("fact", FACTS)
def test_search_new_and_weeks_take_what_the_table_leaves(fact):
    """Every movement: found and chosen if, and only if, it is not left out."""
    gone = left_out_by_table(fact)
    if contraindications()[fact].rows:
        asked = Wanted(without=(caution_named(fact),))
        found = {entry.name for entry in fitting(ENTRIES, asked)}
        assert found == {entry.name for entry in ENTRIES} - gone
    wishes = ClassRequest(facts=(fact,), equipment=EQUIPMENT)
    pool = {entry.name for entry in pool_for(wishes).entries}
    usual = {e.name for e in ENTRIES if ALWAYS_AVOIDED.isdisjoint(tags_of(e.movement))}
    seated_back = {e.name for e in ENTRIES if not changes_seat(e)}
    assert pool == (usual - gone) & (seated_back if fact in UNSTEADY else usual)
    chosen = works_for(wishes, pool_for(wishes), Random(1))
    assert {entry.name for entry in chosen}.isdisjoint(gone)


@pytest.mark.parametrize("fact", FACTS)
def test_check_fit_and_versions_speak_as_the_table_does(fact):
    """Every movement: the review, what fit leaves out first, gentler and brisker."""
    gone = left_out_by_table(fact)
    for start in range(0, len(ENTRIES), 30):
        names = [entry.name for entry in ENTRIES[start : start + 30]]
        unsuitable = gone.intersection(names)
        plan = plan_of(fact, *names)
        assert {name for _, name in against(plan)} == unsuitable
        section = next(s for s in plan.sections if s.intervals)
        first = leaving_out(section, Bounds(fewest_movements=1), plan)[len(unsuitable)]
        assert {m.name for m in section.movements if m.place in first} == unsuitable


@pytest.mark.parametrize("fact", FACTS)
@pytest.mark.parametrize("manner", Manner)
def test_gentler_and_brisker_keep_the_verdicts(fact, manner):
    """A whole library of movements, in one class."""
    names = [entry.name for entry in ENTRIES[:30]]
    plan = plan_of(fact, *names)
    changed = version(plan, manner)
    assert against(changed) == against(plan)
    assert [m.caution for s in changed.sections for m in s.movements] == [
        m.caution for s in plan.sections for m in s.movements
    ]


@pytest.mark.parametrize("fact", FACTS)
def test_weeks_add_nothing_the_review_speaks_against(fact):
    """No week has a movement for this group that the first has not."""
    plan = plan_of(fact, "heel dig", "biceps curl", "toe raise", "slow punch")
    first = against(plan)
    for week in block(plan, 6):
        if week.plan is not None:
            assert against(week.plan) <= first


@pytest.mark.parametrize("fact", FACTS)
def test_a_safe_form_is_said(fact):
    """What makes a movement safe is in the words of the plan, however it is named."""
    forms = group_words().safe_forms
    (clock,) = [
        section
        for section in plan_of(fact, *(e.name for e in ENTRIES)).sections
        if section.intervals
    ]
    for entry, movement in zip(ENTRIES, clock.movements, strict=True):
        told = verdict(entry.movement, fact)
        caution = movement.caution or ""
        if fact not in facts_named(entry.movement.caution or ""):
            caution = caution.removeprefix(entry.movement.caution or "")
        texts = (movement.how, *movement.form, movement.breathing, caution)
        said = " ".join(filter(None, texts)).casefold()
        for way in told.ways:
            assert way == "own" or any(w in said for w in forms[way].said)


def test_what_was_not_asked_keeps_its_caution():
    """Silence keeps a caution; only an answer takes it out, and never a stop sign."""
    silent = plan_of("new", "overhead press")
    denied = parse_plan(
        "title: A\ngroup: {not: [sore shoulders, anything else]}\n"
        "warm-up: {for: 5 min, movements: [overhead press, band pull apart]}\n",
        "denied.yaml",
        library=load_library,
    )
    (press, *_) = next(s.movements for s in silent.sections if s.intervals)
    assert press.caution == "With a sore shoulder, press forward, not up"
    (press, pull) = denied.sections[1].movements
    assert press.caution is None
    assert pull.caution == "Never let go of a tight band"


def test_a_break_between_rounds_is_made_safe_too():
    """The movement of a break says what its group needs."""
    text = """title: A
group: bad hips
intervals:
  rounds: 2
  between rounds: {for: 60 s, with: knee lift}
  movements: [toe raise]
"""
    plan = parse_plan(text, "break.yaml", library=load_library)
    (clock,) = [s.intervals for s in plan.sections if s.intervals]
    assert "below its hip" in clock.between_rounds.movement.caution
