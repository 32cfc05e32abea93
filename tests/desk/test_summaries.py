"""The list of a folder: every class as it stands, and no file read in vain."""

from __future__ import annotations

from pipeline.classes import SHORT_CLASS

from cuetrack.desk import summaries
from cuetrack.desk.shelf import Shelf
from cuetrack.desk.summaries import summaries_of


def test_a_plan_is_read_again_only_when_its_file_changed(tmp_path, monkeypatch):
    """A track beside it counts at once, as does a changed title."""
    reads, read = [], summaries.plan_from_text
    monkeypatch.setattr(
        summaries, "plan_from_text", lambda *given: reads.append(1) or read(*given)
    )
    shelf = Shelf(tmp_path)
    (tmp_path / "a.yaml").write_text(SHORT_CLASS, "utf-8")
    (tmp_path / "b.yaml").write_text("title: [", "utf-8")
    first = summaries_of(shelf)
    assert summaries_of(shelf) == first
    assert len(reads) == 2
    assert [(bool(one.trouble), one.made) for one in first] == [(0, 0), (1, 0)]
    (tmp_path / "a.mp3").write_bytes(b"sound")
    (tmp_path / "b.mp3.txt").write_bytes(b"no sound")
    assert [one.made for one in summaries_of(shelf)] == [True, False]
    (tmp_path / "b.yaml").write_text(SHORT_CLASS.replace("title: ", "title: Our "))
    assert summaries_of(shelf)[1].title == f"Our {first[0].title}"
