"""``cuetrack fit`` as a leader uses it."""

from pathlib import Path

import pytest

from cuetrack.cli.fit import HELD
from cuetrack.cli.main import main
from cuetrack.planning.alternatives import KINDS

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


def test_a_bare_number_counts_minutes(plan, tmp_path):
    """25 is the slot that "25 min" is, as in the questions for a new class."""
    for slot in ("25", "25 min"):
        assert (
            main(["fit", str(plan), "--to", slot, "--out", f"{tmp_path}/{slot}"]) == 0
        )
    assert (tmp_path / "25").read_bytes() == (tmp_path / "25 min").read_bytes()


def test_a_time_that_is_none_is_wrong_usage(plan, capsys):
    """Status 2, with an example of a time."""
    assert main(["fit", str(plan), "--to", "soon"]) == 2
    assert 'such as "30 min"' in capsys.readouterr().err


def test_fit_shows_what_was_chosen_and_what_else_was_possible(plan, capsys):
    """One table; what is held says so, and no finding of the review is new."""
    assert main(["fit", str(plan), "--to", "30 min", "--keep", "work"]) == 0
    shown = capsys.readouterr().out
    rows = {line.split("  ")[0]: line for line in shown.splitlines()}
    assert "could be" in rows["what"]
    assert rows["intervals, work"].rstrip().endswith("kept")
    assert rows["warm-up"].rstrip().endswith("5 min to 10 min")
    assert "New in the plan review" not in shown
    assert "planned anew: cuetrack new --minutes 30" in shown


def test_when_stuck_the_advice_frees_what_is_held(plan, capsys):
    """What is named does help, and what is not held is not named."""
    held = ["--keep", "rounds", "--keep", "breaks"]
    assert main(["fit", str(plan), "--to", "15 min", *held]) == 1
    told = capsys.readouterr().err
    assert "It can be done without --keep rounds." in told
    assert main(["fit", str(plan), "--to", "15 min", *held[2:]]) == 0


def test_every_word_of_keep_says_what_it_holds(capsys):
    """One sentence for each, in the help."""
    with pytest.raises(SystemExit):
        main(["fit", "--help"])
    shown = " ".join(capsys.readouterr().out.split())
    for kind, what in HELD.items():
        assert f"{kind} {what}" in shown
    assert set(HELD) == set(KINDS)
