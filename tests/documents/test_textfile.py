"""Whatever a person hands in as a plan, the answer is a plan or a clear refusal."""

import os
import sys

import pytest

from cuetrack.errors import PlanError
from cuetrack.plan.reading import read_plan

PLAN = "title: Klasse på øya\nwarm-up: [løft kneet]\n"


def refusal(path):
    with pytest.raises(PlanError) as caught:
        read_plan(path)
    (problem,) = caught.value.problems
    assert problem.file == str(path)
    return problem


def written(tmp_path, data):
    path = tmp_path / "class.yaml"
    path.write_bytes(data)
    return path


@pytest.mark.parametrize(
    "data",
    [
        PLAN.encode(),
        b"\xef\xbb\xbf" + PLAN.encode(),
        PLAN.replace("\n", "\r\n").encode(),
    ],
    ids=["plain", "byte order mark", "Windows line ends"],
)
def test_utf_8_is_read_however_an_editor_saves_it(tmp_path, data):
    """A mark at the start and other line ends make no difference."""
    plan = read_plan(written(tmp_path, data))
    assert plan.title == "Klasse på øya"
    assert plan.sections[1].movements[0].name == "løft kneet"
    assert plan.sections[1].place.line == 2


@pytest.mark.parametrize(
    ("data", "what"),
    [
        (b"", "The plan is empty."),
        (PLAN.encode("utf-16"), "The file is saved as UTF-16."),
        (PLAN.encode("utf-16-le"), "This is not a text file."),
        (b"PK\x03\x04" + bytes(50), "a document of a word processor or an archive"),
        (b"{\\rtf1 hello}", "a document of a word processor"),
        (b"ID3\x04" + bytes(50), "a sound file"),
        (bytes(range(256)), "This is not a text file."),
        (b"title: A\n" * 1_200_000, "The file is longer than 256 kB."),
        (b"title: A\n#" + b"x" * 300_000, "The file is longer than 256 kB."),
        (b"title: A\x07\n", "An invisible character (code 7) stands here."),
    ],
)
def test_what_is_no_plan_text_is_named(tmp_path, data, what):
    """The message says what the file is, and how to save it."""
    problem = refusal(written(tmp_path, data))
    assert what in problem.what
    assert problem.remedy.endswith(".")


def test_a_letter_in_another_encoding_is_found(tmp_path):
    """An old encoding is told at the line and column of its first letter."""
    problem = refusal(
        written(tmp_path, "title: A\nbring: [blå stol]\n".encode("latin-1"))
    )
    assert "not saved as UTF-8" in problem.what
    assert (problem.line, problem.column) == (2, 11)


def test_a_missing_file_and_a_folder_are_told(tmp_path):
    """Neither needs a look into a manual."""
    assert refusal(tmp_path / "none.yaml").what == "There is no such file."
    assert refusal(tmp_path).what == "This is a folder."
    assert refusal(tmp_path / ("x" * 5000)).remedy


@pytest.mark.skipif(sys.platform == "win32", reason="named pipes are a POSIX matter")
def test_a_pipe_is_not_waited_for(tmp_path):
    """What is no ordinary file is refused, not read."""
    os.mkfifo(tmp_path / "pipe")
    assert refusal(tmp_path / "pipe").what == "This is no ordinary file."


def test_a_file_that_may_not_be_read_is_told(tmp_path, monkeypatch):
    """The reason of the system is passed on."""
    path = written(tmp_path, PLAN.encode())

    def refuse(*_args, **_options):
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(type(path), "open", refuse)
    assert refusal(path).what == "The file cannot be read (Permission denied)."
