"""Promises on the easier and the harder way: nobody is only asked for more."""

from pathlib import Path

import pytest
from cues.sheets import sheet_of
from cues.strategies import few, plans
from hypothesis import given

from cuetrack import cuekinds
from cuetrack.languages.phrases import inline
from cuetrack.pipeline.checking import cue_sheet, read_plan

PATHS = sorted((Path(__file__).parents[3] / "examples").glob("*.yaml"))


def ways(sheet):
    """Yield the movement of each option in turn, and whether it is the harder one."""
    movements = {each.id: each.movement for each in sheet.timeline.segments}
    for cue in sheet.cues:
        if cue.kind is cuekinds.OPTION:
            movement = movements[cue.segment]
            more = movement.harder and inline(movement.harder)
            yield movement, bool(more and more in cue.wordings[0].text)


def told_less_first(sheet):
    """The same words are not said again so soon, of whatever movement."""
    eased = set()
    for movement, harder in ways(sheet):
        assert not harder or not movement.easier or movement.easier in eased
        if not harder:
            eased.add(movement.easier)


@pytest.mark.parametrize("path", PATHS, ids=lambda path: path.stem)
def test_who_is_asked_for_more_was_told_how_to_do_less(path):
    """Common practice: the easier way is offered before the harder one."""
    told_less_first(cue_sheet(read_plan(path)))


@few
@given(plans())
def test_in_no_class_is_the_harder_way_the_first(plan):
    """Whatever has no room the first time comes before the harder way the second."""
    told_less_first(sheet_of(plan))


def test_a_movement_done_twice_with_effort_tells_its_easier_way():
    """A full first work leaves the easier way to the second."""
    sheet = cue_sheet(read_plan(PATHS[0].parent / "hall-band-thirty.yaml"))
    done = [each for each in sheet.timeline.segments if each.kind.name == "WORK"]
    twice = {
        each.movement.name
        for each in done
        if len({e.activity for e in done if e.movement.name == each.movement.name}) > 1
    }
    assert twice
    assert twice <= {movement.name for movement, harder in ways(sheet) if not harder}
