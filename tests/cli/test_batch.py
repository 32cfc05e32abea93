"""``cuetrack batch``: a table at the end, or a line of JSON for each track."""

from __future__ import annotations

import json

import pytest
from pipeline.classes import SHORT_CLASS

from cuetrack.cli.main import main


@pytest.fixture
def folder(tmp_path):
    """A folder with a plan of one minute's work, and with one that is none."""
    (tmp_path / "short.yaml").write_text(SHORT_CLASS, encoding="utf-8")
    (tmp_path / "bad.yaml").write_text("titel: x\n", encoding="utf-8")
    return tmp_path


def test_a_batch_shows_what_became_of_each(folder, capsys):
    """The second time there is nothing to do; what failed is told with its place."""
    words = ["batch", str(folder), "--format", "wav", "--processes", "1"]
    assert main(words) == 1
    out = capsys.readouterr().out
    assert "1 made, 0 unchanged, 1 failed." in out
    assert f"{folder / 'bad.yaml'}:1:1:" in out
    assert main([*words, "--json"]) == 1
    rows = [json.loads(line) for line in capsys.readouterr().out.splitlines()]
    assert {row["state"] for row in rows} == {"unchanged", "failed"}
    assert {row["track"] for row in rows} == {
        str(folder / "short.wav"),
        str(folder / "bad.wav"),
    }


@pytest.mark.parametrize(
    "more",
    [["--part", "3/2"], ["--processes", "0"], ["--voice", "nobody"], ["--out", ""]],
)
def test_what_makes_no_sense_is_refused(folder, more, capsys):
    """Before anything is made, with a word of advice."""
    (folder / "short.yaml").unlink()
    assert main(["batch", str(folder), *more]) in {1, 2}
    assert capsys.readouterr().err or "--out" in more
    assert not list(folder.glob("*.mp3"))
