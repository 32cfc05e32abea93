"""Answers in plain words are understood, or turned back with what would be."""

import pytest

from cuetrack.plan.model import Coaching
from cuetrack.planning import answers
from cuetrack.planning.request import Level


@pytest.mark.parametrize(
    ("answer", "minutes"),
    [("30", 30), ("45 min", 45), ("half an hour", 30), ("1 hour", 60), ("20:00", 20)],
)
def test_a_slot_in_the_words_people_use(answer, minutes):
    """A bare number counts minutes, since nobody plans a class of 30 seconds."""
    assert answers.slot(answer) == minutes * 60_000


@pytest.mark.parametrize("answer", ["", "soon", "five", "5", "90"])
def test_a_slot_that_cannot_be_is_turned_back(answer):
    """With what would be understood."""
    with pytest.raises(ValueError, match=r"minutes|10 min"):
        answers.slot(answer)


@pytest.mark.parametrize(
    ("answer", "facts"),
    [
        ("nobody", ()),
        ("sore knees", ("knee pain",)),
        ("Two with a new hip, and one gets dizzy", ("hip replacement", "dizziness")),
        ("home alone", ("home alone",)),
    ],
)
def test_who_comes(answer, facts):
    """Facts are found in the words around them."""
    assert answers.who(answer).facts == facts


def test_an_unknown_caution_is_never_passed_over():
    """What is not understood could be the one that matters."""
    said = answers.who("sore knees, lupus")
    assert said.facts == ("knee pain",)
    assert said.unknown == ("lupus",)


def test_equipment_and_regions():
    """Other words for them, articles and the empty answer."""
    assert answers.equipment("the weights, a band") == (
        "light hand weights",
        "an exercise band",
    )
    assert answers.equipment("nothing") == ()
    assert answers.regions("the whole body") == frozenset()
    assert "thighs" in answers.regions("legs")
    with pytest.raises(ValueError, match="Known are"):
        answers.equipment("a trampoline")


def test_level_and_coaching():
    """The words offered, and what people say instead."""
    assert answers.level("usual") is Level.USUAL
    assert answers.level("all beginners") is Level.NEW
    assert answers.level("regulars") is Level.EXPERIENCED
    assert answers.coaching("everything") is Coaching.EVERYTHING
    assert answers.coaching("clock") is Coaching.CLOCK
    with pytest.raises(ValueError, match="new, usual or experienced"):
        answers.level("purple")
