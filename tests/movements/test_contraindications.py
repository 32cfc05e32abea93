"""The table of contraindications says what the trade's guidelines say."""

from __future__ import annotations

from dataclasses import dataclass, replace

import pytest
import yaml

from cuetrack.documents.names import movement_key
from cuetrack.languages.group_words import group_words
from cuetrack.languages.vocabulary import vocabulary
from cuetrack.movements.body_reading import BodySaid
from cuetrack.movements.contraindications import (
    LESS,
    OWN,
    Suits,
    contraindications,
    facts_named,
    left_out,
    verdict,
    without_rule,
)
from cuetrack.movements.group_facts import OF_THE_CLASS, Fact
from cuetrack.movements.joining import names_of_facts
from cuetrack.movements.library import library_entries
from cuetrack.movements.positions.reading import motions
from cuetrack.movements.strains import DERIVED, Extent, strains_of

UNREAD = BodySaid()


@dataclass(frozen=True, kw_only=True)
class Told:
    """A movement as it is told, in no plan."""

    name: str = "tried"
    tags: tuple[str, ...] = ()
    hold: bool = False
    equipment: str | None = None
    caution: str | None = None
    read: BodySaid = UNREAD


def suits(fact, **told):
    return verdict(Told(**told), fact).suits


def test_the_table_speaks_of_known_words():
    """Every fact, strain and way in it is known elsewhere, and every fact is in it
    or names whom to ask."""
    rows = [row for rules in contraindications().values() for row in rules.rows]
    assert {row.strain for row in rows} <= set(vocabulary().tags)
    ways = {way for row in rows for way in row.ways} - {OWN}
    assert ways == set(group_words().safe_forms)
    assert ways >= LESS
    assert all(rules.source for rules in contraindications().values())
    told = set(contraindications()) | set(group_words().asks) | OF_THE_CLASS
    assert told == set(Fact)


def test_words_that_positions_tell_have_a_meaning():
    """Whatever is derived can be shown to a leader."""
    assert set(DERIVED) <= set(vocabulary().tags)


def test_a_safe_form_knows_its_own_words():
    """What was added once is not added again."""
    for form in group_words().safe_forms.values():
        assert any(words in form.say.casefold() for words in form.said), form


# Giangregorio and others 2015, tables 4 and 5: end of range, loaded, fast, held or
# combined bends and turns; the hip hinge is what to do instead.
@pytest.mark.parametrize(
    ("told", "expected"),
    [
        ({"tags": ("flexion_end_range",)}, Suits.LEAVE_OUT),
        (
            {"tags": ("spinal_flexion", "loaded"), "equipment": "weights"},
            Suits.LEAVE_OUT,
        ),
        ({"tags": ("spinal_flexion", "rapid")}, Suits.LEAVE_OUT),
        ({"tags": ("spinal_flexion",), "hold": True}, Suits.LEAVE_OUT),
        ({"tags": ("rotation", "rapid")}, Suits.LEAVE_OUT),
        ({"tags": ("combined_bend_twist",)}, Suits.LEAVE_OUT),
        ({"tags": ("rotation",)}, Suits.SAFE_FORM),
        ({"name": "hip hinge"}, Suits.FINE),
        ({"name": "slow turn"}, Suits.SAFE_FORM),
        ({"name": "upper back stretch", "hold": True}, Suits.LEAVE_OUT),
        ({"name": "tall sit", "hold": True}, Suits.FINE),
    ],
)
def test_thin_bones(told, expected):
    """Bends and turns near their end, loaded, fast or held are left out."""
    assert suits(Fact.THIN_BONES, **told) is expected


# Hip precautions of LHSC (Ontario) and Sunnybrook hospitals: no bend past a right
# angle, no leg over the middle, no turning in.
@pytest.mark.parametrize(
    ("told", "expected"),
    [
        ({"name": "knee lift"}, Suits.SAFE_FORM),
        ({"name": "hip hinge"}, Suits.SAFE_FORM),
        ({"name": "triceps kick-back"}, Suits.LEAVE_OUT),
        ({"tags": ("crosses midline leg",)}, Suits.LEAVE_OUT),
        ({"tags": ("hip_int_rotation",)}, Suits.LEAVE_OUT),
        ({"name": "heel raise"}, Suits.FINE),
        ({"name": "biceps curl", "equipment": "weights"}, Suits.FINE),
    ],
)
def test_new_hips(told, expected):
    """What a smaller range makes safe is kept, what it does not is left out."""
    assert suits(Fact.NEW_HIP, **told) is expected


# Common practice for the rest; Thow 2006 on arms above the shoulder.
@pytest.mark.parametrize(
    ("fact", "told", "expected"),
    [
        (Fact.SORE_SHOULDER, {"name": "overhead press"}, Suits.LEAVE_OUT),
        (
            Fact.SORE_SHOULDER,
            {
                "name": "overhead press",
                "caution": "With a sore shoulder, press forward",
            },
            Suits.SAFE_FORM,
        ),
        (Fact.SORE_SHOULDER, {"name": "biceps curl"}, Suits.FINE),
        (Fact.HEART, {"name": "overhead press"}, Suits.LEAVE_OUT),
        (Fact.HIGH_PRESSURE, {"tags": ("isometric",)}, Suits.SAFE_FORM),
        (Fact.HIGH_PRESSURE, {"tags": ("rapid", "arms_only")}, Suits.SAFE_FORM),
        (Fact.DIZZINESS, {"tags": ("head_below_heart",)}, Suits.LEAVE_OUT),
        (Fact.DIZZINESS, {"tags": ("head_turn", "rapid")}, Suits.LEAVE_OUT),
        (Fact.DIZZINESS, {"name": "head turn"}, Suits.SAFE_FORM),
        (Fact.WHEELCHAIR, {"name": "sit to stand"}, Suits.LEAVE_OUT),
        (Fact.FALLS, {"name": "sit to stand"}, Suits.SAFE_FORM),
        (Fact.HOME_ALONE, {"name": "sit to stand"}, Suits.LEAVE_OUT),
        (Fact.WEAK_LEFT, {"tags": ("grip",)}, Suits.SAFE_FORM),
        (Fact.SORE_KNEE, {"tags": ("knee_load", "rapid")}, Suits.LEAVE_OUT),
        (Fact.PACEMAKER, {"name": "overhead press"}, Suits.FINE),
    ],
)
def test_the_usual_cautions(fact, told, expected):
    """Modified first, left out where nothing helps."""
    assert suits(fact, **told) is expected


@pytest.mark.parametrize("fact", contraindications())
def test_what_nobody_described_is_not_reviewed(fact):
    """A movement without tags and positions is neither fine nor forbidden."""
    assert suits(fact) is Suits.NOT_REVIEWED


def test_a_caution_that_says_to_leave_it_out_is_believed():
    """The movement's own words outweigh a smaller range."""
    told = {"name": "knee lift", "caution": "With a new hip, do an easy march"}
    assert suits(Fact.NEW_HIP, **told) is Suits.LEAVE_OUT
    assert left_out(Told(**told), [Fact.NEW_HIP])


def test_empty_hands_carry_no_load():
    """A weight that is not taken cannot make a bend worse."""
    tags = ("loaded", "spinal_flexion")
    assert "stressed_bend" not in strains_of(Told(tags=tags))
    assert "stressed_bend" in strains_of(Told(tags=tags, equipment="weights"))


@pytest.mark.parametrize("entry", library_entries(), ids=lambda entry: entry.name)
def test_any_name_of_a_movement_asks_the_same(entry):
    """A plan that says shoulder press is told of the overhead press."""
    asked = strains_of(entry.movement)
    for name in entry.other_names:
        assert strains_of(replace(entry.movement, name=name)) == asked, name


def test_a_movement_is_known_by_its_names_in_another_language(tmp_path, monkeypatch):
    """By the id its words give; a file that cannot be read is passed over."""
    for file, text in {
        "arms": "- {movement: drücken, id: overhead press}",
        "legs": "- [",
    }.items():
        path = tmp_path / "xx" / "movements" / f"{file}.yaml"
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, "utf-8")
    monkeypatch.setenv("CUETRACK_LANGUAGES", str(tmp_path))
    found = names_of_facts.__wrapped__()
    assert found[movement_key("drücken")] == "overhead press"
    assert found[movement_key("heel dig")] == "heel dig"


@pytest.mark.parametrize("name", sorted(motions()))
def test_strains_of_positions_are_of_the_table(name):
    """Everything derived says how much of the range is free of it."""
    strains = strains_of(Told(name=name))
    assert all(isinstance(free, Extent) for free in strains.values())
    assert set(strains) <= set(vocabulary().tags)


def test_facts_without_a_rule_are_named():
    """The class's own facts are none of health."""
    facts = [Fact.NEW, Fact.PACEMAKER, Fact.SORE_KNEE]
    assert without_rule(facts) == (Fact.PACEMAKER,)


def test_a_caution_names_its_facts_before_its_comma():
    """What comes after is what to do."""
    named = facts_named("With a new hip, a sore back or thin bones, stay tall")
    assert named == (Fact.NEW_HIP,)
    named = facts_named("With a new hip or thin bones, move only the arm")
    assert named == (Fact.NEW_HIP, Fact.THIN_BONES)
    assert facts_named("Never let go of a band") == ()


def test_the_file_has_each_row_once():
    """No fact twice, and every row names its rule."""
    text = yaml.safe_dump(
        {
            str(f): [r.rule for r in rules.rows]
            for f, rules in contraindications().items()
        }
    )
    assert "null" not in text
