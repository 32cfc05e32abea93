"""Each mistake of a plan is told with its line, its column and a remedy."""

import re
from pathlib import Path

import pytest

from cuetrack.errors import PlanError
from cuetrack.plan.reading import parse_plan

VOICES = ["joe", "tom"]
LANGUAGES = ["en", "no"]

CASE = re.compile(r"=== (.+)\n((?:.*\n)*?)>>>\n((?:(?!===).*\n)+)")
MISTAKES = {
    name: (text, told.splitlines())
    for name, text, told in CASE.findall(
        Path(__file__).with_name("data").joinpath("mistakes.txt").read_text("utf-8")
    )
}
"""By name: a plan with a mistake, and the lines that tell it."""


@pytest.fixture
def folder(tmp_path):
    (tmp_path / "songs").mkdir()
    (tmp_path / "tea dance.mp3").write_bytes(b"music")
    return tmp_path


@pytest.mark.parametrize(("text", "told"), MISTAKES.values(), ids=MISTAKES)
def test_a_mistake_is_told_with_place_and_remedy(folder, text, told):
    """The message names file, line, column, what is wrong and what to do."""
    with pytest.raises(PlanError) as caught:
        parse_plan(text, "p", folder=folder, voices=VOICES, languages=LANGUAGES)
    assert str(caught.value).splitlines() == told


def test_the_table_of_mistakes_is_read_whole():
    """No case of the table is lost by the way it is read."""
    text = Path(__file__).with_name("data").joinpath("mistakes.txt").read_text("utf-8")
    assert len(MISTAKES) == text.count("===") == text.count(">>>") > 60


def test_a_text_that_nobody_could_speak_is_refused():
    """Ten thousand characters are no instruction."""
    how = "x" * 10_000
    text = f"title: A\nwarm-up:\n  - {{movement: heel dig, how: {how}}}\n"
    with pytest.raises(PlanError) as caught:
        parse_plan(text, "p")
    told = 'p:3:31: "how" is 10000 characters long, at most 240 fit. Shorten it.'
    assert str(caught.value) == told


def test_all_mistakes_are_told_at_once_in_file_order():
    """Nobody mends one line only to hear of the next."""
    text = """\
tilte: A
language: xx
voice: jim
warm-up:
  for: 0
  movements: [heel dig: -1, 'toe tap']
intervals:
  work: 2 s
  movements: [knee lift]
  cues:
    - {say: Sip., at: never}
"""
    with pytest.raises(PlanError) as caught:
        parse_plan(text, "p", voices=VOICES, languages=LANGUAGES)
    places = [(problem.line, problem.column) for problem in caught.value.problems]
    assert places == [(1, 1), (2, 11), (3, 8), (5, 8), (6, 25), (8, 9), (11, 23)]


def test_a_misread_time_starts_no_further_complaints():
    """A wrong time is told once, not again by the sums it would belong to."""
    text = """\
title: A
warm-up:
  for: 1 min
  movements: [heel dig: soon, toe tap: 50 s]
  cues: [{say: Sip., at: 4 min}]
"""
    with pytest.raises(PlanError) as caught:
        parse_plan(text, "p")
    assert [problem.line for problem in caught.value.problems] == [4]


def test_too_many_mistakes_are_counted_instead_of_told():
    """Fifty problems are told, the rest is a number."""
    keys = "".join(f"key{number:03}: x\n" for number in range(80))
    with pytest.raises(PlanError) as caught:
        parse_plan("title: A\nwarm-up: [easy march]\n" + keys, "p")
    problems = caught.value.problems
    assert len(problems) == 51
    assert problems[-1].what == "There are 30 more problems from here on."
    assert (problems[-1].line, problems[-2].line) == (53, 52)


def test_voices_and_languages_are_free_when_nobody_says_which_exist():
    """Without the lists any name passes, but a language still looks like one."""
    plan = parse_plan("title: A\nvoice: jim\nwarm-up: [a]\n", "p")
    assert plan.voice == "jim"
    with pytest.raises(PlanError, match='p:2:11: "norsk bokmål" is no code'):
        parse_plan("title: A\nlanguage: norsk bokmål\nwarm-up: [a]\n", "p")
