"""The examples are classes that a beginner can read and a hall can use."""

import re
from pathlib import Path

import pytest

from cuetrack.cues.timeline import lay_out
from cuetrack.plan.model import SectionKind
from cuetrack.plan.reading import read_plan

FOLDER = Path(__file__).parents[2] / "examples"
PATHS = sorted(FOLDER.glob("*.yaml"))
WORDS_A_SECOND = 2.4

each_example = pytest.mark.parametrize("path", PATHS, ids=lambda path: path.stem)


@pytest.mark.parametrize(
    ("name", "minutes"),
    [("gentle-ten", 10), ("hall-twenty", 20), ("hall-twenty-five", 25)],
)
def test_an_example_is_about_as_long_as_its_name_says(name, minutes):
    """Within a minute."""
    length_ms = lay_out(read_plan(FOLDER / f"{name}.yaml")).end_ms
    assert abs(length_ms - 60_000 * minutes) <= 60_000


def test_six_lines_are_six():
    """The promise of the shortest plan."""
    assert len((FOLDER / "six-lines.yaml").read_text("utf-8").splitlines()) == 6


@pytest.mark.parametrize(
    ("name", "work_ms", "rest_ms"),
    [("gentle-ten", 30_000, 30_000), ("hall-twenty", 40_000, 20_000)],
)
def test_the_clock_of_an_example_is_as_announced(name, work_ms, rest_ms):
    """30/30 in the gentle class, 40/20 in the other."""
    sections = read_plan(FOLDER / f"{name}.yaml").sections
    (clock,) = [s.intervals for s in sections if s.intervals]
    assert (clock.work_ms, clock.rest_ms) == (work_ms, rest_ms)


@each_example
def test_a_preview_can_be_said_in_the_rest(path):
    """Name, the shorter how-to and the option fit in the rest less five seconds."""
    for section in read_plan(path).sections:
        if section.intervals is None:
            continue
        for movement in section.movements:
            how = movement.how_short or movement.how or ""
            text = f"Next {movement.name} {how} or {movement.easier or ''}"
            rest_ms = movement.rest_ms or section.intervals.rest_ms
            assert len(text.split()) <= (rest_ms / 1000 - 5) * WORDS_A_SECOND


@each_example
def test_a_held_stretch_lasts_twenty_to_thirty_seconds_a_side(path):
    """Common practice for a seated stretch."""
    for section in read_plan(path).sections:
        for movement in section.movements:
            if movement.hold:
                side_ms = movement.duration_ms / max(1, len(movement.sides))
                assert 20_000 <= side_ms <= 30_000


@each_example
def test_the_finish_starts_with_moving_feet(path):
    """No class goes straight from work to a still stretch; common practice."""
    (cool_down,) = [
        s for s in read_plan(path).sections if s.kind is SectionKind.COOL_DOWN
    ]
    first = cool_down.movements[0]
    assert "march" in first.name
    assert first.duration_ms >= 60_000


@each_example
def test_the_words_are_those_of_one_adult_to_another(path):
    """No baby talk; common practice in teaching older adults."""
    text = path.read_text("utf-8").casefold()
    unwanted = r"\b(sweetie|dear|young lady|good (girl|boy)|tiny|our|let's|we)\b"
    assert re.search(unwanted, text) is None


def test_the_hall_class_shows_what_a_plan_can_say():
    """Sides, hand weights, a cue of one's own, a pronunciation, things to bring."""
    plan = read_plan(FOLDER / "hall-twenty.yaml")
    (main,) = [s for s in plan.sections if s.intervals]
    assert sum(bool(m.sides) for m in main.movements) == 1
    assert sum(m.equipment == "light hand weights" for m in main.movements) == 2
    assert main.free_cues
    assert dict(plan.pronunciations)["Maud"] == "mawd"
    assert plan.bring
