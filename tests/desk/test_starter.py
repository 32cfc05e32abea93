"""The starter makes its environment once, and says in plain words what is wrong."""

from __future__ import annotations

import importlib.util
import os
import shutil
import subprocess
from pathlib import Path

import pytest

from tests.benchmarks.starting import exec_arguments

STARTER = Path(__file__).parents[2] / "examples" / "start-desk"
POSIX = pytest.mark.skipif(os.name == "nt", reason="for the systems that have sh")


@pytest.fixture
def starter(tmp_path, monkeypatch):
    """The module of the starter, in a folder of its own with a wheel beside it."""
    spec = importlib.util.spec_from_file_location("start", STARTER / "start-desk.py")
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    for name in ("PARTS", "ENVIRONMENT", "STAMP", "CLASSES", "LOG"):
        old = getattr(module, name)
        monkeypatch.setattr(module, name, tmp_path / old.relative_to(STARTER))
    monkeypatch.setattr(module, "HERE", tmp_path)
    (tmp_path / "cuetrack-1-py3-none-any.whl").write_bytes(b"one")
    return module


@pytest.fixture
def commands(starter, monkeypatch):
    """What the starter runs, in order; all of it succeeds."""
    ran = []
    monkeypatch.setattr(starter, "logged", lambda command: ran.append(command) or 0)
    good = subprocess.CompletedProcess([], 0)
    monkeypatch.setattr(
        starter.subprocess, "run", lambda command, **_: ran.append(command) or good
    )
    return ran


def test_the_environment_is_made_once(starter, commands, capsys):
    """Then it opens at once, until what it is made of is another, or it was moved."""
    assert starter.main(["--no-browser"]) == 0
    assert [words[2] for words in commands] == ["venv", "pip", "cuetrack"]
    assert "first start" in capsys.readouterr().out
    commands.clear()
    assert starter.main([]) == 0
    assert commands == [
        [str(starter.python()), "-m", "cuetrack", "desk", str(starter.CLASSES)]
    ]
    assert "first start" not in capsys.readouterr().out
    (starter.HERE / "cuetrack-1-py3-none-any.whl").write_bytes(b"another")
    commands.clear()
    assert starter.main([]) == 0
    assert len(commands) == 3


def test_one_that_was_broken_off_is_made_anew(starter, commands):
    """Only an environment that was made to its end counts."""
    starter.ENVIRONMENT.mkdir()
    (starter.ENVIRONMENT / "half").write_text("")
    assert starter.main([]) == 0
    assert len(commands) == 3
    assert not (starter.ENVIRONMENT / "half").exists()


def test_what_lies_beside_is_taken_before_the_network(starter, commands):
    """With a folder of parts the first start asks nobody where they fit."""
    starter.PARTS.mkdir()
    assert starter.main([]) == 0
    assert "--no-index" in commands[1]
    assert len(commands) == 3


@pytest.mark.parametrize(
    ("status", "words"), [((1,), "python3-venv"), ((0, 1), "connected to the internet")]
)
def test_what_fails_is_told_with_what_to_do(
    starter, monkeypatch, capsys, status, words
):
    """A missing part of Python, no network: and the next start tries again."""
    answers = iter(status)
    monkeypatch.setattr(starter, "logged", lambda _: next(answers))
    assert starter.main([]) == 1
    assert words in capsys.readouterr().out
    assert not starter.STAMP.exists()


@pytest.mark.parametrize("lack", ["links", "room", "wheel"])
def test_a_place_that_does_not_do_is_told(starter, monkeypatch, capsys, lack):
    """A stick that holds no links, a full disk, a folder that was half copied."""
    if lack == "links":
        monkeypatch.setattr(
            Path, "symlink_to", lambda *_: (_ for _ in ()).throw(OSError)
        )
    elif lack == "room":
        usage = shutil.disk_usage(starter.HERE)._replace(free=10**6)
        monkeypatch.setattr(starter.shutil, "disk_usage", lambda _: usage)
    else:
        (starter.HERE / "cuetrack-1-py3-none-any.whl").unlink()
        monkeypatch.setattr(starter, "REPOSITORY", starter.HERE / "none")
    if lack == "links" and os.name == "nt":
        pytest.skip("no links are needed there")
    assert starter.main([]) == 1
    told = capsys.readouterr().out
    assert "Copy" in told or "copy" in told


def no_links(*_):
    raise OSError("not on this stick")


@pytest.fixture
def stick(tmp_path):
    """The shell's part of the starter in an oddly named folder, its Python a stub."""
    folder = tmp_path / "Ann's stick #1 & é"
    folder.mkdir()
    for ending in ("sh", "command", "desktop"):
        shutil.copy(STARTER / f"start-desk.{ending}", folder)
    (folder / "start-desk.py").write_text("import sys; print('ran', sys.argv[1:])")
    return folder


@POSIX
@pytest.mark.parametrize("name", ["start-desk.desktop", "start-desk.command"])
def test_a_double_click_starts_what_lies_beside(stick, name):
    """By the rules of the desktop entry, or as a program, from wherever it lies."""
    words = exec_arguments(stick / name) if "desktop" in name else [str(stick / name)]
    ran = subprocess.run(words, cwd="/", capture_output=True, text=True, check=True)
    assert ran.stdout == "ran []\n"


@POSIX
def test_without_python_it_says_how_to_get_it(stick, tmp_path):
    """In words, and with a status; an older Python counts as none."""
    tools = tmp_path / "tools"
    tools.mkdir()
    for name in ("sh", "dirname", "uname"):
        (tools / name).symlink_to(shutil.which(name))
    (tools / "python3").write_text("#!/bin/sh\nexit 1\n")
    (tools / "python3").chmod(0o755)
    ran = subprocess.run(
        [shutil.which("sh"), str(stick / "start-desk.sh")],
        env={"PATH": str(tools)},
        stdin=subprocess.DEVNULL,
        capture_output=True,
        text=True,
        check=False,
    )
    assert ran.returncode == 1
    assert "3.11 or newer" in ran.stdout
    assert ran.stderr == ""


def test_the_starter_for_windows_has_its_line_ends():
    """A batch file with other line ends may lose its labels."""
    lines = (STARTER / "start-desk.cmd").read_bytes().split(b"\n")[:-1]
    assert all(line.endswith(b"\r") for line in lines)
    assert b"%python% start-desk.py %*\r" in lines
