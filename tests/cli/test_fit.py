"""``cuetrack fit`` as a leader uses it."""

from pathlib import Path

import pytest

from cuetrack.cli.main import main

HALL = Path(__file__).parents[2] / "examples" / "hall-twenty.yaml"


@pytest.fixture
def plan(tmp_path):
    path = tmp_path / "hall.yaml"
    path.write_bytes(HALL.read_bytes())
    return path


def test_fit_writes_a_new_plan_beside_the_old_one(plan, capsys):
    """The old one is untouched; what changed is told; the next command too."""
    assert main(["fit", str(plan), "--to", "25 min"]) == 0
    out = capsys.readouterr().out
    written = plan.with_name("hall-25-min.yaml")
    assert plan.read_bytes() == HALL.read_bytes()
    assert "before" in out
    assert "lasts 25 min, to the second" in out
    assert f"cuetrack check {written}" in out
    assert main(["check", str(written)]) == 0
    assert "25:00" in capsys.readouterr().out


def test_fit_never_replaces_a_plan_unasked(plan, capsys):
    """Status 1 and the file as it was; with --overwrite it is replaced."""
    taken = plan.with_name("hall-25-min.yaml")
    taken.write_text("mine", "utf-8")
    assert main(["fit", str(plan), "--to", "25 min"]) == 1
    assert taken.read_text("utf-8") == "mine"
    assert "hall-25-min.yaml" in capsys.readouterr().err
    assert main(["fit", str(plan), "--to", "25 min", "--overwrite"]) == 0
    assert "title: Twenty minutes" in taken.read_text("utf-8")


def test_fit_says_why_not(plan, capsys):
    """The nearest length that can be had is named, and nothing is written."""
    assert main(["fit", str(plan), "--to", "8 min"]) == 1
    assert "The nearest longer length is" in capsys.readouterr().err
    assert list(plan.parent.iterdir()) == [plan]


def test_a_time_that_is_none_is_wrong_usage(plan, capsys):
    """Status 2, with an example of a time."""
    assert main(["fit", str(plan), "--to", "soon"]) == 2
    assert 'such as "30 min"' in capsys.readouterr().err


def test_fit_tells_when_the_work_grows_by_much(plan, capsys):
    """Twice the length is a large step for those who come every week."""
    assert main(["fit", str(plan), "--to", "40 min"]) == 0
    assert "P01 The work grows by" in capsys.readouterr().out
    assert main(["fit", str(plan), "--to", "21 min"]) == 0
    assert "P01" not in capsys.readouterr().out
