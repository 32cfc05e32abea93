"""The command line as a person uses it: text, exit status, and nothing left behind."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest
from pipeline.classes import SHORT_CLASS

from cuetrack.cli.main import main

EXAMPLES = sorted((Path(__file__).parents[2] / "examples").glob("*.yaml"))


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_every_example_checks(path, capsys):
    """Each plan in examples/ can be made as it is."""
    assert main(["check", str(path)]) == 0
    assert "Welcome" in capsys.readouterr().out


def test_make_then_verify(plan_path, tmp_path, capsys):
    """Two commands give a track and the proof that it is on time."""
    out = tmp_path / "my class"
    assert main(["make", str(plan_path), "--out", str(out), "--format", "flac"]) == 0
    text = capsys.readouterr().out
    assert "short.flac" in text
    assert "cuetrack verify" in text
    assert sorted(path.name for path in out.iterdir()) == [
        "short.cues.json",
        "short.flac",
        "short.vtt",
    ]
    assert main(["verify", str(out / "short.flac")]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert "are on time" in lines[0]
    assert len(lines) > 24
    assert lines[-1] == lines[0]
    assert main(["verify", str(out / "short.flac"), "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["measured"]["passed"] is True


def test_a_plan_named_from_its_own_folder_is_made_there(plan_path, monkeypatch):
    """Where the plan stands is the folder, however short the path to it is."""
    monkeypatch.chdir(plan_path.parent)
    assert main(["make", plan_path.name, "--format", "wav"]) == 0
    assert plan_path.with_suffix(".wav").exists()


def test_a_plan_with_mistakes_tells_all_of_them(tmp_path, capsys):
    """Each mistake stands on a line of its own, with file, line and column."""
    path = tmp_path / "bad.yaml"
    path.write_text("titel: x\nwarm-up: [march: -3 s]\nvoice: jo\n", encoding="utf-8")
    assert main(["check", str(path)]) == 1
    lines = capsys.readouterr().err.splitlines()
    assert any(line.startswith(f"{path}:1:1:") for line in lines)
    assert any(line.startswith(f"{path}:2:") for line in lines)
    assert any(line.startswith(f"{path}:3:") and "joe" in line for line in lines)


@pytest.mark.parametrize(
    ("words", "status"),
    [
        ([], 0),
        (["dance"], 2),
        (["make", "x.yaml", "--format", "wma"], 2),
        (["check", "no such plan.yaml"], 1),
        (["verify", "no such track.mp3"], 1),
        (["--version"], 0),
        (["make", "--help"], 0),
    ],
)
def test_exit_status(words, status, capsys):
    """0 done, 1 the plan or track falls short, 2 the command was wrong."""
    try:
        found = main(words)
    except SystemExit as exit_:
        found = exit_.code
    assert found == status
    assert "Traceback" not in capsys.readouterr().err


def test_a_file_where_a_folder_should_be(plan_path, tmp_path, capsys):
    """--out that names a file is refused with advice."""
    (tmp_path / "taken").write_text("x")
    assert main(["make", str(plan_path), "--out", str(tmp_path / "taken")]) == 1
    assert "--out" in capsys.readouterr().err


def test_ctrl_c_before_anything_has_begun_is_no_traceback(monkeypatch, capsys):
    """Whoever stops while the program is still starting is told so too."""

    def stopped():
        raise KeyboardInterrupt

    monkeypatch.setattr("cuetrack.cli.arguments.parser", stopped)
    assert main(["check", "short.yaml"]) == 130
    assert "Stopped" in capsys.readouterr().err


@pytest.mark.skipif(sys.platform == "win32", reason="signals differ on Windows")
@pytest.mark.parametrize("name", ["SIGINT", "SIGTERM", "SIGHUP"])
def test_a_stop_leaves_no_half_file(plan_path, tmp_path, name):
    """Stopped while it writes, make says so, leaves no file behind and keeps the old.

    The exit status is that of POSIX shells for a signal: 128 and its number.
    """
    out = tmp_path / "out"
    out.mkdir()
    (out / "short.cues.json").write_text("old", encoding="utf-8")
    long_class = SHORT_CLASS.replace("cool-down: {for: 40 s", "cool-down: {for: 55 min")
    plan_path.write_text(long_class, encoding="utf-8")
    command = ["make", str(plan_path), "--out", str(out), "--overwrite"]
    process = subprocess.Popen(
        [sys.executable, "-m", "cuetrack", *command],
        stderr=subprocess.PIPE,
        env=os.environ | {"PYTHONUNBUFFERED": "1"},
    )
    deadline = time.monotonic() + 60
    while not list(out.glob(".*.cuetrack-part/*")) and time.monotonic() < deadline:
        assert process.poll() is None
        time.sleep(0.05)
    number = getattr(signal, name)
    process.send_signal(number)
    _, error = process.communicate(timeout=60)
    assert process.returncode == 128 + number
    assert b"Traceback" not in error
    assert b"Stopped" in error
    assert [path.name for path in out.iterdir()] == ["short.cues.json"]
    assert (out / "short.cues.json").read_text(encoding="utf-8") == "old"
