"""The words of a plan that the README teaches are the words the reader knows."""

from __future__ import annotations

import re
from pathlib import Path

from cuetrack.documents.reference import overview
from cuetrack.languages.vocabulary import vocabulary
from cuetrack.movements.contraindications import contraindications
from cuetrack.movements.strains import tag_form
from cuetrack.plan.model import PLAN
from cuetrack.plan.reading import parse_plan

README = Path(__file__).parents[2] / "README.md"


def test_the_tags_it_teaches_are_those_that_the_table_knows():
    """Each is a word of the vocabulary, and some group has to mind it."""
    text = README.read_text("utf-8").split("| of | tags |")[1].split("\n\n")[0]
    taught = {tag_form(tag) for tag in re.findall(r"`([^`]+)`", text)}
    minded = {row.strain for each in contraindications().values() for row in each.rows}
    assert taught <= set(vocabulary().tags)
    assert taught - minded == {"loaded", "long_reach"}  # hard on somebody together


def test_the_table_of_words_is_current():
    """Whoever reads the table has seen all keys of a plan."""
    assert overview(PLAN) in README.read_text("utf-8")


def test_every_plan_that_is_shown_is_read():
    """A leader may copy any of them, a part of a plan with a title before it."""
    shown = re.findall(r"```yaml\n(.*?)```", README.read_text("utf-8"), re.DOTALL)
    assert len(shown) >= 2
    for text in shown:
        parse_plan(text if "title:" in text else f"title: A\n{text}", "README.md")


def test_the_six_line_plan_is_a_plan():
    """The first plan of the README can be used as it is printed."""
    text = re.search(r"```yaml\n(title: .*?)```", README.read_text("utf-8"), re.DOTALL)
    assert text is not None
    assert len(text[1].splitlines()) == 6
    assert parse_plan(text[1], "README.md").title
