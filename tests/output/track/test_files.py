"""Files appear whole or not at all, and none is lost."""

from __future__ import annotations

import errno
import os
import stat
import subprocess
import sys
from pathlib import Path

import pytest
from hypothesis import example, given
from hypothesis import strategies as st
from pathvalidate import validate_filename

from cuetrack.errors import OutputError
from cuetrack.output.track import files
from cuetrack.output.track.files import explained, replacing, safe_name, write_text


def only(folder):
    return sorted(path.name for path in folder.iterdir())


def test_text_is_utf8_with_plain_line_ends(tmp_path):
    """The bytes are the same on every system."""
    write_text(tmp_path / "a.txt", "Fußkreisen\nzwei\n")
    assert (tmp_path / "a.txt").read_bytes() == "Fußkreisen\nzwei\n".encode()
    assert only(tmp_path) == ["a.txt"]


def test_an_existing_file_is_kept(tmp_path):
    """Nothing is replaced unasked."""
    (tmp_path / "a.txt").write_text("old", encoding="utf-8")
    with pytest.raises(OutputError, match=r"already there and was kept"):
        write_text(tmp_path / "a.txt", "new")
    assert (tmp_path / "a.txt").read_text(encoding="utf-8") == "old"
    assert only(tmp_path) == ["a.txt"]


def test_an_existing_file_is_replaced_when_asked(tmp_path):
    """With leave the new text takes its place."""
    (tmp_path / "a.txt").write_text("old", encoding="utf-8")
    write_text(tmp_path / "a.txt", "new", overwrite=True)
    assert (tmp_path / "a.txt").read_text(encoding="utf-8") == "new"
    assert only(tmp_path) == ["a.txt"]


@pytest.mark.parametrize("links", [True, False])
def test_a_file_that_appears_meanwhile_is_kept(tmp_path, monkeypatch, links):
    """Someone else's file of the same name wins, with links on the disk or without."""
    if not links:
        monkeypatch.setattr(Path, "hardlink_to", _no_links)
    path = tmp_path / "a.txt"
    with (
        pytest.raises(OutputError, match="already there"),
        replacing(path, overwrite=False),
    ):
        path.write_text("theirs", encoding="utf-8")
    assert path.read_text(encoding="utf-8") == "theirs"
    assert only(tmp_path) == ["a.txt"]


def _no_links(_, __):
    raise OSError(errno.EPERM, "Operation not permitted")


def test_a_disk_without_links_takes_files_too(tmp_path, monkeypatch):
    """Memory sticks know no links."""
    monkeypatch.setattr(Path, "hardlink_to", _no_links)
    write_text(tmp_path / "a.txt", "text")
    assert (tmp_path / "a.txt").read_text(encoding="utf-8") == "text"
    assert only(tmp_path) == ["a.txt"]


@pytest.mark.parametrize("error", [KeyboardInterrupt(), SystemExit(), ValueError()])
def test_nothing_stays_of_a_failed_file(tmp_path, error):
    """Also an interruption removes what was begun."""

    def write_half():
        with replacing(tmp_path / "a", overwrite=False) as part:
            part.write_text("half", encoding="utf-8")
            raise error

    with pytest.raises(type(error)):
        write_half()
    assert only(tmp_path) == []


def test_a_folder_of_the_same_name_is_told(tmp_path):
    """A folder cannot be replaced by a file, not even when asked."""
    with pytest.raises(OutputError, match="there is a folder of this name"):
        write_text(tmp_path, "text", overwrite=True)


def test_a_missing_folder_is_told(tmp_path):
    """The message says what to do."""
    with pytest.raises(OutputError, match="Make the folder first"):
        write_text(tmp_path / "none" / "a.txt", "text")


def test_a_file_in_place_of_the_folder_is_told(tmp_path):
    """The message says what stands in the way."""
    (tmp_path / "file").write_text("", encoding="utf-8")
    with pytest.raises(OutputError, match=r"a\.txt: cannot be written: "):
        write_text(tmp_path / "file" / "a.txt", "text")


@pytest.mark.parametrize(
    ("number", "words"),
    [
        (errno.ENOSPC, "the disk is full. Free some space"),
        (errno.EROFS, "the disk is read-only. Choose another folder"),
        (errno.EACCES, "not allowed. Choose a folder of your own"),
        (errno.EFBIG, "too large for this disk. Choose a smaller format"),
        (errno.EIO, "Input/output error. Check the disk"),
    ],
)
def test_what_the_system_says_becomes_advice(tmp_path, number, words):
    """Each usual trouble has its remedy, any other is told as it is."""
    with (
        pytest.raises(OutputError) as caught,
        explained(tmp_path / "a"),
    ):
        raise OSError(number, os.strerror(number))
    assert words in str(caught.value)


@pytest.mark.skipif(sys.platform == "win32", reason="rights are other there")
def test_a_read_only_folder_is_told(tmp_path):
    """A folder without the right to write is told, by a user who has no more rights."""
    if os.geteuid() == 0:
        pytest.skip("the administrator may write everywhere; run as a plain user")
    tmp_path.chmod(0o500)
    try:
        with pytest.raises(OutputError, match="Choose a folder of your own"):
            write_text(tmp_path / "a.txt", "text")
    finally:
        tmp_path.chmod(0o700)


@pytest.mark.skipif(sys.platform == "win32", reason="limits are other there")
def test_a_real_limit_of_the_system_is_told(tmp_path):
    """A file that may not grow further: a true refusal by the operating system."""
    code = (
        "import resource, signal, sys; from pathlib import Path\n"
        "from cuetrack.output.track.files import write_text\n"
        "from cuetrack.errors import OutputError\n"
        "signal.signal(signal.SIGXFSZ, signal.SIG_IGN)\n"
        "resource.setrlimit(resource.RLIMIT_FSIZE, (1000, 1000))\n"
        "try: write_text(Path(sys.argv[1]), 'x' * 5000)\n"
        "except OutputError as error: print(error)\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", code, str(tmp_path / "a.txt")],
        check=True,
        capture_output=True,
        text=True,
    )
    assert "it is too large for this disk" in done.stdout
    assert only(tmp_path) == []


@pytest.mark.skipif(sys.platform == "win32", reason="rights are other there")
def test_a_file_has_the_usual_rights(tmp_path):
    """Others may read it as they may any file made here."""
    write_text(tmp_path / "a.txt", "text")
    (tmp_path / "b.txt").write_text("text", encoding="utf-8")
    modes = {stat.S_IMODE(path.stat().st_mode) for path in tmp_path.iterdir()}
    assert len(modes) == 1


@pytest.mark.outside
@given(st.text(max_size=300))
@example("con")
@example("LPT1.final")
@example("..")
@example('a/b\\c:d*e?f"g<h>i|j')
@example("ü" * 300)
def test_any_title_gives_a_name_every_system_takes(title):
    """The rules are those of the pathvalidate library for all platforms."""
    name = safe_name(title)
    validate_filename(f"{name}.cues.json", platform="universal", max_len=200)
    assert safe_name(name) == name


def test_long_names_that_begin_alike_stay_apart():
    """The track of one plan never takes the name of another's."""
    weeks = [safe_name("Sanfte Übungen im Stuhl " * 8 + f"Woche {n}") for n in (1, 2)]
    assert weeks[0] != weeks[1]
    assert all(name.startswith("Sanfte Übungen im Stuhl") for name in weeks)
    assert all(len(name.encode()) <= 120 for name in weeks)


def test_names_keep_their_letters():
    """Letters of other languages, marks and digits stay."""
    title = "Sanfte 10 Minuten (ü60), Teil 2"
    assert safe_name(title) == title


def test_the_temporary_name_is_hidden_and_beside(tmp_path):
    """What is being written lies in the same folder, so that renaming is one step."""
    with replacing(tmp_path / "a.txt", overwrite=False) as part:
        assert part.parent == tmp_path
        assert part.name.startswith(".")
    assert files._REMEDIES[errno.ENOSPC].startswith("the disk is full")
