"""What is no sound, or never ends, is told before it fills the memory."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
import soundfile

from cuetrack.errors import TrackError
from cuetrack.sound import decoding, patient_file
from cuetrack.sound.decoding import open_sound
from tests.output.sounds import RATE_HZ, length_frames, noise, written

_LIMITED = """\
import re, resource, sys; from pathlib import Path
from cuetrack.errors import TrackError
from cuetrack.sound.decoding import open_sound
try:
    for block in open_sound(Path(sys.argv[1])).blocks(): pass
except TrackError as error: print(error)
own = Path("/proc/self/status")  # elsewhere a parent's peak may count too
kib = re.search(r"VmHWM:\\s+(\\d+)", own.read_text())[1] if own.exists() else (
    resource.getrusage(resource.RUSAGE_SELF).ru_maxrss)
print(int(kib) // 1024)
"""
"""Prints what is said of a file, and the largest memory of the process in MiB."""

MOST_MIB = 600


@pytest.mark.parametrize("rate_hz", [1, 3999, 900_000])
def test_a_rate_that_no_recorder_has_is_refused(tmp_path, rate_hz):
    """A second of sound at 1 Hz would become 48,000 of each sample."""
    path = tmp_path / "a.wav"
    soundfile.write(path, np.zeros(1000), rate_hz)
    with pytest.raises(TrackError, match=f"says that it has {rate_hz} samples"):
        open_sound(path)


@pytest.mark.parametrize("rate_hz", [8000, 44_100, 192_000])
def test_rates_that_recorders_have_are_read(tmp_path, rate_hz):
    """From the telephone (ITU-T G.711, 8 kHz) to the studio."""
    path = tmp_path / "a.wav"
    soundfile.write(path, np.zeros(1000), rate_hz)
    assert length_frames(open_sound(path)) == 1000


def test_a_thousand_channels_are_refused(tmp_path):
    """A block of them would be a thousand times as large."""
    path = tmp_path / "a.wav"
    soundfile.write(path, np.zeros((10, 1000)), RATE_HZ)
    with pytest.raises(TrackError, match="has 1000 channels; up to 16"):
        open_sound(path)


@pytest.fixture
def clipping(monkeypatch):
    """A program on the path that would open anything, cut off at full scale."""
    sound = decoding.SoundFile(
        coding="pcm_16",
        lossless=True,
        path=Path("a"),
        rate_hz=RATE_HZ,
        channels=1,
        frames=None,
        pieces=lambda: iter([np.ones((1000, 1), np.float32)]),
    )
    monkeypatch.setattr(decoding.shutil, "which", lambda name: name)
    monkeypatch.setattr(decoding, "_open_with_pydub", lambda _: sound)


@pytest.mark.usefixtures("clipping")
@pytest.mark.parametrize("value", [1001.0, -32_768.0, 3e38])
def test_sound_louder_than_any_is_refused(tmp_path, value):
    """Whole numbers taken for fractions of full scale, whose squares overflow."""
    path = tmp_path / "a.wav"
    soundfile.write(path, np.full(1000, value, np.float32), RATE_HZ, subtype="FLOAT")
    with pytest.raises(TrackError, match="is over 1000 times as loud"):
        open_sound(path)


@pytest.mark.usefixtures("clipping")
def test_sound_that_is_no_numbers_is_left_to_no_program(tmp_path):
    """What a program makes of them is anybody's guess."""
    path = tmp_path / "a.wav"
    soundfile.write(path, np.full(1000, np.nan), RATE_HZ, subtype="FLOAT")
    with pytest.raises(TrackError, match="holds values that are no numbers"):
        open_sound(path)


def test_sound_without_an_end_is_left(tmp_path, monkeypatch):
    """What is longer than any class is not read on."""
    monkeypatch.setattr(decoding, "LONGEST_S", 1)
    path = written(tmp_path / "a.flac", noise(2 * RATE_HZ, 1))
    with pytest.raises(TrackError, match="is longer than"):
        length_frames(open_sound(path))


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no such files there")
def test_what_is_no_ordinary_file_is_refused(tmp_path):
    """A pipe or a device may never end, or never begin."""
    pipe = tmp_path / "a.mp3"
    os.mkfifo(pipe)
    for path in (pipe, Path("/dev/zero")):
        with pytest.raises(TrackError, match="is no ordinary file"):
            open_sound(path)


@pytest.mark.parametrize("beginning", ["", "sound"])
@pytest.mark.skipif(sys.platform == "win32", reason="memory is told otherwise there")
def test_a_large_file_that_is_no_sound_is_not_held_in_memory(tmp_path, beginning):
    """Two gigabytes of nothing, alone or behind some sound, take a tenth of it."""
    path = tmp_path / "a.mp3"
    if beginning:
        written(path, noise(RATE_HZ, 1))
    else:
        path.touch()
    os.truncate(path, 2**31)
    told = subprocess.run(
        [sys.executable, "-c", _LIMITED, str(path)],
        check=True,
        capture_output=True,
        text=True,
    ).stdout.split("\n")
    assert int(told[-2]) < MOST_MIB
    assert beginning or "holds no sound at all" in told[0]


def test_patience_begins_anew_with_every_sound(tmp_path, monkeypatch):
    """A long file of sound is read to its end, however little patience there is."""
    path = written(tmp_path / "a.mp3", noise(60 * RATE_HZ, 1))
    assert path.stat().st_size > 4 * 2**17
    monkeypatch.setattr(patient_file, "PATIENCE_BYTES", 2**17)
    assert length_frames(open_sound(path)) == 60 * RATE_HZ
