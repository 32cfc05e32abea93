"""One command makes everything a class needs, and each thing alone."""

from __future__ import annotations

import pytest

from cuetrack.cli.main import main
from cuetrack.pipeline.handing_out import ENDINGS, IN_ALL, Handout

EVERYTHING = sorted(
    f"short{ending}"
    for ending in (
        ".cues.json",
        ".flac",
        ".vtt",
        *(ending for kind in IN_ALL for ending in ENDINGS[kind]),
    )
)


def test_everything_in_one_folder(plan_path, tmp_path):
    """--all writes each file, none empty, and the page has the sound inside."""
    out = tmp_path / "out"
    words = ["make", str(plan_path), "--all", "--format", "flac", "--out", str(out)]
    assert main(words) == 0
    assert sorted(path.name for path in out.iterdir()) == EVERYTHING
    assert all(path.stat().st_size > 100 for path in out.iterdir())
    assert (out / "short.glance.a4.pdf").read_bytes().startswith(b"%PDF")
    assert (out / "short.picture.png").read_bytes().startswith(b"\x89PNG")
    page = (out / "short.follow.html").read_text("utf-8")
    assert "data:audio/mp4;base64," in page
    assert "short.flac" not in page


def test_a_film_is_made_when_it_is_asked_for(plan_path, tmp_path, monkeypatch):
    """Not by --all; by --film, and alone, with or without captions in its picture."""
    asked = []

    def pretend(path, cue_file, track, timeline, *, captions_drawn, **_):
        assert cue_file.duration_ms == timeline.end_ms
        assert track.name == "short.flac"
        asked.append(captions_drawn)
        path.write_bytes(b"film")

    monkeypatch.setattr("cuetrack.pipeline.handing_out.film", pretend)
    assert Handout.FILM not in IN_ALL
    out = tmp_path / "out"
    where = [str(plan_path), "--out", str(out)]
    assert main(["handout", "film", *where]) == 1
    assert main(["make", *where, "--format", "flac", "--film"]) == 0
    assert (out / "short.mp4").read_bytes() == b"film"
    alone = ["handout", "film", *where, "--overwrite", "--without-captions"]
    assert main(alone) == 0
    assert asked == [True, False]


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
