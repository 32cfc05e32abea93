"""A listening test is made from a class, verified like a track, and scored."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import pytest
from output.sheets import pages_of

import cuetrack.pipeline.listening_test as making
from cuetrack.cli.main import main
from cuetrack.errors import LanguageError, PlanError
from cuetrack.output.track.cuefile import read_cue_file
from cuetrack.pipeline.checking import placed_unspoken, read_plan
from cuetrack.pipeline.verifying import verify
from cuetrack.planning.listening_test import CALLS, questions_of

CLASS = """\
title: Ten gentle minutes at Larkfield Hall
voice: espeak-en
music: {own: steady}
warm-up: [shoulder roll, ankle pump, easy march]
intervals: {work: 30 s, rest: 30 s, rounds: 2, movements: [heel dig, straight punch]}
cool-down: [easy march, chest stretch, calf stretch]
"""


def plan_of(folder, text=CLASS):
    path = folder / "class.yaml"
    path.write_text(text, encoding="utf-8")
    return read_plan(path)


@pytest.fixture(scope="module")
def made(tmp_path_factory):
    """The files of a test, its questions eight seconds apart."""
    folder = tmp_path_factory.mktemp("test")
    plan_of(folder)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(making, "EACH_MS", 8000)
        words = ["listening-test", "make", str(folder / "class.yaml"), "--quiet"]
        assert main([*words, "--format", "flac"]) == 0
    return folder


def file_of(folder, ending):
    return folder / f"class.listening-test{ending}"


def test_it_lasts_about_ten_minutes():
    """People are asked for ten minutes and no more."""
    length_ms = making.LEAD_MS + CALLS * making.EACH_MS + making.CLOSE_MS
    assert 9 * 60_000 <= length_ms <= 10 * 60_000


def test_the_track_says_what_the_key_has(made):
    """Verified on the finished file: every number, then its call three seconds on."""
    assert verify(file_of(made, ".flac"), None).passed
    key = json.loads(file_of(made, ".key.json").read_text(encoding="utf-8"))
    cues = read_cue_file(file_of(made, ".cues.json")).cues
    said = {round(cue.start_ms): cue.text for cue in cues}
    assert len(key["questions"]) == CALLS
    for row in key["questions"]:
        begin_ms = making.LEAD_MS + (row["number"] - 1) * 8000
        assert said[begin_ms + 500] == f"Number {row['number']}."
        assert said[begin_ms + 3500] == row["said"]
        assert row["choices"]["abcd".index(row["letter"])] == row["said"]


@pytest.mark.parametrize(
    ("text", "told"),
    [
        (CLASS, "and then a sentence over the music."),
        (CLASS.replace("music: {own: steady}\n", ""), "and then a sentence."),
    ],
)
def test_it_speaks_of_music_only_where_there_is_some(tmp_path, text, told):
    """A class without music is told of none."""
    script = making.script_of(plan_of(tmp_path, text), ())
    assert script[1][1].text == f"You will hear a number, {told}"


def test_the_sheet_has_all_choices_in_large_print(made):
    """Each choice of the key stands in PDF and HTML, and no name is asked."""
    key = json.loads(file_of(made, ".key.json").read_text(encoding="utf-8"))
    pdf = " ".join(pages_of(file_of(made, ".sheet.a4.pdf").read_bytes()))
    html = file_of(made, ".sheet.html").read_text(encoding="utf-8")
    for row in key["questions"]:
        for text in row["choices"]:
            assert text in pdf
            assert text.replace("'", "&#39;") in html
    assert "write no name" in pdf
    assert "hearing professional" in html


def test_ticks_are_scored_from_the_command_line(made, capsys):
    """All right but one without a line, from a file beside the key."""
    key = json.loads(file_of(made, ".key.json").read_text(encoding="utf-8"))
    ticks = [f"{row['number']} {row['letter']} yes" for row in key["questions"][1:]]
    answers = made / "answers.txt"
    answers.write_text("sheet\n" + "\n".join(ticks), encoding="utf-8")
    assert main(["listening-test", "score", str(answers)]) == 0
    told = capsys.readouterr().out
    assert "23 of 23 calls were understood (100 %)" in told
    assert "Not typed and not counted: 1 of the numbers." in told
    answers.write_text("\n".join(ticks), encoding="utf-16")
    assert main(["listening-test", "score", str(answers)]) == 0
    assert capsys.readouterr().out == told
    answers.write_text("1 z", encoding="utf-8")
    assert main(["listening-test", "score", str(answers)]) == 1
    assert "answers.txt:1:1: there is no sentence z" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("content", "told"),
    [(None, "there is no key beside it"), ("{}", "no key of a listening test")],
)
def test_a_key_that_is_none_is_told(tmp_path, capsys, content, told):
    """Missing or of another kind: what to do is said."""
    answers = tmp_path / "answers.txt"
    answers.write_text("1 a", encoding="utf-8")
    if content is not None:
        (tmp_path / "x.listening-test.key.json").write_text(content, encoding="utf-8")
    assert main(["listening-test", "score", str(answers)]) == 1
    assert told in capsys.readouterr().err
    assert main(["listening-test", "score", str(Path("nowhere.txt"))]) == 1


def test_questions_are_fair_and_repeatable(tmp_path):
    """Twenty-four different calls, four different choices, any letter, one seed."""
    plan = plan_of(tmp_path)
    placed = placed_unspoken(plan)
    questions = questions_of(plan, placed, 1)
    assert questions == questions_of(plan, placed, 1)
    assert questions != questions_of(plan, placed, 2)
    assert len({one.said.text for one in questions}) == CALLS
    assert all(len(set(one.choices)) == 4 for one in questions)
    assert {one.letter for one in questions} == set("abcd")
    assert max(len(one.said.text.split()) for one in questions) <= 8


def test_a_class_that_says_too_little_is_refused(tmp_path):
    """What is missing is said, with what to do."""
    plan = plan_of(tmp_path)
    placed = placed_unspoken(plan)
    few = replace(placed, placed=placed.placed[:20])
    with pytest.raises(PlanError, match="different short sentences"):
        questions_of(plan, few, 1)


def test_a_language_without_a_sheet_is_refused(tmp_path):
    """No sheet is made in words of another language than its calls."""
    plan = plan_of(tmp_path)
    with pytest.raises(LanguageError, match="no answer sheet in 'de'"):
        questions_of(replace(plan, language="de"), placed_unspoken(plan), 1)
