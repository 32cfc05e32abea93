"""Moments of a section are read as people name them."""

import pytest

from cuetrack.plan.model import CountFrom
from cuetrack.plan.moments import Moment, parse_moment


@pytest.mark.parametrize(
    ("text", "offset_ms", "count_from"),
    [
        ("10 s", 10_000, CountFrom.START),
        ("1:30", 90_000, CountFrom.START),
        ("start", 0, CountFrom.START),
        ("10 s after the start", 10_000, CountFrom.START),
        ("10 s from end", 10_000, CountFrom.END),
        ("1 min before the end", 60_000, CountFrom.END),
        ("halfway", 0, CountFrom.HALFWAY),
        ("At halfway", 0, CountFrom.HALFWAY),
        ("20 s after halfway", 20_000, CountFrom.HALFWAY),
    ],
)
def test_a_moment_is_understood(text, offset_ms, count_from):
    """Time, direction and point are told apart."""
    assert parse_moment(text) == Moment(offset_ms, count_from)


@pytest.mark.parametrize(
    "text", ["", "end", "5 s before halfway", "5 s after the end", "later", "5 s from"]
)
def test_no_moment_is_guessed(text):
    """What names no moment within a section is refused."""
    with pytest.raises(ValueError, match=r"is|counts|cannot"):
        parse_moment(text)
