"""A leader's own file of movements is read with the care a plan is read with."""

from pathlib import Path

import jsonschema
import pytest
import yaml
from hypothesis import given
from hypothesis import strategies as st

from cuetrack.documents.schema import schema_text
from cuetrack.errors import PlanError
from cuetrack.languages.folders import language_file
from cuetrack.movements import library
from cuetrack.movements.joining import FACTS
from cuetrack.movements.library import (
    library_entries,
    library_schema,
    parse_movements,
    read_movements,
)
from cuetrack.plan.reading import read_plan

OWN = """\
movements:
  - movement: ribbon wave
    other names: [scarf wave]
    sides: each arm
    how: Draw a slow wave with one hand.
    equipment: a ribbon
    or with: [none, towel]
    usual time: 40 s
    hold for: 2 s
    regions: [arms]
    tags: [one_sided]
  - movement: heel dig
    how: Dig your heel as we do it in the hall.
"""
PLAN = """\
title: A
library: own.yaml
warm-up: [scarf waves, heel dig, toe tap]
"""


def said(text):
    with pytest.raises(PlanError) as caught:
        parse_movements(text, "m")
    return [str(problem) for problem in caught.value.problems]


def write(folder, plan=PLAN, own=OWN):
    (folder / "own.yaml").write_text(own, "utf-8")
    path = folder / "plan.yaml"
    path.write_text(plan, "utf-8")
    return path


def test_every_key_of_an_own_movement_is_kept(tmp_path):
    """Names, sides, equipment, times, regions and tags."""
    write(tmp_path)
    wave, dig = read_movements(tmp_path / "own.yaml")
    assert wave.names == ("ribbon wave", "scarf wave")
    assert wave.movement.sides == ("right arm", "left arm")
    assert wave.equipment == ("a ribbon", "towel")
    assert wave.empty_hands
    assert (wave.usual_ms, wave.hold_ms) == (40_000, 2_000)
    assert wave.movement.tags == ("one_sided",)
    assert dig.empty_hands
    assert not dig.alternating


def test_a_bare_list_is_a_file_of_movements_too():
    """The first line need not be "movements:"."""
    (entry,) = parse_movements("- {movement: wave, sides: alternating}", "m")
    assert entry.alternating
    assert entry.movement.sides == ()


def test_sides_may_have_names_of_their_own():
    """As in a plan."""
    (entry,) = parse_movements("- {movement: wave, sides: [window, door]}", "m")
    assert entry.movement.sides == ("window", "door")


@pytest.mark.parametrize(
    ("text", "problem"),
    [
        (
            "- movement: wave\n  tmepo: 100",
            (
                'm:2:3: "tmepo" is not a key of a movement of a library. '
                'Did you mean "tempo"?'
            ),
        ),
        (
            "- movement: wave\n  role: dance",
            (
                'm:2:9: "role" is "dance", and should be warm-up or energiser or '
                "strength or trunk or stretch or recovery. Known here: warm-up, "
                "energiser, strength, trunk, stretch, recovery."
            ),
        ),
        (
            "- how: Wave.",
            (
                'm:1:3: "movement" is missing from a movement of a library. Add a line '
                '"movement: ...". Its name, as it is said.'
            ),
        ),
        (
            "- movement: wave\n- movement: bow\n  other names: waves",
            (
                'm:2:3: "waves" names two movements, first in line 1. '
                "Give one another name."
            ),
        ),
        (
            "- movement: wave\n  sides: left",
            (
                'm:2:10: "sides" is "left", and should be both, each or two names. '
                "Write both, each, or two names such as [right leg, left leg]."
            ),
        ),
        (
            "- movement: '?!'",
            'm:1:3: "?!" has no letter or digit in it. Give it a name to say.',
        ),
        (
            "wave",
            (
                'm:1:1: This is no file of movements: here is the single value "wave". '
                'Start each movement with a line "- movement: NAME".'
            ),
        ),
        (
            "movement: wave",
            (
                'm:1:1: "movement" is not a key of a file of movements. '
                'Did you mean "movements"?'
            ),
        ),
    ],
)
def test_a_mistake_is_told_with_its_place(text, problem):
    """Line, column, what is wrong and what to do."""
    assert said(text) == [problem]


def test_all_mistakes_are_told_at_once():
    """In file order."""
    found = said("- movement: wave\n  efort: 3\n- movement: bow\n  tempo: fast")
    assert [problem[:5] for problem in found] == ["m:2:3", "m:4:1"]


@pytest.mark.parametrize(
    ("word", "problem"),
    [
        ("tags: [overhed]", '"overhed" is not a tag. Did you mean "overhead"?'),
        (
            "regions: [sholders]",
            '"sholders" is not a region of the body. Did you mean "shoulders"?',
        ),
    ],
)
def test_a_slip_in_a_safety_word_is_told(tmp_path, word, problem):
    """A tag that nothing knows would protect nobody."""
    path = tmp_path / "own.yaml"
    path.write_text(f"- movement: wave\n  {word}\n", "utf-8")
    with pytest.raises(PlanError, match=r"own\.yaml:1:3") as caught:
        read_movements(path)
    assert problem in str(caught.value)


def test_regions_of_a_language_without_a_list_are_free(tmp_path):
    """Tags mean the same in all of them."""
    path = tmp_path / "own.yaml"
    path.write_text("- {movement: winken, regions: [Schultern]}", "utf-8")
    (entry,) = read_movements(path, "de")
    assert entry.movement.regions == ("Schultern",)


def test_a_plan_takes_its_own_file_first(tmp_path):
    """Then the library, then nothing."""
    plan = read_plan(write(tmp_path), library=library.load_library)
    wave, dig, tap = plan.sections[1].movements
    assert wave.how == "Draw a slow wave with one hand."
    assert dig.how == "Dig your heel as we do it in the hall."
    assert tap.how == library.find("toe tap").movement.how
    assert wave.duration_ms == dig.duration_ms == tap.duration_ms == 100_000


def test_mistakes_of_the_plan_and_of_its_file_are_told_together(tmp_path):
    """Each with its own file's name."""
    path = write(tmp_path, PLAN + "vioce: joe\n", "- movement: wave\n  efort: 3\n")
    with pytest.raises(PlanError) as caught:
        read_plan(path)
    told = sorted(
        (p.file.rsplit("/")[-1].rsplit("\\")[-1], p.line) for p in caught.value.problems
    )
    assert told == [("own.yaml", 2), ("plan.yaml", 4)]


def test_a_file_that_is_not_there_is_told_in_the_plan(tmp_path):
    """With the nearest name beside it."""
    path = write(tmp_path, PLAN.replace("own.yaml", "owm.yaml"))
    with pytest.raises(PlanError) as caught:
        read_plan(path)
    (problem,) = caught.value.problems
    assert (problem.line, problem.column) == (2, 10)
    assert problem.what == 'The library file "owm.yaml" is not there.'
    assert problem.remedy == 'Did you mean "own.yaml"?'


def test_a_folder_is_no_file_of_movements(tmp_path):
    """It is said so."""
    (tmp_path / "own").mkdir()
    path = write(tmp_path, PLAN.replace("own.yaml", "own"))
    with pytest.raises(PlanError, match="is a folder"):
        read_plan(path)


def test_the_library_itself_fits_the_published_schema():
    """And the schema in the repository is the one the table makes."""
    schema = library_schema()
    jsonschema.Draft202012Validator.check_schema(schema)
    check = jsonschema.Draft202012Validator(schema)
    folder = language_file("en", "movements")
    for part in library.PARTS:
        words = yaml.load((folder / f"{part}.yaml").read_text("utf-8"), yaml.BaseLoader)
        facts = yaml.load((FACTS / f"{part}.yaml").read_text("utf-8"), yaml.BaseLoader)
        check.validate([each | facts[each["movement"]] for each in words])
    check.validate(yaml.safe_load(OWN))
    stored = Path(library.__file__).with_name("library.schema.json")
    assert stored.read_text("utf-8") == schema_text(library_schema())


def test_the_schema_refuses_what_the_reader_refuses():
    """An unknown key, and a movement without a name."""
    check = jsonschema.Draft202012Validator(library_schema())
    assert not check.is_valid([{"movement": "wave", "tmepo": 100}])
    assert not check.is_valid([{"how": "Wave."}])


def test_the_library_is_read_once():
    """Asked again it is the same."""
    assert library_entries() is library_entries()


@given(st.integers(0, len(OWN)), st.integers(0, 30), st.text(max_size=12))
def test_whatever_is_in_a_file_it_is_read_or_told(start, length, instead):
    """Text cut out and put in anywhere gives movements or problems with places."""
    text = OWN[:start] + instead + OWN[start + length :]
    entries, problems = (), ()
    try:
        entries = parse_movements(text, "m")
    except PlanError as error:
        problems = error.problems
    assert all(entry.name for entry in entries)
    assert all(problem.file == "m" and problem.remedy for problem in problems)
    assert entries or problems


@pytest.mark.parametrize("text", ["", "\n", "# Ours.\n\n  # More.\n", "---\n"])
def test_a_file_without_movements_is_told(text):
    """And how the first one would start."""
    (problem,) = said(text)
    assert problem.startswith("m:1:1: This file holds no movements.")
    assert problem.endswith('with a line "- movement: NAME".')
