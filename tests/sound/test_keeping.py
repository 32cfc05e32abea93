"""Files kept for the next make: whole or not there, and not without end."""

from __future__ import annotations

import os

import pytest

from cuetrack.errors import MusicError
from cuetrack.sound.keeping import prune, written_beside


def test_broken_writing_leaves_what_was_there(tmp_path):
    """A file changes only when its successor is whole."""
    path = tmp_path / "kept.json"
    path.write_text("old")

    def broken_off():
        with written_beside(path, "song.mp3: cannot be made ready") as scratch:
            scratch.write_text("ne")
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        broken_off()
    assert [one.name for one in tmp_path.iterdir()] == ["kept.json"]
    assert path.read_text() == "old"


def test_full_disk_is_told_in_words_about_the_music(tmp_path):
    """What the system says becomes a message."""
    path = tmp_path / "kept.json"
    with (
        pytest.raises(MusicError, match=r"song\.mp3: cannot be made ready"),
        written_beside(path, "song.mp3: cannot be made ready"),
    ):
        raise OSError(28, "No space left on device")


def test_pruning_takes_notes_along_and_spares_what_is_needed(tmp_path):
    """Beside the sound lie its loudness and its beats; others keep theirs."""
    for age, name in enumerate(("new", "old", "old-1x9800", "needed")):
        for suffix in (".wav", ".json", ".beats"):
            path = tmp_path / f"{name}{suffix}"
            path.write_bytes(b"0" * 100)
            os.utime(path, (10**9 - age, 10**9 - age))
    assert prune(tmp_path, 250, needed={tmp_path / "needed.wav"}) == 1
    assert {path.stem for path in tmp_path.iterdir()} == {"new", "old", "needed"}


def test_scratch_files_left_behind_are_swept_away(tmp_path):
    """Not those that may still be written."""
    for name, when in (("left.part", 10**9), ("busy.part", None)):
        (tmp_path / name).write_bytes(b"0")
        os.utime(tmp_path / name, when and (when, when))
    prune(tmp_path, 0)
    assert [path.name for path in tmp_path.iterdir()] == ["busy.part"]
