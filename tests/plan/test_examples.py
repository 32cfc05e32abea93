"""The examples are classes that a beginner can read and a hall can use."""

from pathlib import Path

import pytest

from cuetrack.cues.timeline import lay_out
from cuetrack.movements.library import (
    find,
    load_library,
    read_movements,
)
from cuetrack.movements.unknown import unknown_movements
from cuetrack.plan.model import SectionKind
from cuetrack.plan.reading import read_plan

FOLDER = Path(__file__).parents[2] / "examples"
PATHS = sorted(FOLDER.glob("*.yaml"))
WORDS_A_SECOND = 2.4


def read(path):
    return read_plan(path, library=load_library)


each_example = pytest.mark.parametrize("path", PATHS, ids=lambda path: path.stem)


@pytest.mark.parametrize(
    ("name", "minutes"),
    [("gentle-ten", 10), ("hall-twenty", 20), ("hall-twenty-five", 25)],
)
def test_an_example_is_about_as_long_as_its_name_says(name, minutes):
    """Within a minute."""
    length_ms = lay_out(read(FOLDER / f"{name}.yaml")).end_ms
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
    sections = read(FOLDER / f"{name}.yaml").sections
    (clock,) = [s.intervals for s in sections if s.intervals]
    assert (clock.work_ms, clock.rest_ms) == (work_ms, rest_ms)


@each_example
def test_a_preview_can_be_said_in_the_rest(path):
    """Name, the shorter how-to and the option fit in the rest less five seconds."""
    for section in read(path).sections:
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
    for section in read(path).sections:
        for movement in section.movements:
            if movement.hold:
                side_ms = movement.duration_ms / max(1, len(movement.sides))
                turning_ms = 10_000 if movement.between_sides else 0
                assert 20_000 <= side_ms - turning_ms <= 30_000


@each_example
def test_the_finish_starts_with_moving_feet(path):
    """No class goes straight from work to a still stretch; common practice."""
    (cool_down,) = [s for s in read(path).sections if s.kind is SectionKind.COOL_DOWN]
    first = cool_down.movements[0]
    assert "march" in first.name
    assert first.duration_ms >= 60_000


@each_example
def test_everybody_is_told_how_to_do_what_an_example_names(path):
    """Every movement is in the library or carries its own words."""
    assert unknown_movements(read(path).movements(), "en") == ()


@each_example
def test_an_example_says_nothing_the_library_would_say(path):
    """What is written of a movement differs from what it has without."""
    for section in read_plan(path).sections:
        for movement in section.movements:
            known = find(movement.name)
            for attribute in ("how", "how_short", "form", "easier", "harder"):
                written = getattr(movement, attribute)
                if written and known:
                    assert written != getattr(known.movement, attribute)


def test_the_hall_class_shows_what_a_plan_can_say():
    """Sides, hand weights, a cue of one's own, a pronunciation, things to bring."""
    plan = read(FOLDER / "hall-twenty.yaml")
    (main,) = [s for s in plan.sections if s.intervals]
    assert sum(bool(m.sides) for m in main.movements) == 1
    assert sum(m.equipment == "light hand weights" for m in main.movements) == 2
    assert main.free_cues
    assert dict(plan.pronunciations)["Maud"] == "mawd"
    assert plan.bring


def test_the_movements_of_a_hall_can_be_read_and_used(tmp_path):
    """As its comments say: by a plan beside the folder, before the library."""
    (wave, dig) = read_movements(FOLDER / "movements" / "larkfield.yaml")
    assert wave.movement.sides == ("right arm", "left arm")
    assert wave.empty_hands
    plan = tmp_path / "plan.yaml"
    own = (FOLDER / "movements").as_posix()
    plan.write_text(
        f"title: A\nlibrary: {own}/larkfield.yaml\nwarm-up: [scarf wave, heel digs]\n",
        "utf-8",
    )
    first, second = read(plan).sections[1].movements
    assert (first.how, second.how) == (wave.movement.how, dig.movement.how)
