"""``cuetrack weeks`` as a leader uses it."""

from pathlib import Path

import pytest

from cuetrack.cli.main import main

PLAN = Path(__file__).parents[2] / "examples" / "six-lines.yaml"


@pytest.fixture
def plan(tmp_path):
    path = tmp_path / "tea.yaml"
    path.write_bytes(PLAN.read_bytes())
    return path


def test_weeks_writes_a_plan_a_week_and_shows_the_way(plan, tmp_path, capsys):
    """The missed week has no file and is shown as such."""
    out = tmp_path / "block"
    arguments = ["weeks", str(plan), "--weeks", "4", "--missed", "3"]
    assert main([*arguments, "--out", str(out)]) == 0
    shown = capsys.readouterr().out
    assert "no class" in shown
    assert "work 30 s to 35 s" in shown
    assert sorted(path.name for path in out.iterdir()) == [
        "tea-week-1.yaml",
        "tea-week-2.yaml",
        "tea-week-4.yaml",
    ]
    assert plan.read_bytes() == PLAN.read_bytes()
    assert main([*arguments, "--out", str(out)]) == 1
    assert "--overwrite" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("option", "value"),
    [("--missed", "9"), ("--missed", "x"), ("--missed", "1,2"), ("--weeks", "1")],
)
def test_what_makes_no_sense_is_wrong_usage(plan, option, value, capsys):
    """Status 2, and nothing is written."""
    assert main(["weeks", str(plan), "--weeks", "2", option, value]) == 2
    assert option in capsys.readouterr().err
    assert list(plan.parent.iterdir()) == [plan]


SMALL = """\
title: Small class at Larkfield Hall
intervals:
  work: %s s
  rest: 40 s
  rounds: 1
  movements: [heel dig, toe tap side, straight punch]
"""


def test_weeks_tell_where_a_group_cannot_start_lower_after_a_gap(tmp_path, capsys):
    """Works of 20 s become shorter still; those of 15 s do not, and the review says so.

    Where nothing harder fits either, that is told too.
    """
    small = tmp_path / "small.yaml"
    arguments = ["weeks", str(small), "--weeks", "5", "--missed", "2", "--overwrite"]
    small.write_text(SMALL % 20, "utf-8")
    assert main(arguments) == 0
    assert "P04" not in capsys.readouterr().out
    small.write_text(SMALL % 15, "utf-8")
    assert main(arguments) == 0
    told = capsys.readouterr().out
    assert "Week 3: P04" in told
    assert main([*arguments[:3], "2", "--overwrite"]) == 0
    assert "P04" not in capsys.readouterr().out


def test_weeks_tell_from_when_on_nothing_harder_fits(tmp_path, capsys):
    """A short class of new people in a slot of its own has no room to grow."""
    short = tmp_path / "short.yaml"
    assert main(["new", str(short), "--minutes", "10", "--level", "new", "--yes"]) == 0
    assert main(["weeks", str(short), "--weeks", "4"]) == 0
    told = " ".join(capsys.readouterr().out.split())
    assert "After week 1 nothing harder is wise for this group in 10 min." in told


def test_weeks_are_replaced_together_or_not_at_all(plan, tmp_path, capsys):
    """Where one cannot be written, those before it stay as they were."""
    out = tmp_path / "out"
    out.mkdir()
    first = out / f"{plan.stem}-week-1{plan.suffix}"
    first.write_text("old", encoding="utf-8")
    first.with_name(f"{plan.stem}-week-2{plan.suffix}").mkdir()
    words = ["weeks", str(plan), "--weeks", "2", "--out", str(out), "--overwrite"]
    assert main(words) == 1
    assert "folder" in capsys.readouterr().err
    assert first.read_text(encoding="utf-8") == "old"
    assert len(list(out.iterdir())) == 2
