"""Words of a language and what movements do to a body come together by one name."""

import pytest
import yaml

from cuetrack.documents.names import movement_key
from cuetrack.documents.tree import read_tree
from cuetrack.errors import PlanError
from cuetrack.movements.joining import FACTS, with_facts
from cuetrack.movements.library import PARTS, library_entries, load_library

GERMAN = """\
- id: leg extension
  movement: Bein strecken
  how: Das Knie langsam strecken, dann beugen.
- id: biceps curl
  movement: Arme beugen
  how: Die Hände heben, dann langsam senken.
  effort: 3
"""


@pytest.fixture
def in_german(tmp_path, monkeypatch):
    """Two movements in German, each in the file of its part."""
    monkeypatch.setenv("CUETRACK_LANGUAGES", str(tmp_path))
    folder = tmp_path / "de" / "movements"
    folder.mkdir(parents=True)
    legs, arms = GERMAN.split("- id: biceps")
    (folder / "legs.yaml").write_text(legs, "utf-8")
    (folder / "arms.yaml").write_text(f"- id: biceps{arms}", "utf-8")
    (tmp_path / "de" / "vocabulary.yaml").write_text(
        "regions: {thighs: [Oberschenkel]}\nregion groups: {Beine: [thighs]}\n"
        "equipment: {light hand weights: [Hanteln]}\n"
        "equipment names: {light hand weights: leichte Hanteln}\n"
        "tags: {}\ncautions: []\nrefusing: [ohne]\nsafe: []\nfillers: []\n",
        "utf-8",
    )
    return folder


def test_words_of_another_language_bring_the_facts_along(in_german):
    """Body, clock and sides are those of English; what is said is German."""
    assert in_german.is_dir()
    curl, leg = library_entries("de-AT")
    english = load_library("en")
    for entry, name in ((curl, "biceps curl"), (leg, "leg extension")):
        assert entry.movement.regions == english[movement_key(name)].regions
        assert entry.movement.tags == english[movement_key(name)].tags
        assert entry.movement.role is english[movement_key(name)].role
        assert entry.movement.sides == english[movement_key(name)].sides
    assert leg.name == "Bein strecken"
    assert curl.movement.equipment == "leichte Hanteln"
    assert load_library("de")[movement_key(leg.name)].how.startswith("Das Knie")


def test_words_may_say_what_is_otherwise(in_german):
    """What stands beside the words comes before the facts."""
    assert in_german.is_dir()
    assert library_entries("de")[0].movement.effort == 3


def test_a_name_without_facts_is_told_with_the_nearest(tmp_path):
    """By file and line, since a movement without its cautions is no small slip."""
    file = str(tmp_path / "legs.yaml")
    tree = read_tree("- id: leg extention\n  movement: Bein strecken\n", file)
    with pytest.raises(PlanError) as caught:
        with_facts(tree, "legs", file)
    assert str(caught.value) == (
        f'{file}:1:3: There are no facts of a movement "leg extention". '
        'Did you mean "leg extension"?'
    )


def test_a_movement_of_its_own_may_hold_both(tmp_path):
    """A language may add a movement that the others do not have."""
    tree = read_tree("- movement: Storchenschritt\n  regions: [hips]\n", "legs.yaml")
    assert with_facts(tree, "legs", "legs.yaml") == tree
    assert tmp_path.is_dir()


def test_every_movement_has_both_in_english():
    """No facts that no word leads to, and no words that leave a body out."""
    names = [
        name
        for part in PARTS
        for name in yaml.safe_load((FACTS / f"{part}.yaml").read_text("utf-8"))
    ]
    assert names == [entry.name for entry in library_entries()]
    assert all(e.movement.regions and e.movement.role for e in library_entries())
