"""A track is written whole or not at all, whoever fails, and heard while written."""

from __future__ import annotations

import errno
import io
import re
import signal
import subprocess
import sys
import threading
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from cuetrack.errors import OutputError
from cuetrack.output.track.encoders import in_24_bit_steps
from cuetrack.output.track.encoding import write_track
from cuetrack.output.track.formats import DEFAULT_FORMAT, FORMATS, track_format
from cuetrack.output.track.metadata import Tags
from cuetrack.output.track.output_file import OutputFile
from cuetrack.sound.decoding import open_sound
from tests.output.sounds import in_blocks, noise, written

SECOND = 48_000
ALL = pytest.mark.parametrize("extension", FORMATS)


def decoded(path):
    return np.concatenate(list(open_sound(path).blocks()))


def only(folder):
    """Return the names of all files in a folder."""
    return sorted(path.name for path in folder.iterdir())


@ALL
@pytest.mark.parametrize("channels", [1, 2])
def test_the_listener_hears_the_file(tmp_path, extension, channels):
    """What is heard while encoding is what decoding gives afterwards.

    Two decoders of Vorbis and of Opus are compared, which round differently.
    """
    heard = []
    path = written(
        tmp_path / f"a.{extension}",
        noise(SECOND * 3 + 17, channels),
        listener=heard.append,
    )
    tolerance = 1e-6 if extension in {"ogg", "opus"} else 0
    assert np.concatenate(heard).shape == decoded(path).shape
    assert np.abs(np.concatenate(heard) - decoded(path)).max() <= tolerance


@ALL
@pytest.mark.parametrize("channels", [1, 2])
def test_no_format_turns_the_sound_down(tmp_path, extension, channels):
    """A tone comes back at its level, whatever an encoder does at its bit rate."""
    time_s = np.arange(SECOND * 2) / SECOND
    tone = np.repeat(0.2 * np.sin(2 * np.pi * 997 * time_s)[:, None], channels, axis=1)
    path = written(tmp_path / f"a.{extension}", tone.astype(np.float32))
    found = decoded(path)[SECOND // 2 : SECOND * 3 // 2]
    level_db = 20 * np.log10(np.sqrt(np.mean(found**2)) / (0.2 / np.sqrt(2)))
    assert level_db == pytest.approx(0.0, abs=0.1)


@ALL
@pytest.mark.parametrize("frames", [12_000, 65_536, 65_537, 124_416, 124_433])
def test_the_length_is_kept_whatever_the_block(tmp_path, extension, frames):
    """Lengths around the borders of blocks and of MP3 packets stay exact."""
    heard = []
    sound = noise(frames)
    path = tmp_path / f"a.{extension}"
    write_track(
        path,
        in_blocks(sound, 7_001),
        format=extension,
        channels=1,
        tags=Tags(title="a"),
        listener=heard.append,
    )
    assert len(decoded(path)) == frames
    assert sum(map(len, heard)) == frames


@pytest.mark.parametrize("extension", ["mp3", "m4a", "wav", "flac", "opus"])
def test_the_same_mix_gives_the_same_bytes(tmp_path, extension):
    """Nothing in a file depends on the hour or on chance, but an Ogg's number."""
    sound = noise(SECOND, 2)
    first = written(tmp_path / f"a.{extension}", sound).read_bytes()
    second = written(tmp_path / f"b.{extension}", sound).read_bytes()
    assert first == second


def test_the_same_mix_gives_the_same_vorbis_samples(tmp_path):
    """Ogg Vorbis differs in its stream number only."""
    sound = noise(SECOND, 2)
    first = decoded(written(tmp_path / "a.ogg", sound))
    assert np.array_equal(first, decoded(written(tmp_path / "b.ogg", sound)))


@given(st.lists(st.floats(-2, 2, width=32), min_size=1, max_size=50))
def test_24_bits_are_the_nearest_and_never_wrap(values):
    """Rounding is by at most half a step, and full scale is the limit."""
    block = np.array([values], dtype=np.float32).T
    steps = in_24_bit_steps(block)
    exact = np.clip(block.astype(float) * 2**23, -(2**23), 2**23 - 1)
    assert np.abs(steps - exact).max() <= 0.5


def test_progress_is_told_in_frames(tmp_path):
    """Progress grows to the total and ends there."""
    told = []
    written(
        tmp_path / "a.flac",
        noise(150_000),
        total_frames=150_000,
        progress=lambda done, total: told.append((done, total)),
    )
    assert told == [(65_536, 150_000), (131_072, 150_000), (150_000, 150_000)]


class Stop(BaseException):
    """Stands for Ctrl-C, which cannot be caught as an Exception either."""


def failing(after, error):
    for number, block in enumerate(in_blocks(noise(SECOND * 10), 4_800)):
        if number == after:
            raise error
        yield block


@ALL
@pytest.mark.parametrize("after", [0, 1, 50])
@pytest.mark.parametrize("error", [Stop("interrupted"), ValueError("broken mix")])
def test_a_failing_mix_leaves_no_file(tmp_path, extension, after, error):
    """When the mix fails or is interrupted, its error comes out and nothing stays."""
    with pytest.raises(type(error), match=str(error)):
        write_track(
            tmp_path / f"a.{extension}",
            failing(after, error),
            format=extension,
            channels=1,
            tags=Tags(title="a"),
        )
    assert only(tmp_path) == []


@ALL
def test_a_failing_mix_keeps_the_old_file(tmp_path, extension):
    """A file that was to be replaced stays as it was when the new one fails."""
    path = written(tmp_path / f"a.{extension}", noise(SECOND))
    before = path.read_bytes()
    with pytest.raises(Stop):
        write_track(
            path,
            failing(3, Stop()),
            format=extension,
            channels=1,
            tags=Tags(title="a"),
            overwrite=True,
        )
    assert path.read_bytes() == before
    assert only(tmp_path) == [path.name]


@ALL
def test_a_failing_listener_is_heard_of(tmp_path, extension):
    """An error of the listener comes out of the call, and nothing stays."""

    def listener(_):
        raise ZeroDivisionError("no ears")

    with pytest.raises(ZeroDivisionError, match="no ears"):
        written(tmp_path / f"a.{extension}", noise(SECOND * 8), listener=listener)
    assert only(tmp_path) == []


class FullDisk(io.BufferedRandom):
    """A file on a disk that is full after some bytes."""

    room = 6_000

    def write(self, data):
        if self.tell() + len(data) > self.room:
            raise OSError(errno.ENOSPC, "No space left on device")
        return super().write(data)


@ALL
def test_a_full_disk_is_told_and_leaves_nothing(tmp_path, extension, monkeypatch):
    """Libraries in C cannot raise; the failed write is told all the same."""

    def on_a_full_disk(self, path, name, tee=None):
        begin(self, path, name, tee)
        self.file = FullDisk(self.file.detach())

    begin = OutputFile.__init__
    monkeypatch.setattr(OutputFile, "__init__", on_a_full_disk)
    with pytest.raises(OutputError, match="the disk is full"):
        written(tmp_path / f"a.{extension}", noise(SECOND * 8))
    assert only(tmp_path) == []


@ALL
def test_no_thread_is_left_behind(tmp_path, extension):
    """After success and after failure there are as many threads as before."""
    before = threading.active_count()
    written(tmp_path / f"a.{extension}", noise(SECOND), listener=lambda _: None)
    with pytest.raises(Stop):
        write_track(
            tmp_path / f"b.{extension}",
            failing(5, Stop()),
            listener=lambda _: None,
            format=extension,
            channels=1,
            tags=Tags(title="b"),
        )
    assert threading.active_count() == before


@ALL
def test_an_existing_file_is_kept(tmp_path, extension):
    """Without leave nothing is replaced, and nothing is mixed in vain."""
    path = tmp_path / f"a.{extension}"
    path.write_text("precious", encoding="utf-8")
    with pytest.raises(OutputError, match="already there and was kept"):
        write_track(
            path,
            failing(0, AssertionError("mixed in vain")),
            format=extension,
            channels=1,
            tags=Tags(title="a"),
        )
    assert path.read_text(encoding="utf-8") == "precious"
    assert only(tmp_path) == [path.name]


def test_an_existing_file_is_replaced_when_asked(tmp_path):
    """With leave the new file takes the place of the old one."""
    path = tmp_path / "a.flac"
    path.write_text("old", encoding="utf-8")
    written(path, noise(SECOND), overwrite=True)
    assert len(decoded(path)) == SECOND


def test_an_unknown_format_names_the_known_ones():
    """The message lists what can be chosen."""
    with pytest.raises(OutputError, match="mp3, m4a, wav, flac, ogg, opus"):
        track_format("wma")


def test_the_readme_names_every_format():
    """Whoever reads on it learns of each format that can be chosen."""
    readme = Path(__file__).parents[3].joinpath("README.md").read_text("utf-8")
    told = re.search(r"`--format .*?\)", readme, re.DOTALL)[0]
    assert set(re.findall(r"`(?:--format )?(\w+)`", told)) == {
        name for name in FORMATS if name != DEFAULT_FORMAT
    }


def test_a_format_is_found_with_or_without_its_dot():
    """The ending of a path and the word of the command line both do."""
    assert track_format(".MP3") is track_format("mp3")


def test_too_long_for_wav_is_told_before_the_work(tmp_path):
    """Beyond four gigabytes a WAV file cannot go; FLAC is offered instead."""
    with pytest.raises(OutputError, match=r"4\.1 hours.*Choose flac"):
        write_track(
            tmp_path / "a.wav",
            in_blocks(noise(SECOND * 4, 2)),
            format="wav",
            channels=2,
            tags=Tags(title="a"),
            total_frames=5 * 3600 * SECOND,
        )
    assert only(tmp_path) == []


@pytest.mark.parametrize("block", [np.zeros(10, np.float32), np.zeros((10, 2))])
def test_a_block_of_another_shape_is_refused(tmp_path, block):
    """A mono track takes blocks of shape (frames, 1) only."""
    with pytest.raises(ValueError, match="blocks of 1 channels expected"):
        write_track(
            tmp_path / "a.wav", [block], format="wav", channels=1, tags=Tags(title="a")
        )
    assert only(tmp_path) == []


@settings(max_examples=25, deadline=None)
@given(
    title=st.text(st.characters(exclude_categories=["Cs"]), max_size=80),
    extension=st.sampled_from(sorted(FORMATS)),
)
def test_any_title_leaves_the_sound_whole(tmp_path_factory, title, extension):
    """No title, however odd, harms the file it stands in."""
    path = tmp_path_factory.mktemp("title") / f"a.{extension}"
    written(path, noise(24_000), tags=Tags(title=title, comment=title))
    assert len(decoded(path)) == 24_000


@pytest.mark.skipif(sys.platform == "win32", reason="signals are other there")
@ALL
def test_ctrl_c_leaves_no_file(tmp_path, extension):
    """A true interruption from outside, in the midst of the work."""
    code = (
        "import sys; from itertools import repeat; from pathlib import Path\n"
        "import numpy as np\n"
        "from cuetrack.output.track.encoding import write_track\n"
        "from cuetrack.output.track.metadata import Tags\n"
        "noise = np.random.default_rng(0).standard_normal((9600, 2)) / 20\n"
        "def told(done, total):\n"
        "    if done == 96000: print('at work', flush=True)\n"
        "write_track(Path(sys.argv[1]), repeat(noise.astype(np.float32)),\n"
        "    format=Path(sys.argv[1]).suffix, channels=2, tags=Tags(title='a'),\n"
        "    progress=told, listener=lambda block: None)\n"
    )
    process = subprocess.Popen(
        [sys.executable, "-c", code, str(tmp_path / f"a.{extension}")],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )
    with process:
        assert process.stdout.readline() == "at work\n"
        process.send_signal(signal.SIGINT)
        _, errors = process.communicate(timeout=60)
    assert errors.rstrip().endswith("KeyboardInterrupt")
    assert only(tmp_path) == []
