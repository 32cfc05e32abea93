"""Names are compared as people mean them."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cuetrack.documents.names import key_form, movement_key, nearest


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("Heel digs", "heel dig"),
        ("shoulder-blade squeeze", "Shoulder blade squeezes"),
        ("toe-tap side", "toe tap, side"),
        ("Chest stretches", "chest stretch"),
        ("Chest Press", "chest presses"),
        ("reverse flies", "reverse fly"),
        ("warmup march", "warm-up march"),
    ],
)
def test_spellings_of_one_movement_are_equal(one, other):
    """Case, hyphens, punctuation and plurals make no difference."""
    assert movement_key(one) == movement_key(other)


@pytest.mark.parametrize(
    ("one", "other"),
    [("heel dig", "heel lift"), ("toe tap side", "toe tap"), ("press", "pres")],
)
def test_different_movements_stay_apart(one, other):
    """What differs in more than spelling is another movement."""
    assert movement_key(one) != movement_key(other)


@given(st.text(max_size=40))
def test_a_movement_key_is_its_own_key(name):
    """Looking up twice finds the same."""
    assert movement_key(name).isalnum() or not movement_key(name)
    assert key_form(key_form(name)) == key_form(name)


def test_the_nearest_name_is_suggested_or_none():
    """A slip finds its word; something else finds none; a long text is not tried."""
    assert nearest("side reech", ["side lean", "side reach"]) == "side reach"
    assert nearest("xylophone", ["rest", "work"]) is None
    assert nearest("work" * 1000, ["work"]) is None
