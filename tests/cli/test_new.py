"""``cuetrack new`` as somebody meets it who never planned a class."""

import io
import sys

import pytest

from cuetrack.cli.main import main


class Terminal(io.StringIO):
    """Typed lines that come from a terminal."""

    def isatty(self):
        return True


@pytest.fixture
def typed(monkeypatch):
    def give(*lines):
        monkeypatch.setattr(sys, "stdin", Terminal("\n".join(lines) + "\n"))

    return give


def test_options_alone_write_a_plan_that_passes_its_check(tmp_path, capsys):
    """Status 0 both times, and the check finds nothing but notes."""
    path = tmp_path / "monday.yaml"
    wanted = ["--minutes", "20", "--who", "sore knees", "--yes"]
    assert main(["new", str(path), *wanted]) == 0
    assert f"cuetrack check {path}" in capsys.readouterr().out.replace("\n", " ")
    assert main(["check", str(path)]) == 0
    out = capsys.readouterr().out
    assert "20:00" in out
    assert "Warnings" not in out


def test_questions_show_their_usual_answer_and_enter_takes_it(tmp_path, capsys, typed):
    """Seven times Enter is a class."""
    typed(*[""] * 7)
    path = tmp_path / "a.yaml"
    assert main(["new", str(path)]) == 0
    assert "[30]" in capsys.readouterr().out
    assert "lasts: 30 min" in path.read_text("utf-8")


def test_nonsense_is_asked_again_and_a_slip_is_helped(tmp_path, capsys, typed):
    """The question comes back with what would be understood."""
    typed("soon", "20", "purple", "new", "", "waits", "weights", "", "", "Tea Class")
    path = tmp_path / "b.yaml"
    assert main(["new", str(path)]) == 0
    out = capsys.readouterr().out
    assert "Please write minutes" in out
    assert "Please write new, usual or experienced" in out
    assert '"waits" is not known here' in out
    text = path.read_text("utf-8")
    assert "title: Tea Class" in text
    assert "facts: [new]" in text


def test_a_plan_of_that_name_is_kept_and_nothing_is_asked_first(tmp_path, capsys):
    """Nobody answers seven questions for nothing."""
    path = tmp_path / "c.yaml"
    path.write_text("mine", "utf-8")
    assert main(["new", str(path), "--yes"]) == 1
    assert path.read_text("utf-8") == "mine"
    assert "--overwrite" in capsys.readouterr().err


def test_an_option_that_makes_no_sense_is_wrong_usage(tmp_path, capsys):
    """Status 2, the option named, with what would be understood."""
    assert main(["new", str(tmp_path / "d.yaml"), "--minutes", "9", "--yes"]) == 2
    assert "--minutes: A sound class takes from 10 min" in capsys.readouterr().err


def test_a_name_comes_from_the_title(tmp_path, monkeypatch):
    """And its ending too."""
    monkeypatch.chdir(tmp_path)
    assert main(["new", "--title", "Easy Thursday!", "--yes"]) == 0
    assert (tmp_path / "easy-thursday.yaml").exists()


def test_what_was_understood_is_kept_when_another_word_was_not(tmp_path, capsys, typed):
    """Enter after words that mean nothing never means nobody, and is warned of."""
    typed("20", "usual", "bad knees and lupus", "", "", "", "", "Tea Class")
    path = tmp_path / "e.yaml"
    assert main(["new", str(path)]) == 0
    out = " ".join(capsys.readouterr().out.split())
    assert "I take it: sore knees." in out
    assert 'Not understood: "lupus".' in out
    assert 'Nothing is left out for "lupus": ask, and watch.' in out
    text = path.read_text("utf-8")
    assert "facts: [knee pain]" in text
    assert "\n  not:" not in text


def test_enter_is_not_nobody(tmp_path, capsys, typed):
    """Nobody has to be said; silence keeps every caution."""
    path = tmp_path / "f.yaml"
    typed(*[""] * 7)
    assert main(["new", str(path)]) == 0
    assert "every caution stays" in capsys.readouterr().out
    assert "\n  not:" not in path.read_text("utf-8")
    typed("", "", "nobody", "", "", "", "")
    assert main(["new", str(path), "--overwrite"]) == 0
    assert "I take it: nobody needs care." in capsys.readouterr().out
    assert "not: [anything else]" in path.read_text("utf-8")


def test_an_option_tells_what_it_took_and_what_it_did_not(tmp_path, capsys):
    """Also where nothing is asked; with nothing understood, it is wrong usage."""
    wanted = ["--who", "pacemaker, lupus", "--yes"]
    assert main(["new", str(tmp_path / "g.yaml"), *wanted]) == 0
    out = " ".join(capsys.readouterr().out.split())
    assert "There is no rule for a pacemaker: ask the person's heart clinic" in out
    assert 'Nothing is left out for "lupus"' in out
    assert main(["new", str(tmp_path / "h.yaml"), "--who", "lupus", "--yes"]) == 2


def test_what_is_at_hand_and_not_used_is_told_with_the_reason(tmp_path, capsys):
    """And what would be long enough."""
    path = tmp_path / "short.yaml"
    wanted = ["--minutes", "10", "--equipment", "weights", "--yes"]
    assert main(["new", str(path), *wanted]) == 0
    told = capsys.readouterr().out
    assert "Not used: light hand weights; so short a class" in told
    assert "weights" not in path.read_text("utf-8")
