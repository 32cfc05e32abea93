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
