"""A movement is drawn with what it is done with."""

from __future__ import annotations

import pytest

from cuetrack.movements.figure.sketch import panels_of
from cuetrack.movements.library import library_entries
from cuetrack.movements.model import Movement
from cuetrack.movements.positions.motion import Thing
from cuetrack.movements.positions.reading import motions
from cuetrack.movements.things import motion_as_done, thing_named


@pytest.mark.parametrize(
    ("equipment", "thing"),
    [
        ("two small bottles", Thing.WEIGHTS),
        ("a rolled towel", Thing.TOWEL),
        ("a firm pillow", Thing.CUSHION),
        ("an exercise band", Thing.BAND),
        ("a rope", None),
        (None, None),
    ],
)
def test_the_words_of_a_plan_name_a_thing(equipment, thing):
    """By any word that a search knows, None for what is never drawn."""
    assert thing_named(equipment) is thing


@pytest.mark.parametrize(
    ("name", "equipment", "thing"),
    [
        ("inner thigh squeeze", "a cushion", Thing.CUSHION),
        ("inner thigh squeeze", "a soft ball", Thing.BALL),
        ("band pull apart", "a towel", Thing.TOWEL),
        ("calf stretch", "a towel", Thing.TOWEL),
        ("calf stretch", None, None),
        ("biceps curl", None, None),
        ("seated row", None, None),
        ("seated row", "an exercise band", Thing.BAND),
        ("straight punch", "light hand weights", Thing.WEIGHTS),
        ("seat squeeze", None, Thing.SQUEEZE),
        ("pursed-lip breathing", None, Thing.BREATH),
    ],
)
def test_the_figure_holds_what_the_plan_says(name, equipment, thing):
    """Nothing where the hands are empty; a breath or a squeeze stays."""
    motion = motion_as_done(Movement(name=name, equipment=equipment))
    assert (motion.held.thing if motion.held else None) is thing


@pytest.mark.parametrize(
    ("name", "equipment"),
    [(e.name, thing) for e in library_entries() for thing in e.equipment],
)
def test_every_thing_of_the_library_is_drawn(name, equipment):
    """Whatever a movement may be done with is in its picture."""
    motion = motion_as_done(Movement(name=name, equipment=equipment))
    assert motion.held.thing is thing_named(equipment)


@pytest.mark.parametrize("name", [n for n, m in motions().items() if m.or_held])
def test_another_thing_makes_another_picture(name):
    """Drawn, and not only noted."""
    motion = motions()[name]
    other = Movement(name=name, equipment=f"a {motion.or_held.thing}")
    assert panels_of(motion_as_done(other)) != panels_of(motion)
