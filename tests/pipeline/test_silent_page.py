"""The follow page can be looked at before a word is spoken."""

from __future__ import annotations

import pytest
from pipeline.classes import SHORT_CLASS

from cuetrack.cli.main import main
from cuetrack.speech.speaker import StoredSpeaker


@pytest.fixture
def path(tmp_path):
    path = tmp_path / "short.yaml"
    path.write_text(SHORT_CLASS, "utf-8")
    return path


def test_a_page_is_made_without_speech(path, monkeypatch, capsys):
    """It holds every movement, and nothing is spoken for it."""

    def speak(*_, **__):
        raise AssertionError("spoken")

    monkeypatch.setattr(StoredSpeaker, "speak", speak)
    words = ["handout", "follow-page", str(path), "--silent"]
    assert main(words) == 0
    page = path.with_name("short.silent.follow.html")
    assert str(page) in capsys.readouterr().out
    text = page.read_text("utf-8")
    assert "Short class at Larkfield Hall" in text
    assert len(text) < 2_000_000
    assert main(words) == 1
    assert "--overwrite" in capsys.readouterr().err
    assert main([*words, "--overwrite"]) == 0


def test_only_the_page_is_silent(path, capsys):
    """Another kind is refused in words."""
    assert main(["handout", "notice", str(path), "--silent"]) == 2
    assert "follow page" in capsys.readouterr().err
