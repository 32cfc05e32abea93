"""What make would refuse of the music of a plan, check tells first, with its line."""

from __future__ import annotations

import numpy as np
import pytest
import soundfile
from pipeline.classes import SHORT_CLASS

from cuetrack.cli.main import main
from cuetrack.errors import CuetrackError, PlanError
from cuetrack.pipeline.checking import read_plan
from cuetrack.pipeline.making import MakeRequest, make
from cuetrack.pipeline.music import unwatched
from cuetrack.pipeline.music_files import refuse_unusable
from cuetrack.sound.beats import tracker_is_there
from cuetrack.sound.songs import ready_songs
from cuetrack.sound.stretch import stretcher_is_there
from tests.sound.beating import SECOND, drums
from tests.sound.damage import flipped
from tests.sound.sounds import music

SOUND = music(8)
GAP = np.zeros(4 * SECOND)


def with_holes():
    sound = SOUND.copy()
    sound[7 * SECOND] = np.nan
    return sound


USELESS = {
    "no sound": (b"Only words.\n" * 50, "is text"),
    "empty": (b"", "is empty"),
    "nothing known": (b"\0" * 5000, "tune"),
    "short": (SOUND[: 2 * SECOND], "is shorter than 3 s"),
    "short between silence": (
        np.concatenate([GAP, SOUND[:SECOND], GAP]),
        "is shorter than 3 s",
    ),
    "silent": (GAP, "silent from beginning to end"),
    "seven channels": (np.tile(SOUND[:, None], 7), "has 7 channels"),
    "no numbers near its end": (with_holes(), "no numbers"),
}


@pytest.fixture(autouse=True)
def store(tmp_path, monkeypatch):
    """Keep what is made ready in a folder of the test."""
    monkeypatch.setenv("CUETRACK_STORE", str(tmp_path / "store" / "clips"))


def plan_with(tmp_path, music_line, name="tune.wav", content=SOUND):
    if isinstance(content, bytes):
        (tmp_path / name).write_bytes(content)
    else:
        soundfile.write(tmp_path / name, content, SECOND, subtype="FLOAT")
    path = tmp_path / "short.yaml"
    path.write_text(SHORT_CLASS.replace("voice: espeak-en", music_line), "utf-8")
    return path


def refusal(use, brought):
    try:
        use(brought, unwatched)
    except CuetrackError as error:
        return str(error)
    return ""


@pytest.mark.parametrize("kind", USELESS)
def test_useless_music_is_told_with_its_line(tmp_path, kind, capsys):
    """check and make refuse it alike, before anything is spoken or written."""
    content, words = USELESS[kind]
    path = plan_with(tmp_path, "music: tune.wav", content=content)
    assert main(["check", str(path)]) == 1
    told = capsys.readouterr().err
    assert f"\n{path}:2:" in f"\n{told}"
    assert "This music cannot be used." in told
    assert words in told
    with pytest.raises(PlanError) as caught:
        make(read_plan(path), MakeRequest(folder=tmp_path / "out"))
    assert told == f"{caught.value}\n"
    assert not (tmp_path / "out").exists()
    assert not list((tmp_path / "store").glob("clips/*"))


def test_all_useless_music_is_told_at_once(tmp_path, capsys):
    """Each file at the line that names it."""
    (tmp_path / "other.wav").write_bytes(b"")
    path = plan_with(tmp_path, "music: [tune.wav, other.wav]", content=GAP)
    text = path.read_text("utf-8").replace(
        "warm-up: {", "warm-up: {music: {files: tune.wav}, "
    )
    path.write_text(text, "utf-8")
    assert main(["check", str(path)]) == 1
    lines = capsys.readouterr().err.splitlines()
    assert [line.split(":")[1] for line in lines] == ["2", "2", "4"]


@pytest.mark.skipif(
    not (tracker_is_there() and stretcher_is_there()),
    reason='pip install ".[music]" brings tracker and stretcher',
)
def test_tempo_out_of_reach_is_told_by_check(tmp_path, capsys):
    """Which tempos the music can take is known before a make."""
    line = "music: {files: tune.wav, tempo: 140}"
    path = plan_with(tmp_path, line, content=drums(112, 20))
    assert main(["check", str(path)]) == 1
    told = capsys.readouterr().err
    assert f"\n{path}:2:" in f"\n{told}"
    assert "tempo of 52 to 60 or 103 to 121" in told


@pytest.mark.parametrize("kind", ["flac", "ogg", "mp3"])
def test_check_and_make_judge_damaged_files_alike(tmp_path, kind):
    """Cut short or with a bit turned over anywhere, both take it or neither."""
    name = f"tune.{kind}"
    soundfile.write(tmp_path / name, SOUND, SECOND)
    content = (tmp_path / name).read_bytes()
    cuts = [content[: len(content) * n // 8] for n in range(1, 8)]
    flips = [flipped(content, 8 * len(content) * n // 13) for n in range(13)]
    refusals = []
    for damaged in (content, *cuts, *flips):
        plan = read_plan(plan_with(tmp_path, f"music: {name}", name, damaged))
        by_make = refusal(ready_songs, *plan.musics())
        by_check = refusal(refuse_unusable, plan)
        assert bool(by_check) == bool(by_make)
        assert by_make in by_check
        refusals.append(by_check)
    assert not refusals[0]
    assert any(refusals)


def test_make_reads_nothing_that_check_has_read(tmp_path, monkeypatch):
    """What check made ready is found again."""
    path = plan_with(tmp_path, "music: tune.wav")
    assert main(["check", str(path)]) == 0
    monkeypatch.setattr("cuetrack.sound.music._made", None)
    assert ready_songs(next(read_plan(path).musics()), unwatched)
