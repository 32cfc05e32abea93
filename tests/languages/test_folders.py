"""Folders of languages and voices are looked into only where that is allowed."""

from __future__ import annotations

import errno
import os
from pathlib import Path

import pytest

from cuetrack.languages import folders
from cuetrack.languages.folders import language_file, languages_with, may_be_read
from cuetrack.speech.voices import known_voices


@pytest.fixture
def locked_home(tmp_path, monkeypatch):
    """A home that this user may not look into, as the system tells it."""
    home = tmp_path / "home"
    home.mkdir()
    access, stat, listdir = os.access, Path.stat, Path.iterdir

    def refuse(path):
        if home in Path(path).parents:
            raise PermissionError(errno.EACCES, os.strerror(errno.EACCES), str(path))

    def locked_stat(path, **wishes):
        refuse(path)
        return stat(path, **wishes)

    def locked_listing(path):
        refuse(path)
        return listdir(path)

    monkeypatch.setattr(Path, "stat", locked_stat)
    monkeypatch.setattr(Path, "iterdir", locked_listing)
    monkeypatch.setattr(
        os,
        "access",
        lambda path, mode: home not in Path(path).parents and access(path, mode),
    )
    monkeypatch.setattr("platformdirs.user_data_dir", lambda name: home / name)
    folders._roots.cache_clear()
    folders._file.cache_clear()
    yield home
    folders._roots.cache_clear()
    folders._file.cache_clear()


def test_a_home_that_may_not_be_read_holds_nothing(locked_home):
    """What comes with cuetrack is found all the same."""
    with pytest.raises(PermissionError):
        (locked_home / "cuetrack" / "voices").stat()
    assert not may_be_read(locked_home / "cuetrack" / "voices")
    assert "en" in languages_with("phrases.yaml")
    assert language_file("en", "phrases.yaml") is not None
    assert "joe" in known_voices()
