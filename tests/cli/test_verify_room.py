"""``cuetrack verify --recording``: the room, from the command line."""

from __future__ import annotations

import json

import pytest
import soundfile
from msgspec import structs

from cuetrack.cli.main import main
from cuetrack.output.track.cue_rows import SegmentRow
from cuetrack.output.track.cuefile import to_json
from cuetrack.times import SAMPLE_RATE_HZ
from tests.verification.rooms import (
    babble,
    recorded,
    speaker,
    spoken_class,
    stored_places,
)


@pytest.fixture(scope="module")
def hall(tmp_path_factory):
    """A track with its cue sheet, and a recording of it in a hall."""
    folder = tmp_path_factory.mktemp("hall")
    voice = speaker(folder / "clips")
    spoken = spoken_class(voice, 40)
    segment = SegmentRow(
        id="s1", section="Warm-up", kind="move", movement=None, round=None,
        side=None, start_ms=0, end_ms=40_000,
    )  # fmt: skip
    sheet = structs.replace(spoken.sheet, segments=(segment,))
    truth = recorded(
        spoken.sound(),
        None,
        babble(voice, 20),
        stored_places()["carpeted room"],
        noise_db=-24,
    )
    (folder / "class.cues.json").write_text(to_json(sheet), encoding="utf-8")
    soundfile.write(folder / "class.flac", 0.5 * spoken.sound(), SAMPLE_RATE_HZ)
    soundfile.write(folder / "hall.wav", truth.sound, SAMPLE_RATE_HZ)
    return folder


def test_the_room_is_heard_and_said(hall, capsys):
    """The advice comes first; the group is that of the options."""
    words = ["verify", str(hall / "class.flac"), "--recording", str(hall / "hall.wav")]
    assert main(words) == 0
    text = capsys.readouterr().out
    assert text.startswith("As far as 3")
    assert "good at this place.\n  People without hearing loss: clear.\n" in text
    assert "people of 75" in text
    assert main([*words, "--age", "80", "--level", "45", "--json"]) == 1
    room = json.loads(capsys.readouterr().out)["room"]
    assert (room["age"], room["level_db_spl"]) == (80, 45)
    assert room["advice"]["remedy"] == "turn the loudspeaker up"


@pytest.mark.parametrize(
    ("options", "words"),
    [
        (["--age", "70"], "belong to --recording"),
        (["--recording", "hall.wav", "--age", "12"], "from 18 to 110"),
        (["--recording", "hall.wav", "--level", "nan"], "from 40 to 90"),
        (["--recording", "hall.wav", "--listen"], "Do one, then the other"),
    ],
)
def test_options_that_make_no_sense(hall, capsys, options, words):
    """A slip in the command is status 2 and one sentence."""
    assert main(["verify", str(hall / "class.flac"), *options]) == 2
    assert words in capsys.readouterr().err


def test_a_recording_that_is_not_there(hall, capsys):
    """A missing file is told by its name, with status 1."""
    words = ["verify", str(hall / "class.flac"), "--recording", str(hall / "none.m4a")]
    assert main(words) == 1
    assert "none.m4a: there is no such file" in capsys.readouterr().err
