"""What pulls along a line, and which movements work against it."""

from __future__ import annotations

import pytest

from cuetrack.movements.positions.motion import Held, Line, Thing
from cuetrack.movements.positions.reading import motions
from tests.movements.against_load import against_load

WEIGHTS = Held(thing=Thing.WEIGHTS)
BEHIND = Held(thing=Thing.BAND, line=Line.BEHIND_BACK_TO_HANDS)


@pytest.mark.parametrize(
    "name",
    ["biceps curl", "overhead press", "side arm raise", "front arm raise"],
)
def test_lifts_work_against_a_weight(name):
    """What rises works against a weight on most of its way."""
    assert against_load(motions()[name], WEIGHTS) > 0.6


@pytest.mark.parametrize("name", ["reverse fly", "forearms out"])
def test_level_ways_do_not(name):
    """A weight moved level to the side resists none of the movement."""
    assert against_load(motions()[name], WEIGHTS) < 0.25


def test_a_press_to_the_front_wants_a_band():
    """A band behind the back resists a level press far more than weights do."""
    press = motions()["chest press"]
    assert against_load(press, BEHIND) > 0.4
    assert against_load(press, WEIGHTS) < 0.15


def test_a_kick_back_works_when_leant_forward():
    """Leant forward from the hips the straightening elbow lifts its weight."""
    assert against_load(motions()["triceps kick-back"]) > 0.4


@pytest.mark.parametrize("name", ["band pull apart", "band leg press", "seated row"])
def test_bands_get_longer_on_the_way(name):
    """What is drawn with a band makes it longer on its way out."""
    assert against_load(motions()[name]) > 0.3


def test_nothing_held_is_no_load():
    """Empty hands and a ball pull along no line."""
    assert against_load(motions()["easy march"]) is None
    assert against_load(motions()["ball squeeze"]) is None
