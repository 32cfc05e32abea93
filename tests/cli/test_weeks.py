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


def test_weeks_tell_where_a_group_cannot_start_lower_after_a_gap(tmp_path, capsys):
    """The smallest class is as much as before the missed week; the review says so."""
    small = tmp_path / "small.yaml"
    small.write_text(
        "title: Small class at Larkfield Hall\n"
        "intervals: {work: 20 s, rest: 40 s, rounds: 1, "
        "movements: [heel dig, toe tap side, straight punch]}\n",
        "utf-8",
    )
    assert main(["weeks", str(small), "--weeks", "3", "--missed", "2"]) == 0
    assert "Week 3: P04" in capsys.readouterr().out
    assert main(["weeks", str(small), "--weeks", "2", "--overwrite"]) == 0
    assert "P04" not in capsys.readouterr().out


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
