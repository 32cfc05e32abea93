"""A plan's file is changed as wanted, and nothing else in it."""

from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st
from plan.strategies import legal_plan_texts

from cuetrack.documents.editing.writing import scalar_text
from cuetrack.errors import CuetrackError
from cuetrack.movements.library import load_library
from cuetrack.plan.reading import parse_plan
from cuetrack.planning.alternatives import Bounds, section_ways
from cuetrack.planning.editing import plainly, rewritten

EXAMPLES = sorted(Path(__file__).parents[2].joinpath("examples").glob("*.yaml"))
FEW = Bounds(work_ms=(25_000, 35_000), rest_ms=(30_000, 35_000), rounds=(1, 3))


def read(text):
    return parse_plan(text, "class.yaml", library=load_library)


def edited(text, change):
    """Return the text after ``change`` was made to the first section it names."""
    plan = read(text)
    return rewritten(text, plan, change(plan), read)


def clock(**values):
    """A change of the clock of the intervals."""

    def change(plan):
        return replace(
            plan,
            sections=tuple(
                replace(s, intervals=replace(s.intervals, **values))
                if s.intervals
                else s
                for s in plan.sections
            ),
        )

    return change


def without(*names):
    """A change that leaves movements of the intervals out."""

    def change(plan):
        return replace(
            plan,
            sections=tuple(
                replace(
                    s, movements=tuple(m for m in s.movements if m.name not in names)
                )
                if s.intervals
                else s
                for s in plan.sections
            ),
        )

    return change


def talks(ms):
    """A change of every welcome and close to one length."""

    def change(plan):
        return replace(
            plan,
            sections=tuple(
                replace(s, duration_ms=ms) if s.duration_ms is not None else s
                for s in plan.sections
            ),
        )

    return change


BLOCK = """\
# Ours.
title: A   # a remark

# Get warm.
warm-up: [easy march, shoulder roll]
intervals:
  work: 30 s      # not more
  movements:
    # the first
    - heel dig
    # two sides
    - movement: leg extension
      sides: [right leg, left leg]
    - "straight punch"
cool-down:
- easy march
- ankle pump: 1 min
"""


def test_a_time_is_changed_in_its_place_and_its_remark_stays():
    """One line differs, by its value only."""
    new = edited(BLOCK, clock(work_ms=35_000))
    assert new == BLOCK.replace("work: 30 s", "work: 35 s")


def test_a_key_that_is_missing_is_added_beside_its_like():
    """Rounds come behind the work, with its indentation."""
    new = edited(BLOCK, clock(rounds=3))
    assert "  work: 30 s      # not more\n  rounds: 3\n  movements:" in new


def test_what_is_left_out_stays_as_a_comment():
    """Every line of the movement is still there, behind a #."""
    new = edited(BLOCK, without("leg extension"))
    assert "    # Left out:\n    # - movement: leg extension\n" in new
    assert "    #   sides: [right leg, left leg]\n    - " in new


def test_left_out_of_a_list_on_one_line_is_gone_with_its_comma():
    """First, middle and last of a list on one line."""
    line = "title: A\nintervals: {movements: [heel dig, toe tap: 40 s, knee lift]}\n"
    assert "[toe tap: 40 s, knee lift]" in edited(line, without("heel dig"))
    assert "[heel dig, knee lift]" in edited(line, without("toe tap"))
    assert "[heel dig, toe tap: 40 s]" in edited(line, without("knee lift"))
    assert "[heel dig]" in edited(line, without("toe tap", "knee lift"))


def test_a_welcome_that_was_not_written_comes_before_the_comment_of_the_next_part():
    """And the close at the end; comments stay with what they are about."""
    new = edited(BLOCK, talks(70_000))
    assert "\nwelcome: 1 min 10 s\n\n# Get warm.\nwarm-up:" in new
    assert new.endswith("- ankle pump: 1 min\n\nclose: 1 min 10 s\n")


def test_times_shared_in_a_short_list_become_the_time_of_the_section():
    """A list on one line is put into a group; a list of lines keeps its lines."""

    def longer(plan):
        warm, cool = plan.sections[1], plan.sections[3]
        new_warm = replace(
            warm,
            movements=tuple(replace(m, duration_ms=180_000) for m in warm.movements),
        )
        march, pump = cool.movements
        new_cool = replace(cool, movements=(replace(march, duration_ms=200_000), pump))
        sections = list(plan.sections)
        sections[1], sections[3] = new_warm, new_cool
        return replace(plan, sections=tuple(sections))

    new = edited(BLOCK, longer)
    assert "warm-up: {for: 6 min, movements: [easy march, shoulder roll]}" in new
    assert "cool-down:\n  for: 4 min 20 s\n  movements:\n  - easy march\n" in new


def test_a_title_is_quoted_where_yaml_needs_it():
    """A colon in a title does not become a key."""
    new = edited(BLOCK, lambda plan: replace(plan, title="Week 2: more"))
    assert 'title: "Week 2: more"   # a remark' in new


@pytest.mark.parametrize(
    "text", ["no", "a: b", "x #y", "- a", "[a]", '"', "Ünì", "1:30"]
)
def test_a_quoted_text_reads_back_as_itself(text):
    """Whatever it holds, it comes back as a text."""
    assert read(f"title: {scalar_text(text)}\nwarm-up: [easy march]").title == text


def test_what_cannot_be_changed_safely_is_refused():
    """An anchor that another place uses: changing one would change both."""
    text = "title: A\nintervals: {work: &t 30 s, rest: *t, movements: [heel dig]}\n"
    with pytest.raises(CuetrackError, match="out in full, then try again"):
        edited(text, clock(work_ms=35_000))


def test_movements_without_a_time_of_their_own_are_told():
    """Those that share the time of their section, a stated hold being a time."""
    plan = read(BLOCK.replace("[easy march,", "[chest stretch: {hold: 20 s},"))
    plain = [s for s in plan.sections if s.intervals is None]
    names = {m.name for s in plain for m in s.movements if not m.says_time}
    assert names == {"easy march", "shoulder roll"}


@settings(max_examples=40, phases=[Phase.explicit, Phase.reuse, Phase.generate])
@given(legal_plan_texts(), st.randoms(use_true_random=False))
def test_any_way_of_any_legal_plan_can_be_written(text, random):
    """Every form people write, changed in every way fitting knows."""
    plan = read(text)
    sections = []
    for section in plan.sections:
        if section.duration_ms is not None and not section.movements:
            sections.append(replace(section, duration_ms=random.choice([5000, 83_500])))
        else:
            ways = section_ways(plan, section, FEW)
            sections.append(random.choice(ways).section)
    wanted = replace(plan, sections=tuple(sections))
    try:
        new = rewritten(text, plan, wanted, read)
    except CuetrackError:
        assert "&id" in text
        return
    assert plainly(read(new)) == plainly(wanted)


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_examples_keep_every_line_that_was_not_to_change(path):
    """Another work time changes one line of each example."""
    text = path.read_text("utf-8")
    plan = read(text)
    new = rewritten(text, plan, clock(work_ms=55_000)(plan), read)
    differing = [
        (was, now)
        for was, now in zip(text.splitlines(), new.splitlines(), strict=True)
        if was != now
    ]
    assert len(differing) == 1
    assert "work: 55 s" in differing[0][1]
