"""Receipts: what a track was made of, and whether it is still as it was."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from dataclasses import replace

import pytest
from pipeline.classes import SHORT_CLASS, SHORTEST_CLASS

from cuetrack.cli.main import main
from cuetrack.errors import OutputError
from cuetrack.pipeline.checking import read_plan
from cuetrack.pipeline.making import MakeRequest, make
from cuetrack.pipeline.receipts import receipt_of, unchanged, work_of
from cuetrack.speech.records import path_of
from cuetrack.speech.store import NOTE_SUFFIX, ClipStore


@pytest.fixture
def made(plan_path, tmp_path):
    """The short class as a WAV."""
    request = MakeRequest(folder=tmp_path / "out", format="wav")
    return make(read_plan(plan_path), request)


WORK = (
    "import sys\n"
    "from cuetrack.pipeline.checking import read_plan\n"
    "from cuetrack.pipeline.receipts import work_of\n"
    "print(work_of(read_plan(sys.argv[1]), extension='mp3'))\n"
)


def test_work_is_the_same_in_every_process(plan_path):
    """Neither the order of sets nor the place of the plan is part of it."""
    digests = {
        subprocess.run(
            [sys.executable, "-c", WORK, str(plan_path)],
            check=True,
            capture_output=True,
            text=True,
            env=os.environ | {"PYTHONHASHSEED": seed},
        ).stdout.strip()
        for seed in ("1", "2")
    }
    plan = replace(read_plan(plan_path), file="elsewhere/other.yaml")
    assert digests == {work_of(plan, extension="mp3")}


def test_whatever_a_track_depends_on_changes_its_work(plan_path, tmp_path):
    """A word of the plan, the voice, the format, a handout and the music's sound."""
    plan = read_plan(plan_path)
    song = tmp_path / "song.wav"
    song.write_bytes(b"one")
    plan_path.write_text(f"music: {song}\n{SHORT_CLASS}", encoding="utf-8")
    with_music = read_plan(plan_path)
    works = [
        work_of(plan, extension="mp3"),
        work_of(replace(plan, title="Long class"), extension="mp3"),
        work_of(replace(plan, voice="joe"), extension="mp3"),
        work_of(plan, extension="wav"),
        work_of(plan, extension="mp3", handouts=["notice"]),
        work_of(with_music, extension="mp3"),
    ]
    song.write_bytes(b"another")
    works.append(work_of(with_music, extension="mp3"))
    assert len(set(works)) == len(works)


def test_a_track_as_it_was_made_is_known(made, plan_path):
    """Until one of its files goes, or changes, or something else is asked for."""
    plan, track = read_plan(plan_path), made.files.track
    assert unchanged(track, plan, extension="wav") == receipt_of(track)
    assert unchanged(track, plan, extension="wav", handouts=["notice"]) is None
    captions = made.files.captions.read_text("utf-8")
    made.files.captions.write_text(captions + "NOTE mine\n", "utf-8")
    assert unchanged(track, plan, extension="wav") is None
    made.files.captions.unlink()
    assert unchanged(track, plan, extension="wav") is None


def test_a_receipt_that_is_damaged_is_none(made):
    """Then the track is made again."""
    key = next(ClipStore().folder.glob(f"??/*{NOTE_SUFFIX}")).stem
    for note in ClipStore().folder.glob(f"??/*{NOTE_SUFFIX}"):
        note.write_bytes(b"rubbish")
    assert path_of(ClipStore().folder, key, NOTE_SUFFIX).exists()
    assert receipt_of(made.files.track) is None


def test_only_what_a_make_wrote_is_renewed(made, plan_path):
    """A file that somebody changed since stands in the way, and is named."""
    plan = replace(read_plan(plan_path), title="Another title")
    wanted = MakeRequest(folder=made.files.track.parent, format="wav", renew=True)
    made.files.captions.write_text("mine", "utf-8")
    with pytest.raises(OutputError, match=r"short\.vtt") as caught:
        make(plan, wanted)
    assert "short.wav" not in str(caught.value)
    made.files.captions.unlink()
    make(plan, wanted)
    assert "Another title" in made.files.cues.read_text("utf-8")


def test_a_killed_replacement_can_be_gone_on_with(made, plan_path, tmp_path):
    """While old files give way to new ones, either may be there."""
    old = made.files.track.read_bytes()
    plan = replace(read_plan(plan_path), title="Another title")
    wanted = MakeRequest(folder=tmp_path / "out", format="wav", renew=True)
    make(plan, wanted)
    made.files.track.write_bytes(old)
    made.files.captions.unlink()
    assert unchanged(made.files.track, plan, extension="wav") is None
    make(plan, wanted)
    assert unchanged(made.files.track, plan, extension="wav")


def test_another_voice_is_another_track(plan_path, tmp_path, capsys):
    """The cue sheet names who speaks, and the plan stays as it was written."""
    plan_path.write_text(SHORTEST_CLASS, "utf-8")
    words = ["make", str(plan_path), "--format", "wav", "--quiet"]
    for voice in ("espeak-en", "espeak:en-us"):
        folder = tmp_path / voice.replace(":", "-")
        asked = [] if voice == "espeak-en" else ["--voice", voice]
        assert main([*words, "--out", str(folder), *asked]) == 0
        cues = json.loads((folder / "short.cues.json").read_text("utf-8"))
        assert cues["voice"] == voice
        assert "Nothing has changed" not in capsys.readouterr().out
    assert plan_path.read_text("utf-8") == SHORTEST_CLASS
    assert main([*words, "--voice", "nobody"]) == 1
    assert "There is no voice 'nobody'" in capsys.readouterr().err


def test_making_again_does_nothing_and_says_so(plan_path, capsys):
    """Unless asked to: then the same track takes its own place."""
    words = ["make", str(plan_path), "--format", "wav", "--quiet"]
    assert main(words) == 0
    track = plan_path.with_suffix(".wav")
    first = track.stat().st_mtime_ns
    capsys.readouterr()
    assert main(words) == 0
    assert "Nothing has changed" in capsys.readouterr().out
    assert track.stat().st_mtime_ns == first
    assert main([*words, "--again"]) == 0
    assert "Measure it" in capsys.readouterr().out
    assert track.stat().st_mtime_ns > first
