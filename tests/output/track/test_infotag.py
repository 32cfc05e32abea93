"""The gapless tag of an MP3 is understood, and mended where it is wrong."""

from __future__ import annotations

from fractions import Fraction

import av
import numpy as np
import pytest

from cuetrack.errors import OutputError
from cuetrack.output.track.infotag import _crc_16, mend_info_tag
from cuetrack.output.track.output_file import OutputFile
from cuetrack.sound.decoding import open_sound
from tests.output.readers import ffmpeg
from tests.output.sounds import RATE_HZ, noise

WRONGLY_COUNTED_FRAMES = 124_433
"""Nine frames over a whole number of packets: FFmpeg 8.1 miscounts here."""


def encoded(path, frames, channels):
    """Encode without cuetrack, with the tag as FFmpeg writes it."""
    layout = "mono" if channels == 1 else "stereo"
    with av.open(str(path), "w") as container:
        stream = container.add_stream("libmp3lame", rate=RATE_HZ, layout=layout)
        frame = av.AudioFrame.from_ndarray(
            np.ascontiguousarray(noise(frames, channels).T), "fltp", layout
        )
        frame.sample_rate, frame.pts = RATE_HZ, 0
        frame.time_base = Fraction(1, RATE_HZ)
        container.mux(stream.encode(frame))
        container.mux(stream.encode(None))
    data = path.read_bytes()
    start = data.find(b"\xff\xfb")
    path.write_bytes(data[start:])
    return path


@pytest.mark.outside
@pytest.mark.parametrize("maker", ["PyAV", "program"])
def test_the_checksum_is_that_of_other_writers(tmp_path, maker):
    """FFmpeg 8 and 9 write the CRC-16 computed here, at the place looked at here.

    In a stereo file; in a mono file FFmpeg sums up beyond the tag.
    """
    path = tmp_path / "a.mp3"
    if maker == "PyAV":
        encoded(path, 50_000, 2)
    else:
        sine = "sine=frequency=440:sample_rate=48000:duration=2,aformat=cl=stereo"
        ffmpeg("-f", "lavfi", "-i", sine, "-id3v2_version", "0", str(path))
    head = path.read_bytes()[:1441]
    at = head.find(b"Info")
    checksum = at + 154
    assert _crc_16(head[:checksum]) == int.from_bytes(head[checksum : checksum + 2])


@pytest.mark.parametrize("channels", [1, 2])
@pytest.mark.parametrize(
    "frames", [50_000, WRONGLY_COUNTED_FRAMES, 124_416, 124_463, 124_464, 48_000]
)
def test_the_mended_tag_gives_the_exact_length(tmp_path, frames, channels):
    """Whatever FFmpeg counted, decoders then give exactly what went in."""
    path = encoded(tmp_path / "a.mp3", frames, channels)
    before = path.read_bytes()
    with OutputFile(path, path) as target:
        mend_info_tag(target, frames)
    assert open_sound(path).length_frames() == frames
    assert path.read_bytes()[1441:] == before[1441:]


def test_there_is_something_to_mend(tmp_path):
    """Should FFmpeg once count rightly, this fails and the mending can go."""
    path = encoded(tmp_path / "a.mp3", WRONGLY_COUNTED_FRAMES, 1)
    assert open_sound(path).length_frames() != WRONGLY_COUNTED_FRAMES


def test_a_file_without_the_tag_is_refused(tmp_path):
    """Without it every cue would be late in every player."""
    path = tmp_path / "a.mp3"
    path.write_bytes(bytes(5000))
    target = OutputFile(path, path)
    with target, pytest.raises(OutputError, match="no gapless tag"):
        mend_info_tag(target, 1000)


def test_a_count_that_cannot_be_is_refused(tmp_path):
    """More frames than the packets hold cannot be right."""
    path = encoded(tmp_path / "a.mp3", 50_000, 1)
    target = OutputFile(path, path)
    with target, pytest.raises(OutputError, match="counts its own frames wrongly"):
        mend_info_tag(target, 60_000)
    assert open_sound(path).length_frames() == 50_000
