"""Errors carry their data: what is wrong where, and what to do."""

from __future__ import annotations

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cuetrack import errors
from cuetrack.errors import CuetrackError, OutputError, PlanError, Problem

TREE = [
    kind
    for kind in vars(errors).values()
    if isinstance(kind, type) and issubclass(kind, CuetrackError)
]


def test_the_drawn_tree_is_the_real_one():
    """The picture at the top of the module names every class, and no other."""
    drawn = re.findall(r"^    (?:[├└]── )?(\w+Error)\b", errors.__doc__, re.MULTILINE)
    assert sorted(drawn) == sorted(kind.__name__ for kind in TREE)


def test_every_kind_has_an_id_of_its_own():
    """Programs tell the kinds apart by it."""
    assert len({kind.id for kind in TREE}) == len(TREE)


def test_an_error_of_a_file_begins_with_its_name():
    """The text is that of its one problem."""
    error = OutputError("is full.", "Free some space.", file="disk")
    assert str(error) == "disk: is full. Free some space."
    assert error.problems == (
        Problem(file="disk", what="is full.", remedy="Free some space."),
    )


@pytest.mark.parametrize(
    ("place", "text"),
    [
        ({}, "Too short. Lengthen it."),
        ({"file": "a.yaml"}, "a.yaml: Too short. Lengthen it."),
        ({"file": "a.yaml", "line": 3, "column": 7}, "a.yaml:3:7: Too short. Len"),
        ({"file": "a.yaml", "rule": "T01"}, "a.yaml: T01: Too short. Lengthen it."),
    ],
)
def test_a_problem_says_what_is_known_of_its_place(place, text):
    """FILE:LINE:COLUMN: RULE: what is wrong. What to do."""
    problem = Problem(what="Too short.", remedy="Lengthen it.", **place)
    assert str(problem).startswith(text)


@given(st.permutations(range(1, 9)))
def test_the_problems_of_a_plan_come_in_the_order_of_its_lines(lines):
    """However they were found."""
    error = PlanError(
        Problem(file="a", line=line, column=1, what="No.", remedy="Yes.")
        for line in lines
    )
    assert [problem.line for problem in error.problems] == sorted(lines)
    assert str(error).splitlines() == [str(problem) for problem in error.problems]
