"""The words of a plan that the README teaches are the words the reader knows."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from cuetrack.plan.model import PLAN
from cuetrack.plan.reading import parse_plan
from cuetrack.plan.schema import plan_schema

README = Path(__file__).parents[2] / "README.md"


def taught() -> dict[str, set[str]]:
    """Return each row of the table of words, by its first cell."""
    table = README.read_text("utf-8").split("| for | words |")[1].split("\n\n")[0]
    rows = [line.strip("| ").split(" | ") for line in table.splitlines()[2:]]
    return {
        cells[0].strip("`"): set(re.findall(r"`([^`]+)`", cells[1])) for cells in rows
    }


@pytest.mark.parametrize(
    ("row", "definition"),
    [("a movement", "movement"), ("music", "music"), ("group", "group")],
)
def test_a_row_names_no_word_the_reader_does_not_know(row, definition):
    """Every word of the row is a key of the schema."""
    known = set(plan_schema()["$defs"][definition]["properties"])
    assert taught()[row] <= known


def test_the_top_rows_name_every_word_of_the_top():
    """Whoever reads the table has seen all keys of a plan."""
    top = taught()["the whole class"] | taught()["its parts, in order"]
    assert top == set(PLAN.words)


def test_the_six_line_plan_is_a_plan():
    """The first plan of the README can be used as it is printed."""
    text = re.search(r"```yaml\n(title: .*?)```", README.read_text("utf-8"), re.DOTALL)
    assert text is not None
    assert len(text[1].splitlines()) == 6
    assert parse_plan(text[1], "README.md").title
