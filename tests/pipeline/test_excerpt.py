"""A piece of a class sounds as the class does there, and only it is spoken."""

from __future__ import annotations

import numpy as np
import pytest
import soundfile
from pipeline.classes import SHORT_CLASS

from cuetrack.cli.main import main
from cuetrack.cues.timeline import lay_out
from cuetrack.errors import UsageError
from cuetrack.pipeline.checking import placed_unspoken, read_plan
from cuetrack.pipeline.excerpt import ClassSpan, PieceOfBed, section_span, write_excerpt
from cuetrack.pipeline.making import MakeRequest, make
from cuetrack.times import SAMPLE_RATE_HZ, clock


@pytest.fixture
def plan(tmp_path):
    path = tmp_path / "short.yaml"
    path.write_text(SHORT_CLASS, encoding="utf-8")
    return read_plan(path)


class Ramp:
    """A bed whose every frame tells its own number."""

    length_frames = 1000

    def blocks(self, block_frames):
        whole = np.arange(self.length_frames, dtype=np.float32)
        for start in range(0, self.length_frames, block_frames):
            part = whole[start : start + block_frames]
            yield np.stack([part, part], axis=1)


@pytest.mark.parametrize("block_frames", [1, 7, 256, 5000])
def test_a_piece_of_a_bed_is_cut_to_the_frame(block_frames):
    """Frames 300 to 1100 of 1000, whatever the blocks, with silence after the end."""
    piece = PieceOfBed(whole=Ramp(), first_frame=300, length_frames=800)
    got = np.concatenate(list(piece.blocks(block_frames)))[:, 1]
    wanted = np.concatenate([np.arange(300, 1000), np.zeros(100)])
    assert np.array_equal(got, wanted)


def test_a_piece_is_the_track_at_that_time(plan, tmp_path):
    """Frame by frame the whole track from there on, but for one overall gain."""
    made = make(plan, MakeRequest(folder=tmp_path, format="wav"))
    span = section_span(lay_out(plan), plan.sections[1].title)
    path = tmp_path / "piece.wav"
    excerpt = write_excerpt(plan, span, path)
    piece, _ = soundfile.read(path, dtype="float32")
    first = span.start_ms * SAMPLE_RATE_HZ // 1000
    track, _ = soundfile.read(made.files.track, dtype="float32", start=first)
    track = track[: len(piece)]
    quiet = len(piece) - SAMPLE_RATE_HZ  # the last second may hold what follows
    piece, track = piece[:quiet], track[:quiet]
    gain = float(piece @ track / (track @ track))
    off = piece - gain * track
    assert 10 * np.log10(np.mean(off**2) / np.mean(piece**2)) < -40
    assert excerpt.spoken_anew == 0
    assert excerpt.cues


def test_only_what_is_heard_is_spoken(plan, tmp_path, monkeypatch):
    """An empty store holds after one cue what the cue needed, and no music."""
    monkeypatch.setattr("cuetrack.pipeline.excerpt.music_for", None)
    monkeypatch.setenv("CUETRACK_STORE", str(tmp_path / "store"))
    span = ClassSpan(start_ms=60_000, end_ms=plan_end_ms(plan))
    excerpt = write_excerpt(plan, span, tmp_path / "cue.wav", one_cue=True)
    assert len(excerpt.cues) == 1
    assert 1 <= excerpt.spoken_anew <= 3
    length_ms = soundfile.info(tmp_path / "cue.wav").duration * 1000
    said_ms = excerpt.cues[0].end_ms - excerpt.cues[0].start_ms
    assert said_ms < length_ms < said_ms + 1000


def plan_end_ms(plan):
    """Return the length of a class."""
    return placed_unspoken(plan).sheet.timeline.end_ms


def test_a_time_after_the_class_is_refused(plan, tmp_path):
    """The message says when the class ends, and nothing is written."""
    span = ClassSpan(start_ms=9_000_000, end_ms=9_060_000)
    with pytest.raises(UsageError, match=f"ends at {clock(plan_end_ms(plan))}"):
        write_excerpt(plan, span, tmp_path / "none.wav")
    assert not (tmp_path / "none.wav").exists()


def test_a_line_is_written_and_kept_unless_asked(tmp_path, capsys):
    """One line in a voice; a file that is there stays without --overwrite."""
    out = tmp_path / "line.wav"
    words = ["hear", "Sit tall, feet flat.", "--voice", "joe", "--out", str(out)]
    assert main(words) == 0
    assert 1.0 < soundfile.info(out).duration < 4.0
    assert main(words) == 1
    assert "--overwrite" in capsys.readouterr().err


def test_a_class_is_heard_in_another_voice_than_its_own(plan, tmp_path):
    """What is heard differs from the same piece in the voice of the plan."""
    pieces = []
    for number, voice in enumerate(([], ["--voice", "espeak:en-us"])):
        out = tmp_path / f"{number}.wav"
        command = ["hear", plan.file, "--one-cue", "--out", str(out), *voice]
        assert main(command) == 0
        pieces.append(soundfile.read(out, dtype="float32")[0])
    assert not np.array_equal(*pieces)


def test_without_a_player_nothing_is_spoken(plan, tmp_path, monkeypatch, capsys):
    """That nothing can be played is told before the store holds a clip."""
    monkeypatch.setattr("cuetrack.cli.player.PLAYERS", (("no-such-player",),))
    monkeypatch.setenv("CUETRACK_STORE", str(tmp_path / "store"))
    assert main(["hear", plan.file]) == 2
    assert "--out" in capsys.readouterr().err
    assert not (tmp_path / "store").exists()


@pytest.mark.parametrize(
    ("words", "cure"),
    [
        (["hear", "short.yaml", "--voice", "jo", "--out", "x.wav"], "joe"),
        (["hear", "no-such.yaml"], "no-such.yaml"),
        (["hear", "Hello.", "--out", "x.doc"], "mp3"),
        (["hear", "Hello.", "--voice", "jo", "--out", "x.wav"], "joe"),
    ],
)
@pytest.mark.usefixtures("plan")
def test_what_cannot_be_heard_is_told(words, cure, capsys, tmp_path, monkeypatch):
    """A plan that is not there, an unknown ending, an unknown voice: with the cure."""
    monkeypatch.chdir(tmp_path)
    assert main(words) in {1, 2}
    assert cure in capsys.readouterr().err
    assert [path.name for path in tmp_path.iterdir()] == ["short.yaml"]
