"""A desk that is killed has kept all that it answered; the benchmark kills thirty."""

from __future__ import annotations

import sys
from random import Random

import pytest

from tests.benchmarks.desk_kills import EDITED, kill_while_edited
from tests.benchmarks.desk_process import DeskProcess


@pytest.mark.skipif(sys.platform != "linux", reason="the killer is one for Linux")
def test_a_desk_that_is_killed_has_kept_all_that_it_answered(tmp_path):
    """Three desks one after the other, each killed amid edits: every text is there."""
    plan = tmp_path / "classes" / "edited.yaml"
    plan.parent.mkdir()
    plan.write_text(EDITED, "utf-8")
    draw = Random(3)
    for after_s in (0.1, 0.3, 0.6):
        desk = DeskProcess(plan.parent, tmp_path / "store")
        faults, edits = kill_while_edited(desk, plan, draw, after_s)
        assert faults == []
        assert edits > 0
