"""A class is made without the network."""

from __future__ import annotations

import subprocess
import sys

from pipeline.classes import SHORT_CLASS

_WATCHED = """\
import sys
from cuetrack.cli.main import main

def refuse(event, _):
    if event.startswith("socket.") or event in {"subprocess.Popen", "os.system"}:
        raise AssertionError(event)

sys.addaudithook(refuse)
sys.exit(main(sys.argv[1:]))
"""
"""Python tells its audit hooks of every socket and every program that is started
(the table of audit events in its library reference)."""


def run(*words):
    return subprocess.run(
        [sys.executable, "-c", _WATCHED, *map(str, words)],
        capture_output=True,
        text=True,
        check=False,
    )


def test_everything_is_made_without_a_socket(tmp_path):
    """No socket is opened, no name looked up, no program started that could."""
    plan = tmp_path / "short.yaml"
    plan.write_text(SHORT_CLASS, encoding="utf-8")
    done = run("make", plan, "--all", "--out", tmp_path / "out", "--quiet")
    assert (done.returncode, done.stderr) == (0, "")


def test_a_socket_would_be_noticed(tmp_path):
    """A voice of the system is spoken by a program of its own, which is refused."""
    plan = tmp_path / "short.yaml"
    text = SHORT_CLASS.replace("espeak-en", "system")
    plan.write_text(text, encoding="utf-8")
    done = run("make", plan, "--out", tmp_path / "out", "--quiet")
    assert done.returncode != 0
    assert "AssertionError: subprocess.Popen" in done.stderr
