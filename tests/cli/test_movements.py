"""The library as a person searches it: what fits, one in full, and what was meant."""

from __future__ import annotations

import csv

import pytest

from cuetrack.cli.main import main
from cuetrack.languages.group_words import group_words
from cuetrack.languages.vocabulary import vocabulary
from cuetrack.movements.contraindications import contraindications
from cuetrack.movements.library import library_entries
from cuetrack.movements.strains import strains_of


def shown(capsys, *words):
    """Return the exit status and what stands on the screen, in one line."""
    status = main(["movements", *words])
    return status, " ".join(capsys.readouterr().out.split())


def test_every_movement_is_listed(capsys):
    """With how many there are, and what the scale of effort means."""
    status, text = shown(capsys)
    assert status == 0
    assert f"{len(library_entries())} movements." in text
    assert all(entry.name in text for entry in library_entries())
    assert "from 0 (sitting) to 10 (all out)" in text


def test_a_search_in_free_words(capsys):
    """What was understood stands above what was found."""
    status, text = shown(capsys, "legs,", "safe", "after", "hip", "replacement")
    assert status == 0
    assert text.startswith("Safe after hip replacement. Keep every knee below its hip.")
    assert "heel dig" in text
    assert "cycle legs" not in text


def test_a_search_by_words_and_what_to_avoid(capsys):
    """That may be given again; all of them count."""
    status, text = shown(
        capsys,
        "arms with weights",
        *("--without", "no shoulder work", "--without", "standing"),
    )
    assert status == 0
    assert "hammer curl" in text
    assert "chest press" not in text


def test_avoiding_something_defers_to_those_who_know_the_person(capsys):
    """A list is no advice."""
    assert "clinician" in shown(capsys, "no twisting")[1]
    assert "clinician" not in shown(capsys, "arms")[1]


@pytest.mark.parametrize("entry", library_entries(), ids=lambda entry: entry.name)
def test_one_movement_in_full(capsys, entry):
    """All it says, in any spelling of its name."""
    status, text = shown(capsys, entry.name.upper().replace("-", " "))
    assert status == 0
    movement = entry.movement
    for said in (movement.how, *movement.form, movement.easier, movement.caution):
        assert said is None or said in text
    for strain in strains_of(movement):
        assert strain.startswith("care_") or vocabulary().tags[strain] in text


def test_a_table_tells_whom_each_movement_suits(capsys, tmp_path):
    """A line for each movement, a column for each fact, and the sources below."""
    file = tmp_path / "suits.csv"
    status, text = shown(capsys, "--facts", str(file))
    assert status == 0
    assert "clinician" in text
    header, *rows = csv.reader(file.read_text("utf-8").splitlines())
    assert header[1:] == [group_words().says[fact] for fact in contraindications()]
    cells = {row[0]: dict(zip(header, row, strict=True)) for row in rows if row}
    assert cells.keys() > {entry.name for entry in library_entries()}
    assert cells["knee lift"]["a new hip"] == (
        "safe form: With a new hip, keep the knee below the hip"
    )
    assert cells["cycle legs"]["a new hip"].startswith("leave out: ")
    assert cells["tall sit"]["a new hip"] == "fine"


def test_a_table_has_one_kind_of_file(capsys, tmp_path):
    """And says which."""
    assert shown(capsys, "--facts", str(tmp_path / "suits.doc"))[0] == 2
    assert not list(tmp_path.iterdir())


def test_a_name_in_free_words_shows_the_movement_in_full(capsys):
    """When it is the only one."""
    status, text = shown(capsys, "side", "reach")
    assert status == 0
    assert "Slide the right hand down beside the chair." in text


@pytest.mark.parametrize("words", [("side", "reech"), ("side reech",)])
def test_a_slip_is_answered_with_what_was_meant(capsys, words):
    """Nothing was found, so the status is 1."""
    status, text = shown(capsys, *words)
    assert status == 1
    assert 'Did you mean "side reach"?' in text


@pytest.mark.parametrize("words", [("teapot",), ("neck", "towel"), ("no trombones",)])
def test_what_is_not_there_leads_to_the_whole_list(capsys, words):
    """No guess is made where nothing is near."""
    status, text = shown(capsys, *words)
    assert status == 1
    assert text.endswith("cuetrack movements")


@pytest.mark.parametrize(
    ("word", "answer"),
    [
        ("twistng", 'Did you mean "no twisting"?'),
        ("trombones", "Known: no shoulder work,"),
    ],
)
def test_a_word_nobody_knows_is_refused(capsys, word, answer):
    """With the nearest one or all of them; the command was wrong, so it is 2."""
    assert main(["movements", "--without", word]) == 2
    assert answer in " ".join(capsys.readouterr().err.split())


def test_own_movements_are_listed_with_the_others(capsys, tmp_path):
    """An own one stands in the place of that of the library."""
    own = tmp_path / "own.yaml"
    own.write_text(
        "- {movement: ribbon wave, how: Wave., regions: [arms], tags: [overhead]}\n"
        "- {movement: heel dig, how: Dig as we do., tags: [rapid]}\n",
        "utf-8",
    )
    status, text = shown(capsys, "--library", str(own))
    assert status == 0
    assert "ribbon wave" in text
    assert f"{len(library_entries()) + 1} movements." in text
    status, text = shown(capsys, "--library", str(own), "heel dig")
    assert "Dig as we do." in text
    status, text = shown(capsys, "--library", str(own), "no overhead work")
    assert "ribbon wave" not in text


def test_a_mistake_in_an_own_file_is_told_with_its_place(capsys, tmp_path):
    """As in a plan."""
    own = tmp_path / "own.yaml"
    own.write_text("- {movement: wave, tags: [overhed]}\n", "utf-8")
    assert main(["movements", "--library", str(own)]) == 1
    assert f"{own}:1:3: " in capsys.readouterr().err


def test_check_tells_of_movements_without_words(capsys, tmp_path):
    """A note with the place and the nearest name; the plan is still good."""
    path = tmp_path / "class.yaml"
    path.write_text("title: A\nwarm-up: [side reech, heel dig]\n", "utf-8")
    main(["check", str(path), "--details"])
    text = capsys.readouterr().out
    assert f'{path}:2:11: "side reech" has no words' in text
    assert 'Did you mean "side reach"?' in text
    assert '"heel dig" has no words' not in text
