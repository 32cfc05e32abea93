"""Text from people is plain text, and every screen is given what it can show."""

from __future__ import annotations

import io
import json
import os
import re
import subprocess
import sys
import unicodedata
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pipeline.classes import SHORT_CLASS

import cuetrack
from cuetrack.cli.main import main
from cuetrack.cli.plain import show_what_the_screen_can, without_controls
from cuetrack.cli.show import console
from cuetrack.cli.watch import watching

TITLE = r"[red]Monday [/] \[x] [link=http://a] :wave:"
FOLDER = "[b]our [/b] [x]"
STEM = "[i]class [x]"
TOP = Path(cuetrack.__file__).parents[1]


def _class_called(title):
    return SHORT_CLASS.replace("Short class at Larkfield Hall", json.dumps(title))


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    """A plan, and a track of it, whose title and path are full of brackets."""
    folder = tmp_path_factory.mktemp("plain") / FOLDER
    folder.mkdir(parents=True)
    plan = folder / f"{STEM}.yaml"
    plan.write_text(_class_called(TITLE), encoding="utf-8")
    assert main(["make", str(plan), "--format", "wav", "--quiet"]) == 0
    return folder


@pytest.mark.parametrize(
    ("words", "shows"),
    [
        (["check", "{plan}"], [TITLE]),
        (
            ["make", "{plan}", "--out", "{folder}/m", "--format", "wav"],
            [TITLE, "{folder}/m/", 'Measure it:  cuetrack verify "{folder}/m/'],
        ),
        (["handout", "notice", "{plan}"], ["{folder}/", ".notice.txt"]),
        (["verify", "{track}"], ["are on time"]),
        (["fit", "{plan}", "--to", "16 min"], [TITLE, 'check "{folder}/']),
        (["weeks", "{plan}", "--weeks", "2"], ['check "{folder}/' + STEM]),
        (["gentler", "{plan}"], ['check "{folder}/' + STEM]),
        (["brisker", "{plan}"], ['check "{folder}/' + STEM]),
        (["new", "{folder}/n.yaml", "--yes"], ['make "{folder}/n.yaml"']),
        (["movements", TITLE], ["No movement fits"]),
        (["check", "{folder}/[no].yaml"], ["{folder}/[no].yaml"]),
        (["verify", "{folder}/[no].wav"], ["{folder}/[no].wav"]),
    ],
    ids=lambda value: value[0] if value[0].isalpha() else "",
)
def test_brackets_are_shown_as_they_were_written(folder, words, shows, capsys):
    """No command takes brackets in titles and paths for its own markup."""
    names = {
        "folder": folder,
        "plan": folder / f"{STEM}.yaml",
        "track": next(folder.glob("*.wav")),
    }
    if words[0] in {"handout", "fit", "weeks", "gentler", "brisker", "new", "make"}:
        words = [*words, "--overwrite"]
    main([word.format(**names) for word in words])
    told = "".join(capsys.readouterr())
    for text in shows:
        assert text.format(**names) in told


def test_only_one_place_makes_a_console():
    """What is shown as plain text there is shown so by every command."""
    makers = [
        path.name
        for path in Path(cuetrack.__file__).parent.rglob("*.py")
        if re.search(
            r"\bConsole\(|\bfrom_markup\b|rich\.print", path.read_text("utf-8")
        )
    ]
    assert makers == ["show.py"]


@pytest.mark.skipif(sys.platform == "win32", reason="no such file names there")
@pytest.mark.parametrize("command", ["check", "fit"])
def test_control_characters_of_a_plan_never_reach_the_screen(tmp_path, command, capsys):
    """No text or key, nor the name of a file, can colour, clear or retitle it."""
    hostile = "\x1b[31mred\x1b]0;owned\x07 \x9b2J \u202eback"
    more = ["--to", "16 min"] * (command == "fit")
    plan = tmp_path / os.fsdecode("a\x1b[2J\u202eb.yaml".encode())
    plan.write_text(_class_called("\u202eMonday"), encoding="utf-8")
    assert main([command, str(plan), *more]) == 0
    assert main([command, f"{plan}x", *more]) == 1
    text = f"{_class_called(hostile)}{json.dumps(hostile)}: 1\n"
    plan.write_text(text.replace("[heel dig,", f"[{json.dumps(hostile)},"), "utf-8")
    assert main([command, str(plan), *more]) == 1
    told = "".join(capsys.readouterr())
    assert "red" in told
    assert not re.search("[\x00-\x09\x0b-\x1f\x7f-\x9f\u202e]", told)


def test_control_characters_of_a_wrong_command_are_not_shown(capsys):
    """Names of files that a shell filled in are text from people, too."""
    with pytest.raises(SystemExit):
        main(["check", "one.yaml", "\x1b[31mtwo.yaml"])
    told = capsys.readouterr().err
    assert "?[31mtwo.yaml" in told
    assert "\x1b" not in told


@given(st.text())
def test_plain_text_holds_nothing_for_a_terminal_but_line_ends(text):
    """Every control character of Unicode's category Cc but the line feed is gone."""
    plain = without_controls(text)
    assert len(plain) == len(text)
    assert {c for c in plain if unicodedata.category(c) == "Cc"} <= {"\n"}


SCREENS = {
    "ascii": {"PYTHONIOENCODING": "ascii"},
    "cp1252": {"PYTHONIOENCODING": "cp1252"},
    "cp437": {"PYTHONIOENCODING": "cp437"},
    "locale C": {"LC_ALL": "C", "PYTHONUTF8": "0", "PYTHONCOERCECLOCALE": "0"},
}


ONE_AFTER_ANOTHER = """
import json
import sys
from cuetrack.cli.main import main
for words in json.loads(sys.argv[1]):
    try:
        status = main(words)
    except SystemExit as ended:
        status = ended.code
    print(f"status {status}", flush=True)
"""


def _run(commands, screen):
    """Return what is told, and the statuses, of commands run by one interpreter."""
    clean = {k: v for k, v in os.environ.items() if not k.startswith("PYTHONIO")}
    words = json.dumps([[str(word) for word in command] for command in commands])
    return subprocess.run(
        [sys.executable, "-c", ONE_AFTER_ANOTHER, words],
        env=clean | {"PYTHONPATH": str(TOP)} | SCREENS[screen],
        capture_output=True,
        check=False,
        timeout=240,
    )


@pytest.mark.parametrize("screen", SCREENS)
def test_no_encoding_of_a_screen_ends_in_a_traceback(folder, tmp_path, screen):
    """Work is done and told on every screen, letters it lacks replaced."""
    plan = tmp_path / "short.yaml"
    plan.write_text(_class_called("„Übung“ … 体操"), encoding="utf-8")
    commands = [
        ["check", plan],
        ["make", "--help"],
        ["movements"],
        ["movements", "体操"],
        ["voices"],
        ["verify", tmp_path / "Übung.mp3"],
    ]
    if screen == "ascii":  # whose letters every other screen has
        commands.append(["verify", next(folder.glob("*.wav")), "--brief"])
    run = _run(commands, screen)
    assert run.returncode == 0
    statuses = re.findall(rb"^status (\d)", run.stdout, re.MULTILINE)
    assert b"".join(statuses) == b"0001010"[: len(commands)]
    assert b"Traceback" not in run.stderr


def test_ascii_screen_gets_stand_ins_that_tell_apart(tmp_path):
    """Blocks, quotes and letters with accents stay readable in ASCII."""
    plan = tmp_path / "short.yaml"
    plan.write_text(_class_called("„Übung“ … 体操"), encoding="utf-8")
    lines = _run([["check", plan]], "ascii").stdout.decode("ascii").splitlines()
    assert lines[0].startswith('Ready to make: "Ubung" ... ??')
    assert set(lines[1]) == set(".=#_")
    assert lines[2] == "# work  = movement  _ rest  ~ recovery  . talk"


def test_blocks_that_a_screen_has_are_kept(tmp_path):
    """Code page 437 has shades and blocks, by the mapping table of Unicode, Inc."""
    plan = tmp_path / "short.yaml"
    plan.write_text(SHORT_CLASS, encoding="utf-8")
    told = _run([["check", plan]], "cp437").stdout
    assert bytes([0xDB, 0x20]) + b"work  " + bytes([0xB2, 0x20]) + b"movement" in told


class _Terminal(io.TextIOWrapper):
    def isatty(self):
        return True


def test_progress_is_drawn_on_an_ascii_terminal(monkeypatch):
    """The bar needs no letter that the terminal lacks."""
    terminal = _Terminal(io.BytesIO(), encoding="ascii", errors="strict")
    monkeypatch.setattr(sys, "stderr", terminal)
    monkeypatch.setenv("TERM", "xterm")
    monkeypatch.delenv("NO_COLOR", raising=False)
    show_what_the_screen_can()
    with watching(quiet=False) as watch:
        watch("speaking … [/]", 1, 2)
    terminal.flush()
    assert b"speaking ... [/]" in terminal.buffer.getvalue()


def test_letters_a_terminal_lacks_are_replaced_at_any_depth(monkeypatch):
    """What rich prints goes through the same stand-ins as plain prints."""
    terminal = _Terminal(io.BytesIO(), encoding="cp1252", errors="strict")
    monkeypatch.setattr(sys, "stdout", terminal)
    show_what_the_screen_can()
    console().print("█ “Übung” 体")
    terminal.flush()
    assert "# “Übung” ?".encode("cp1252") in terminal.buffer.getvalue()
