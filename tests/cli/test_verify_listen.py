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
