"""A class in a language that came as one folder speaks and prints that language only."""

import re

import pytest
from languages.invented import CODE, english_words, turned, words_in, write_language

from cuetrack.pipeline.checking import check, load_plan
from cuetrack.pipeline.handing_out import ClassMaterial
from cuetrack.review.reviewing import review

PLAN = f"""\
title: {turned("Thursday on chairs")}
language: {CODE}
group: {{facts: [screened, emergency plan]}}
warm-up: [{turned("easy march")}, {turned("shoulder roll")}, {turned("ankle pump")}]
intervals:
  work: 40 s
  rest: 30 s
  rounds: 2
  movements:
    - {turned("heel dig")}
    - {turned("leg extension")}
    - movement: {turned("biceps curl")}
      sides: each arm
recovery: 1 min
cool-down:
  - {turned("slow march")}: 2 min
  - {turned("calf stretch")}: 1 min
"""


@pytest.fixture
def plan(tmp_path, monkeypatch):
    """A plan in the language of a folder that nothing else knows of."""
    write_language(tmp_path / "languages")
    monkeypatch.setenv("CUETRACK_LANGUAGES", str(tmp_path / "languages"))
    path = tmp_path / "class.yaml"
    path.write_text(PLAN, "utf-8")
    return load_plan(path)


def english_in(text):
    """Return the English words in a text; its names of keys are none."""
    return words_in(text) & ENGLISH


ENGLISH = english_words() - {word for word in english_words() if turned(word) == word}
