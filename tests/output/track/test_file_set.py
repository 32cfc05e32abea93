"""A track and what goes with it are replaced together or not at all."""

from __future__ import annotations

import errno
import os
import time
from pathlib import Path

import pytest

from cuetrack.errors import OutputError
from cuetrack.output.track import file_set
from cuetrack.output.track.file_set import replacing_set, sweep
from cuetrack.output.track.files import refuse_unwritable, write_text

NAMES = ("class.mp3", "class.cues.json", "class.vtt")
HOUR_S = 3600


def paths_in(folder):
    return [folder / name for name in NAMES]


def write_all(folder, text, *, overwrite=False):
    with replacing_set(paths_in(folder), overwrite=overwrite) as aside:
        for name in NAMES:
            write_text(aside / name, text)


def contents(folder):
    return {path.name: path.read_text("utf-8") for path in folder.iterdir()}


def aged(path, by_s):
    then = time.time() - by_s
    os.utime(path, (then, then))


def test_the_set_takes_its_names_together(tmp_path):
    """Until the last file is whole, every old one is there."""
    write_all(tmp_path, "old")
    with replacing_set(paths_in(tmp_path), overwrite=True) as aside:
        for name in NAMES:
            write_text(aside / name, "new")
            seen = [path.read_text("utf-8") for path in paths_in(tmp_path)]
            assert seen == ["old"] * len(NAMES)
    assert contents(tmp_path) == dict.fromkeys(NAMES, "new")


@pytest.mark.parametrize("error", [KeyboardInterrupt(), SystemExit(), ValueError()])
def test_whatever_stops_the_set_leaves_the_old_one(tmp_path, error):
    """Stopped between its files, nothing of the new set stays."""
    write_all(tmp_path, "old")

    def write_one_and_stop():
        with replacing_set(paths_in(tmp_path), overwrite=True) as aside:
            write_text(aside / NAMES[0], "new")
            raise error

    with pytest.raises(type(error)):
        write_one_and_stop()
    assert contents(tmp_path) == dict.fromkeys(NAMES, "old")


@pytest.mark.parametrize("failing", range(len(NAMES)))
@pytest.mark.parametrize("step", ["setting aside", "taking the name"])
def test_a_swap_that_fails_at_any_step_puts_all_back(
    tmp_path, monkeypatch, step, failing
):
    """A disk that gives up between two names leaves the old set whole."""
    write_all(tmp_path, "old")
    rename, take_name = Path.rename, file_set.take_name

    def failing_rename(path, target):
        fail_at(step == "setting aside" and path == tmp_path / NAMES[failing])
        return rename(path, target)

    def failing_take_name(path, target, **wishes):
        fail_at(step == "taking the name" and target.name == NAMES[failing])
        take_name(path, target, **wishes)

    monkeypatch.setattr(Path, "rename", failing_rename)
    monkeypatch.setattr(file_set, "take_name", failing_take_name)
    with pytest.raises(OutputError, match="Input/output"):
        write_all(tmp_path, "new", overwrite=True)
    assert contents(tmp_path) == dict.fromkeys(NAMES, "old")


def fail_at(here):
    if here:
        raise OSError(errno.EIO, os.strerror(errno.EIO))


def test_a_file_that_appears_meanwhile_is_kept(tmp_path):
    """Someone else's file of one of the names wins, and none of the set stays."""

    def write_while_another_does():
        with replacing_set(paths_in(tmp_path), overwrite=False) as aside:
            for name in NAMES:
                write_text(aside / name, "new")
            (tmp_path / "class.vtt").write_text("theirs", "utf-8")

    with pytest.raises(OutputError, match=r"class\.vtt: is already there"):
        write_while_another_does()
    assert contents(tmp_path) == {"class.vtt": "theirs"}


def test_trouble_is_told_with_the_name_of_the_file(tmp_path, monkeypatch):
    """People read of the file they asked for, not of where it was being written."""
    monkeypatch.setattr("cuetrack.output.track.files._sync", no_room)
    with pytest.raises(OutputError) as caught:
        write_all(tmp_path, "new")
    (problem,) = caught.value.problems
    assert problem.file == str(tmp_path / NAMES[0])
    assert "disk is full" in problem.what
    assert contents(tmp_path) == {}


def no_room(_):
    raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))


def test_what_killed_writers_left_is_cleared_away(tmp_path):
    """Files and folders untouched for an hour go; what is being written stays."""
    for name, age_s in (("old", 2 * HOUR_S), ("new", 60)):
        (tmp_path / f".{name}.cuetrack-part").write_text("half", "utf-8")
        folder = tmp_path / f".{name}folder.cuetrack-part"
        folder.mkdir()
        (folder / "class.mp3").write_text("half", "utf-8")
        for path in (tmp_path / f".{name}.cuetrack-part", folder / "class.mp3", folder):
            aged(path, age_s)
    (tmp_path / "notes.part").write_text("a person's own", "utf-8")
    aged(tmp_path / "notes.part", 2 * HOUR_S)
    sweep(tmp_path)
    assert {path.name for path in tmp_path.iterdir()} == {
        ".new.cuetrack-part",
        ".newfolder.cuetrack-part",
        "notes.part",
    }


def test_a_swap_cut_off_by_a_power_cut_is_finished(tmp_path):
    """Whole new files take the names that are free, so that no set stays mixed."""
    (tmp_path / "class.mp3").write_text("new", "utf-8")
    aside = tmp_path / ".abc.cuetrack-part"
    (aside / ".old").mkdir(parents=True)
    for name in NAMES:
        (aside / ".old" / name).write_text("old", "utf-8")
    for name in NAMES[1:]:
        (aside / name).write_text("new", "utf-8")
    for path in (*aside.iterdir(), aside):
        aged(path, HOUR_S / 2)
    sweep(tmp_path)
    assert contents(tmp_path) == dict.fromkeys(NAMES, "new")


def test_a_folder_that_cannot_be_written_is_told_before_it_is_needed(
    tmp_path, monkeypatch
):
    """Asked of the nearest folder that is there; nothing is left of the asking."""
    refuse_unwritable(tmp_path / "not" / "yet")
    assert list(tmp_path.iterdir()) == []
    monkeypatch.setattr(Path, "open", refused)
    with pytest.raises(OutputError, match="Choose a folder of your own"):
        refuse_unwritable(tmp_path / "not" / "yet")


def refused(*_, **__):
    raise OSError(errno.EACCES, os.strerror(errno.EACCES))
