"""Tunes that a leader brings: into the folder, over nothing, sound and nothing else."""

from __future__ import annotations

import io
import wave
from urllib.parse import quote

import pytest
from desk.asking import Asker
from pipeline.classes import SHORT_CLASS

from cuetrack.desk.guard import LARGEST_UPLOAD_BYTES
from cuetrack.desk.serving import started
from cuetrack.desk.shelf import Shelf, id_of
from cuetrack.desk.tunes import put_on, refuse_silent, tune_name
from cuetrack.errors import UsageError
from cuetrack.pipeline.checking import read_plan


def a_tune(level=0):
    """A second of sound as a RIFF WAVE file, written by the standard library."""
    out = io.BytesIO()
    with wave.open(out, "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(8000)
        file.writeframes(level.to_bytes(2, "little") * 8000)
    return out.getvalue()


@pytest.fixture
def folder(tmp_path):
    folder = tmp_path / "classes"
    folder.mkdir()
    (folder / "short.yaml").write_text(SHORT_CLASS, "utf-8")
    return folder


@pytest.fixture
def bring(folder):
    """Bring a file as the page of the leader does."""
    start = started(folder)
    base, _, entry = start.address.partition("/start/")
    leader = Asker(start.app, base)
    leader.get(f"/start/{entry}")

    def bring(name, content, **headers):
        path = f"/class/{id_of('short.yaml')}/tune?name={quote(name)}"
        return leader.post(path, content=content, headers={"origin": base} | headers)

    yield bring
    start.bound.close()
    start.close()


def names_in(folder):
    return {path.name for path in folder.iterdir() if not path.name.startswith(".")}


def test_a_tune_is_copied_and_played_under_the_class(folder, bring):
    """One choice of a file, and the plan names it; the second comes after it."""
    told = bring("Blue Waltz.WAV", a_tune())
    assert told.status_code == 200, told.text
    assert (folder / "Blue Waltz.wav").read_bytes() == a_tune()
    assert bring("Polka.wav", a_tune(1)).status_code == 200
    played = read_plan(folder / "short.yaml").music.files
    assert [one.rpartition("/")[2] for one in played] == ["Blue Waltz.wav", "Polka.wav"]


@pytest.mark.parametrize(
    ("content", "why"),
    [
        (b"Dear all,\nsee you on Monday.\n", "is text"),
        (b"<html>\x00<script>alert(1)</script></html>", "cannot be read"),
        (b"", "is empty"),
    ],
)
def test_what_is_no_sound_is_refused_in_words(tmp_path, content, why):
    """By what is in it, whatever its name says."""
    (tmp_path / "letter.mp3").write_bytes(content)
    with pytest.raises(UsageError, match=f"letter.mp3: {why}"):
        refuse_silent(str(tmp_path / "letter.mp3"))


def test_nothing_stays_of_what_is_refused(folder, bring):
    """Neither of a letter in the clothes of a tune nor of a tune in those of a plan."""
    for name, content in (("letter.mp3", b"Dear all"), ("tune.wav.yaml", a_tune())):
        told = bring(name, content)
        assert told.status_code == 400
        assert "tmp" not in told.json()["trouble"]
        assert names_in(folder) == {"short.yaml"}


def test_a_tune_comes_from_the_desk_alone_and_has_a_limit(folder, bring):
    """As every write: its origin is asked for, and its size."""
    assert bring("a.wav", a_tune(), origin="http://evil.example").status_code == 403
    stated = {"content-length": str(LARGEST_UPLOAD_BYTES + 1)}
    assert bring("a.wav", b"x", **stated).status_code == 413
    assert names_in(folder) == {"short.yaml"}


@pytest.mark.parametrize(
    ("asked", "name"),
    [
        ("../../etc/passwd.mp3", "passwd.mp3"),
        (r"C:\Music\..\waltz.MP3", "waltz.mp3"),
        ("....mp3", "track.mp3"),
        ("con.wav", "track con.wav"),
        ("a\x00b\nc.ogg", "a b c.ogg"),
        ("short.cues.mp3", "short cues.mp3"),
        ("\udcff.mp3", "track.mp3"),
    ],
)
def test_the_name_of_a_tune_is_no_path(asked, name):
    """Folders, drives, names that a system keeps for itself, letters that are none."""
    assert tune_name(asked) == name


def test_a_tune_never_takes_the_place_of_anything(folder, tmp_path):
    """Neither of a file nor of a track to come; the same tune twice is one."""
    shelf = Shelf(folder)
    (folder / "waltz.mp3").write_bytes(b"theirs")
    brought = tmp_path / "waltz.mp3"
    brought.write_bytes(b"another")
    assert put_on(shelf, brought) == "waltz-2.mp3"
    assert (folder / "waltz.mp3").read_bytes() == b"theirs"
    brought.write_bytes(b"theirs")
    assert put_on(shelf, brought) == "waltz.mp3"
    (tmp_path / "short.mp3").write_bytes(b"tune")
    assert put_on(shelf, tmp_path / "short.mp3") == "short-2.mp3"
    assert shelf.new_path("Waltz").name == "waltz-3.yaml"


def test_a_name_without_an_ending_is_no_tune():
    """Nor is one that is nothing but an ending."""
    for name in ("", "mp3", ".mp3", "tune.mp3.exe"):
        with pytest.raises(UsageError, match="no sound file"):
            tune_name(name)
