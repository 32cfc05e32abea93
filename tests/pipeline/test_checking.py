"""What is told of a plan before anything is spoken."""

from __future__ import annotations

import pytest
from pipeline.classes import SHORT_CLASS

from cuetrack.errors import PlanError
from cuetrack.pipeline.checking import cue_sheet, read_plan


def plan_that_says(tmp_path, text, pronounced):
    path = tmp_path / "class.yaml"
    welcome = f'welcome: {{for: 20 min, say: "{text}"}}'
    written = SHORT_CLASS.replace("welcome: 45 s", welcome)
    path.write_text(f'{written}pronounce: {{a: "{pronounced}"}}\n', encoding="utf-8")
    return read_plan(path)


def test_a_text_that_grows_without_end_is_told_before_it_is_spoken(tmp_path):
    """A quarter of an hour in one breath took two gigabytes."""
    plan = plan_that_says(tmp_path, "a " * 149, "banana " * 17)
    with pytest.raises(PlanError) as caught:
        cue_sheet(plan)
    (problem,) = caught.value.problems
    assert (problem.line, problem.column) == (3, 29)
    assert "letters long when spoken" in problem.what


def test_the_longest_text_in_figures_may_be_said(tmp_path):
    """Three hundred digits are words of fifteen hundred letters."""
    assert cue_sheet(plan_that_says(tmp_path, "9" * 300, "ay")).cues
