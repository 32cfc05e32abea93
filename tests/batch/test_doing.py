"""A piece of work: done once, told in any case, and by nobody else meanwhile."""

from __future__ import annotations

import pytest
from pipeline.classes import SHORT_CLASS

from cuetrack.batch import doing
from cuetrack.batch.doing import WorkState, do
from cuetrack.batch.work import Work


@pytest.fixture
def work(tmp_path):
    """The short class as a WAV, in a folder that is not there yet."""
    path = tmp_path / "short.yaml"
    path.write_text(SHORT_CLASS, encoding="utf-8")
    return Work(plan=str(path), folder=str(tmp_path / "out"), format="wav")


def test_a_track_is_made_once_and_again_when_its_plan_changes(work, tmp_path):
    """Nothing is asked for: the files are those of the batch itself."""
    first, second = do(work), do(work)
    assert (first.state, second.state) == (WorkState.MADE, WorkState.UNCHANGED)
    assert first.duration_ms == second.duration_ms > 0
    plan = tmp_path / "short.yaml"
    plan.write_text(SHORT_CLASS.replace("Short class", "Brief class"), "utf-8")
    assert do(work).state == WorkState.MADE
    assert "Brief class" in work.track.with_suffix(".cues.json").read_text("utf-8")


def test_files_of_others_are_kept(work):
    """A file nobody made here fails the work, which names it."""
    work.track.parent.mkdir()
    work.track.write_text("precious")
    found = do(work)
    assert found.state == WorkState.FAILED
    assert "short.wav" in found.problems[0]
    assert work.track.read_text() == "precious"


def test_mistakes_of_a_plan_are_all_told(work, tmp_path):
    """Each with its place; and a plan that is not there is told too."""
    (tmp_path / "short.yaml").write_text("titel: x\nvoice: jo\n", "utf-8")
    found = do(work)
    assert found.state == WorkState.FAILED
    assert len(found.problems) == 3
    (tmp_path / "short.yaml").unlink()
    assert "short.yaml" in do(work).problems[0]


def test_a_fault_of_ours_is_an_outcome(work, monkeypatch):
    """Whatever goes wrong in one piece of work, the next is done."""

    def broken(_):
        raise ZeroDivisionError("oh")

    monkeypatch.setattr(doing, "read_plan", broken)
    assert "ZeroDivisionError: oh" in do(work).problems[0]
