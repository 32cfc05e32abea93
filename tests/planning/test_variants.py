"""Gentler and brisker versions do the same class side by side."""

from dataclasses import replace
from functools import cache
from itertools import pairwise
from pathlib import Path

import pytest
from planning.generated import wishes_of

from cuetrack import cuekinds
from cuetrack.cues.timeline import lay_out
from cuetrack.cues.writing.cuesheet import write_cues
from cuetrack.languages.phrases import load_phrases
from cuetrack.movements.library import load_library
from cuetrack.plan.model import Options, Pace
from cuetrack.plan.reading import parse_plan
from cuetrack.planning.editing import rewritten
from cuetrack.planning.fitting import length_ms
from cuetrack.planning.generating import generate
from cuetrack.planning.steps import work_ms
from cuetrack.planning.variants import Manner, version
from cuetrack.review.model import Severity
from cuetrack.review.reviewing import review

EXAMPLES = sorted(Path(__file__).parents[2].joinpath("examples").glob("*.yaml"))
TEXTS = {path.stem: path.read_text("utf-8") for path in EXAMPLES}
TEXTS |= {f"new {n}": generate(wishes_of(n), n) for n in range(6)}
each_text = pytest.mark.parametrize("name", sorted(TEXTS))
each_manner = pytest.mark.parametrize("manner", list(Manner))


def read(text):
    return parse_plan(text, "class.yaml", library=load_library)


@cache
def versions(name, manner):
    text = TEXTS[name]
    plan = read(text)
    wanted = version(plan, manner)
    return plan, read(rewritten(text, plan, wanted, read))


def heavy(plan):
    found = review(plan, lay_out(plan))
    return {f.rule.id for f in found if f.severity is not Severity.NOTE}


@each_text
@each_manner
def test_movements_rounds_and_length_are_the_same(name, manner):
    """To the millisecond, as read back from the new text."""
    plan, other = versions(name, manner)
    assert length_ms(other) == length_ms(plan)
    for was, now in zip(plan.sections, other.sections, strict=True):
        assert [m.name for m in was.movements] == [m.name for m in now.movements]
        if was.intervals:
            assert was.intervals.rounds == now.intervals.rounds


@each_text
@each_manner
def test_rounds_begin_together_within_seconds(name, manner):
    """So that one leader can count both groups in: ten seconds at most."""
    plan, other = versions(name, manner)
    for one, two in zip(round_starts(plan), round_starts(other), strict=True):
        assert abs(one - two) <= 10_000


def round_starts(plan):
    works = [s for s in lay_out(plan).segments if s.kind == "work"]
    first = [works[0], *(b for a, b in pairwise(works) if a.round != b.round)]
    return [segment.start_ms for segment in first]


@each_text
@each_manner
def test_the_review_finds_nothing_new(name, manner):
    """No error and no warning that the plan does not have."""
    plan, other = versions(name, manner)
    assert heavy(other) <= heavy(plan)


@each_text
def test_gentler_is_less_work_and_brisker_never_less(name):
    """Less work, calmer, the easier way first; and the other way round."""
    plan, gentler = versions(name, Manner.GENTLER)
    _, brisker = versions(name, Manner.BRISKER)
    assert work_ms(gentler) < work_ms(plan) <= work_ms(brisker)
    assert (gentler.pace, gentler.options) == (Pace.CALM, Options.EASIER)
    told = plan.options if "new" in plan.group.facts else Options.HARDER
    assert (brisker.pace, brisker.options) == (Pace.LIVELY, told)


def test_brisker_never_tells_new_people_the_harder_way_first():
    """Of the same plan, a group that is used to it is told."""
    plan = read(TEXTS["six-lines"])
    new = replace(plan, group=replace(plan.group, facts=("new",)))
    assert version(new, Manner.BRISKER).options is Options.USUAL
    assert version(plan, Manner.BRISKER).options is Options.HARDER


def test_brisker_works_more_where_that_is_wise():
    """Five seconds from the rest to the work."""
    plan, brisker = versions("six-lines", Manner.BRISKER)
    assert work_ms(brisker) > work_ms(plan)


def test_the_easier_way_comes_first_where_the_plan_asks_for_it():
    """Before the first form point of a work without sides; usually after it.

    Where there is time for one of them alone before the last call, it is always first:
    nobody has any use for it in the last ten seconds.
    """
    plan, gentler = versions("hall-twenty", Manner.GENTLER)
    assert order_in_first_work(plan)[:2] == ["form", "option"]
    assert order_in_first_work(gentler)[:2] == ["option", "form"]
    for short_works in versions("six-lines", Manner.GENTLER):
        assert order_in_first_work(short_works)[:2] == ["option", "form"]


def order_in_first_work(plan):
    sheet = write_cues(plan, lay_out(plan), load_phrases("en"), str)
    works = (s for s in sheet.timeline.segments if s.kind == "work")
    first = next(s for s in works if s.side is None)
    told = [
        cue
        for cue in sheet.cues
        if cue.segment == first.id and cue.kind in {cuekinds.FORM, cuekinds.OPTION}
    ]
    return [cue.kind.name for cue in sorted(told, key=lambda cue: cue.wanted_ms)]
