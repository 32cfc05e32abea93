"""Lines that a reader passed over are told, with where they were due."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cuetrack.takes.omissions import passed_over


@pytest.mark.parametrize(
    ("lines", "found"),
    [
        ([], {}),
        ([4], {}),
        ([0, 1, 2, 5, 6], {3: 2, 4: 2}),
        ([0, 2, 1, 3], {}),
        ([0, 3, 2, 4], {1: 0}),
        ([0, 1, 1, 1, 3], {2: 3}),
        ([0, 1, 2, 90, 3, 4, 5], {}),
        ([5, 6, 0, 1, 2, 3], {}),
    ],
)
def test_only_what_lies_between_lines_in_order_was_passed_over(lines, found):
    """Swaps, repeats, leaps and what is not reached are no omissions."""
    assert passed_over(lines) == found


@given(st.sets(st.integers(0, 40), min_size=1))
def test_a_reading_in_order_lacks_its_gaps(lines):
    """Each line that is lacking was due behind the last one before it."""
    read = sorted(lines)
    lacking = set(range(read[0], read[-1])) - lines
    due = passed_over(read)
    assert set(due) == lacking
    assert all(read[at] < line < read[at + 1] for line, at in due.items())


@given(st.lists(st.integers(0, 30), max_size=40))
def test_what_was_read_was_not_passed_over(lines):
    """Whatever the order, no line with a reading is told, and each has its place."""
    due = passed_over(lines)
    assert not set(due) & set(lines)
    assert all(lines[at] < line for line, at in due.items())
