"""Heard words find their lines, whatever the reader did."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cuetrack.takes.alignment import aligned
from cuetrack.takes.rivals import names_in, rivals

LINES = [
    line.split()
    for line in (
        "next heel dig",
        "feet flat",
        "hands on thighs",
        "start now",
        "right heel forward back then left heel",
        "two",
        "one",
        "go",
    )
]


def read_as(text):
    """Return the lines a text is taken for, each with the words it was heard by."""
    heard = text.split()
    return [
        (one.line, " ".join(heard[at] for at in one.heard))
        for one in aligned(heard, LINES)
    ]


@pytest.mark.parametrize(
    ("heard", "lines"),
    [
        (
            "next heel dig feet flat two one go",
            [(0, "next heel dig"), (1, "feet flat"), (5, "two"), (6, "one"), (7, "go")],
        ),
        (
            "next heel next heel dig feet flat",
            [(0, "next heel"), (0, "next heel dig"), (1, "feet flat")],
        ),
        ("feet flat next heel dig", [(1, "feet flat"), (0, "next heel dig")]),
        ("two one go go", [(5, "two"), (6, "one"), (7, "go"), (7, "go")]),
        (
            "next toe tap feet flat",
            [(0, "next toe tap"), (1, "feet flat")],
        ),
        (
            "hands on thighs oh dear sorry again start now",
            [(2, "hands on thighs"), (3, "start now")],
        ),
        (
            "right heel forward then left heel",
            [(4, "right heel forward then left heel")],
        ),
        ("", []),
    ],
)
def test_a_reader_may_do_anything(heard, lines):
    """Repeats, false starts, skipped and swapped lines, talk and slips find theirs."""
    assert read_as(heard) == lines


words = st.sampled_from("abcdefghijklmnop")


@given(st.lists(st.lists(words, min_size=1, max_size=6), min_size=1, max_size=12))
def test_what_is_read_as_written_is_found_as_written(lines):
    """A faultless reading of any script is each line once, in order, whole."""
    unlike = [[f"{word}{n}x{n * 37}" for word in line] for n, line in enumerate(lines)]
    heard = [word for line in unlike for word in line]
    found = aligned(heard, unlike)
    assert [one.line for one in found] == list(range(len(lines)))
    assert [one.last - one.first + 1 for one in found] == [len(x) for x in lines]
    assert [at for one in found for at in one.heard] == list(range(len(heard)))


@given(st.lists(words, max_size=30), st.lists(st.lists(words, min_size=1), min_size=1))
def test_readings_never_overlap(heard, lines):
    """Whatever is heard, no word belongs to two readings, and all are in order."""
    places = [at for one in aligned(heard, lines) for at in one.heard]
    assert places == sorted(set(places))


NAMES = (("heel", "dig"), ("toe", "tap"), ("heel", "dig", "with", "reach"))


def test_a_line_is_rivalled_by_each_slip_that_hurts():
    """Other movements, sides, numbers and words left out are told, each as itself."""
    line = ("heel", "dig", "left", "two")
    found = rivals(line, [("feet", "flat")], NAMES)
    assert found["toe", "tap", "left", "two"] == "another movement is named"
    assert found["heel", "dig", "right", "two"] == "a word is another"
    assert found["heel", "dig", "left", "three"] == "a word is another"
    assert found["heel", "dig", "left"] == "a word is missing"
    assert line not in found


def test_the_longer_name_is_the_one_that_is_meant():
    """A name within a longer name is not found beside it."""
    assert names_in(("next", "heel", "dig", "with", "reach"), NAMES) == [(1, NAMES[2])]
