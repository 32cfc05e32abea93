"""The first screen of check, as it is met on a small terminal."""

from __future__ import annotations

from pathlib import Path

import pytest
from pipeline.classes import SHORT_CLASS

from cuetrack.cli.main import main

EXAMPLES = sorted((Path(__file__).parents[2] / "examples").glob("*.yaml"))
COMMANDS = [
    *("new", "words", "check", "make", "batch", "handout", "hear", "verify", "voices"),
    *("voices try", "voices script"),
    *("movements", "weeks", "gentler", "brisker"),
]
TROUBLED = """\
title: Monday class with a title that is rather long for the first line
group: {facts: [new hip, thin bones, dizzy, sore shoulder]}
warm-up: [knee lift, sit to stand, side bend]
intervals:
  work: 90 s
  rest: 10 s
  rounds: 4
  movements: [overhead press, knee lift, sit to stand, straight punch, wobble]
"""


def lines_of(path, capsys, *more):
    """Return the lines that check prints of a plan, and its exit status."""
    status = main(["check", str(path), *more])
    return status, capsys.readouterr().out.splitlines()


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_a_sound_plan_fits_one_screen(path, capsys):
    """At most 24 lines of 80 columns, and the first says that it is ready."""
    status, lines = lines_of(path, capsys)
    assert status == 0
    assert lines[0].startswith("Ready to make: ")
    assert len(lines) <= 24
    assert max(map(len, lines)) < 80


def test_a_troubled_plan_fits_one_screen_too(tmp_path, capsys):
    """What needs a decision comes by weight, what has no room is counted."""
    path = tmp_path / "troubled.yaml"
    path.write_text(TROUBLED, encoding="utf-8")
    status, lines = lines_of(path, capsys)
    assert status == 1
    assert lines[0].startswith("NOT READY to make: ")
    assert len(lines) <= 24
    assert max(len(line) for line in lines if str(path) not in line) < 80
    decisions = [line for line in lines if line.startswith(("  error", "  warning"))]
    assert decisions
    assert decisions[0].startswith("  error, line ")
    assert any(line.endswith("more: --details") for line in lines)


def test_details_show_what_the_first_screen_counts(tmp_path, capsys):
    """As many rows as were counted, each with its reason, and every finding."""
    path = tmp_path / "class.yaml"
    path.write_text(SHORT_CLASS, encoding="utf-8")
    _, brief = lines_of(path, capsys)
    _, whole = lines_of(path, capsys, "--details")
    counted = next(line for line in brief if "cues are said" in line)
    assert counted.split(" Review")[0] in whole
    assert whole[0] == brief[0]
    assert any("MET-minutes" in line for line in whole)
    assert len(whole) > len(brief)


@pytest.mark.parametrize("command", COMMANDS)
def test_help_fits_eighty_columns(command, capsys, monkeypatch):
    """No line of the help of any command is cut or broken by a small terminal."""
    monkeypatch.setenv("COLUMNS", "80")
    with pytest.raises(SystemExit):
        main([*command.split(), "--help"])
    assert max(map(len, capsys.readouterr().out.splitlines())) < 80


def test_without_a_command_the_help_is_shown(capsys):
    """Nobody is scolded for typing the name alone."""
    assert main([]) == 0
    assert "cuetrack new my-class.yaml" in capsys.readouterr().out
