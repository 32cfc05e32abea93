"""One command makes everything a class needs, and each thing alone."""

from __future__ import annotations

import pytest
from pipeline.classes import SHORT_CLASS

from cuetrack.cli.main import main
from cuetrack.pipeline.handing_out import ENDINGS, IN_ALL

EVERYTHING = sorted(
    f"short{ending}"
    for ending in (
        ".cues.json",
        ".flac",
        ".vtt",
        *(ending for kind in IN_ALL for ending in ENDINGS[kind]),
    )
)


@pytest.fixture
def plan_path(tmp_path):
    path = tmp_path / "short.yaml"
    path.write_text(SHORT_CLASS, encoding="utf-8")
    return path


def test_everything_in_one_folder(plan_path, tmp_path):
    """--all writes each file, none empty, and the page names the track beside it."""
    out = tmp_path / "out"
    words = ["make", str(plan_path), "--all", "--format", "flac", "--out", str(out)]
    assert main(words) == 0
    assert sorted(path.name for path in out.iterdir()) == EVERYTHING
    assert all(path.stat().st_size > 100 for path in out.iterdir())
    assert (out / "short.glance.a4.pdf").read_bytes().startswith(b"%PDF")
    assert (out / "short.picture.png").read_bytes().startswith(b"\x89PNG")
    assert "short.flac" in (out / "short.follow.html").read_text("utf-8")


def test_the_page_of_a_small_track_needs_no_other_file(plan_path, tmp_path):
    """A lossy track lies inside its page, which can be sent by itself."""
    out = tmp_path / "out"
    words = ["make", str(plan_path), "--format", "m4a", "--out", str(out)]
    assert main(words) == 0
    assert main(["handout", "follow-page", str(plan_path), "--out", str(out)]) == 0
    page = out / "short.follow.html"
    assert page.stat().st_size > (out / "short.m4a").stat().st_size
    assert "short.m4a" not in page.read_text("utf-8")


def test_a_handout_that_is_there_is_kept_before_anything_is_made(plan_path, tmp_path):
    """A precious notice stops the whole make, which writes nothing else."""
    out = tmp_path / "out"
    out.mkdir()
    (out / "short.notice.txt").write_text("precious")
    assert main(["make", str(plan_path), "--all", "--out", str(out)]) == 1
    assert [path.name for path in out.iterdir()] == ["short.notice.txt"]
    assert (out / "short.notice.txt").read_text() == "precious"


@pytest.mark.parametrize(
    "kind", ["glance-sheet", "home-sheet", "picture", "run-sheet", "notice"]
)
def test_what_needs_no_track_is_made_alone(plan_path, tmp_path, kind):
    """Sheets, picture and notice come from the plan."""
    out = tmp_path / "out"
    assert main(["handout", kind, str(plan_path), "--out", str(out)]) == 0
    assert sorted(path.name for path in out.iterdir()) == sorted(
        f"short{ending}" for ending in ENDINGS[kind]
    )


@pytest.mark.parametrize("kind", ["follow-page", "plot", "captions"])
def test_what_needs_a_track_says_so_or_is_made_from_it(
    plan_path, tmp_path, kind, capsys
):
    """Without a cue sheet the advice names it; with one, the files are there."""
    out = tmp_path / "out"
    words = ["handout", kind, str(plan_path), "--out", str(out)]
    assert main(words) == 1
    assert "short.cues.json" in capsys.readouterr().err
    make = ["make", str(plan_path), "--format", "flac", "--out", str(out)]
    assert main(make) == 0
    assert main(words) == 0
    assert all((out / f"short{ending}").exists() for ending in ENDINGS[kind])
