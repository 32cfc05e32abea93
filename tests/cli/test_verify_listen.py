"""``verify --listen`` where no recogniser is installed."""

from __future__ import annotations

import importlib.util

from cuetrack.cli.main import main


def test_without_a_recogniser_one_sentence_says_how_to_get_it(monkeypatch, capsys):
    """Asked before anything is measured; no traceback."""
    find = importlib.util.find_spec
    monkeypatch.setattr(
        importlib.util,
        "find_spec",
        lambda name, *rest: None if name == "pocketsphinx" else find(name, *rest),
    )
    assert main(["verify", "class.mp3", "--listen"]) == 2
    assert 'pip install ".[listen]"' in capsys.readouterr().err


def test_the_limits_are_told_without_a_file(capsys):
    """What can be told of a file is asked for by itself; else a file is needed."""
    assert main(["verify", "--limits"]) == 0
    assert "What it cannot tell" in capsys.readouterr().out
    assert main(["verify"]) == 2
    assert "Name it: verify TRACK." in capsys.readouterr().err
