"""A movement in a leader's own words is read: what it asks, and what it leaves open."""

from __future__ import annotations

from pathlib import Path

import pytest
import yaml
from hypothesis import given
from hypothesis import strategies as st

from cuetrack.languages.body_words import body_words
from cuetrack.languages.vocabulary import vocabulary
from cuetrack.movements.body_reading import NOTHING, read_body
from cuetrack.movements.library import library_entries
from cuetrack.movements.strains import DERIVED, motion_of, strains_of

SENTENCES = Path(__file__).parent / "data" / "own_movements"


@pytest.mark.parametrize(
    ("text", "asked"),
    [
        ("Reach for the ceiling", {"overhead", "above_shoulder"}),
        ("Reech for the celing", {"overhead", "above_shoulder"}),
        ("Knee to chest", {"hip_flexion_gt90"}),
        ("Cross your legs", {"crosses_midline_leg"}),
        ("Turn to look behind you, slowly", {"rotation", "rotation_end_range"}),
        ("Hold your breath and push", {"isometric"}),
        ("Stand behind your chair", {"standing"}),
        ("Let your ear sink to your shoulder", {"neck_far"}),
        ("Clap your hands", set()),
        ("Point your toes to the ceiling", set()),
        ("Reach for the salt", set()),
        ("Conducting the band", set()),
        ("March low like a brass band", set()),
        ("Pull the band apart", {"loaded"}),
        ("Rest your forearms on the armrests and turn your palms up, slowly", set()),
        ("Lean on both hands", {"care_wrist"}),
        ("Swing your arms like a soldier on parade, but small", set()),
        ("Parade round the room", {"standing"}),
        ("Touch thumb to each fingertip, and skip any that hurt", set()),
        ("Jump up, and skip any that hurt", {"jarring"}),
        ("Skip round the room", {"jarring"}),
    ],
)
def test_words_amount_to_strains(text, asked):
    """Slips of typing included; what is harmless asks for nothing."""
    said = read_body((text,))
    assert asked <= said.asked
    assert bool(asked) == bool(said.asked)


@pytest.mark.parametrize(
    "text",
    [
        "Do not reach above your head",
        "Never hold your breath",
        "Straighten your knee without locking it",
        "Hands no higher than your chest",
        "Keep the knee below the hip",
        "Rather than touching your toes, stroke your thighs",
    ],
)
def test_what_is_refused_is_not_asked(text):
    """A limit and a refusal ask for nothing."""
    assert not read_body((text,)).asked


@pytest.mark.parametrize(
    "text", ["Don't forget to reach for the ceiling", "Don't be shy, touch your toes"]
)
def test_encouragement_refuses_nothing(text):
    """A "do not" that means "do" does not hide a strain."""
    assert read_body((text,)).asked


@pytest.mark.parametrize(
    ("text", "question"),
    [
        ("Lift one arm, then the other", "hands"),
        ("Lift one knee, then the other", "knees"),
        ("Turn to the left", "turn"),
        ("Lean forward", "back"),
        ("Waltz to the music", "seat"),
        ("Go for it", NOTHING),
        ("", NOTHING),
    ],
)
def test_what_is_left_open_is_asked(text, question):
    """Where the words do not tell, the question that would tell is given."""
    assert question in read_body((text,)).open_questions


def test_a_head_that_does_not_move_is_not_asked_about():
    """One that may move is."""
    assert not read_body(("Your head doesn't move at all",)).open_questions
    assert read_body(("Let your head move",)).open_questions == ("head",)


def test_light_as_a_feather_tells_nothing_of_breathing():
    """To blow one away does; the other is unhurried."""
    assert read_body(("Press, light as a feather",)).said == {"own_pace"}
    assert "breathe" in read_body(("Blow the feather away",)).said


def test_every_word_has_a_meaning():
    """Strains are tags of the vocabulary, and every question has words."""
    words = body_words()
    for entry in library_entries():
        read_body((entry.movement.how,))
    texts = [t for f in SENTENCES.iterdir() for t, _ in yaml.safe_load(f.read_bytes())]
    said = [read_body((text,)) for text in texts]
    assert {s for each in said for s in each.asked} <= set(vocabulary().tags)
    assert {q for each in said for q in each.open_questions} <= set(words.questions)


def test_words_of_the_library_agree_with_its_positions():
    """Of words written without this list at most one in twenty is blamed wrongly."""
    blamed = {}
    for entry in library_entries():
        movement = entry.movement
        if motion_of(movement.name) is None:
            continue
        read = read_body((movement.name, movement.how)).asked & set(DERIVED)
        if read - set(strains_of(movement)):
            blamed[movement.name] = read - set(strains_of(movement))
    assert len(blamed) <= len(library_entries()) / 20, blamed


def test_a_language_without_the_list_leaves_everything_open():
    """Words of another language are not read as English ones."""
    assert read_body(("Arm heben",), "de").open_questions == (NOTHING,)


@given(st.text(max_size=200))
def test_any_text_is_read(text):
    """Nothing that is typed stops the reading, and marks alone change nothing."""
    assert read_body((text,)) == read_body((f"{text} ...",))
