"""Files kept for the next make: whole or not there, and not without end."""

from __future__ import annotations

import os

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cuetrack.errors import MusicError
from cuetrack.sound.cache import (
    keep_notes,
    kept_notes,
    prune,
    seal_sound,
    whole_sound,
    written_beside,
)
from tests.sound.damage import flipped


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


def test_every_flipped_bit_of_kept_sound_and_its_notes_is_noticed(tmp_path):
    """One bit of either file, wherever it is, and the sound counts as not there."""
    sound = tmp_path / "kept.wav"
    sound.write_bytes(bytes(range(97)))
    seal_sound(sound, {"lufs": -20.5}, "song.mp3")
    assert whole_sound(sound) == {"lufs": -20.5}
    for path in (sound, sound.with_suffix(".notes")):
        written = path.read_bytes()
        for bit in range(8 * len(written)):
            path.write_bytes(flipped(written, bit))
            assert whole_sound(sound) is None, (path.name, bit)
        path.write_bytes(written)
    assert whole_sound(sound) == {"lufs": -20.5}


def test_sound_under_the_name_of_other_sound_is_not_taken(tmp_path):
    """Files that changed places with their notes are no more what was asked for."""
    for name in ("one", "two"):
        (tmp_path / f"{name}.wav").write_bytes(name.encode())
        seal_sound(tmp_path / f"{name}.wav", {}, "song.mp3")
    for suffix in (".wav", ".notes"):
        (tmp_path / f"one{suffix}").replace(tmp_path / f"two{suffix}")
    assert whole_sound(tmp_path / "two.wav") is None


@given(st.binary())
def test_no_bytes_but_those_written_are_notes(tmp_path_factory, content):
    """Whatever else stands in the file, it is nothing, and no error."""
    path = tmp_path_factory.getbasetemp() / "any.notes"
    path.write_bytes(content)
    assert kept_notes(path) is None


@pytest.mark.parametrize("deep", ["[" * 30_000, '{"a":' * 10_000])
def test_notes_nested_without_end_are_nothing(tmp_path, monkeypatch, deep):
    """Even under a good seal, what no reader can follow counts as not there."""
    path = tmp_path / "deep.notes"
    monkeypatch.setattr("cuetrack.sound.cache.json.dumps", lambda _: deep)
    keep_notes(path, {}, "song.mp3")
    assert kept_notes(path) is None


def test_pruning_takes_notes_along_and_spares_what_is_needed(tmp_path):
    """Beside the sound lie its loudness and its beats; others keep theirs."""
    for age, name in enumerate(("new", "old", "old-1x9800", "needed")):
        for suffix in (".wav", ".notes", ".beats"):
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
