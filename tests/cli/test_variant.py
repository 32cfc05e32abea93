"""``cuetrack gentler`` and ``brisker`` as a leader uses them."""

from pathlib import Path

import pytest

from cuetrack.cli.main import main

PLAN = Path(__file__).parents[2] / "examples" / "six-lines.yaml"


@pytest.mark.parametrize("manner", ["gentler", "brisker"])
def test_a_version_is_written_beside_the_plan_and_can_be_checked(
    manner, tmp_path, capsys
):
    """What is otherwise is shown; nothing is replaced unasked."""
    path = tmp_path / "tea time.yaml"
    path.write_bytes(PLAN.read_bytes())
    assert main([manner, str(path)]) == 0
    shown = capsys.readouterr().out
    assert "pace of the voice" in shown
    assert "as long as before" in shown
    written = tmp_path / f"tea time-{manner}.yaml"
    assert f'cuetrack check "{written}"' in shown
    assert main(["check", str(written)]) == 0
    assert main([manner, str(path)]) == 1
    assert path.read_bytes() == PLAN.read_bytes()
