"""MP3 keeps each frame in its place, and is no worse than by the encoder in FFmpeg."""

from __future__ import annotations

import tracemalloc
from fractions import Fraction
from itertools import islice, repeat

import av
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from cuetrack.errors import OutputError
from cuetrack.output.track.encoding import write_track
from cuetrack.output.track.metadata import Tags
from cuetrack.output.track.mp3 import in_16_bit_steps
from cuetrack.sound.decoding import open_sound
from tests.output.readers import READERS
from tests.output.sounds import RATE_HZ, bursts, in_blocks, noise, written

PACKET = 1152
EDGES = [1, 2, 47, 575, 576, 577, 1151, 1152, 1153, 20 * PACKET, 108 * PACKET + 17]


def dense(channels):
    """Noise that falls with frequency, like speech and music at once."""
    frames = 3 * RATE_HZ
    spectrum = np.fft.rfft(noise(frames, channels), axis=0)
    hz = np.fft.rfftfreq(frames, 1 / RATE_HZ)[:, None]
    return np.fft.irfft(spectrum / (1 + hz / 500), frames, axis=0).astype(np.float32)


def write(path, blocks, channels=1):
    tags = Tags(title="a")
    write_track(path, blocks, format="mp3", channels=channels, tags=tags)
    return path


@pytest.mark.outside
@pytest.mark.parametrize("channels", [1, 2])
@pytest.mark.parametrize("frames", EDGES)
def test_every_decoder_gives_the_exact_length(tmp_path, frames, channels):
    """Tiny tracks, and lengths about the borders of packets, come back whole."""
    path = written(tmp_path / "a.mp3", noise(frames, channels))
    assert {name: len(read(path)) for name, read in READERS.items()} == dict.fromkeys(
        READERS, frames
    )


def test_a_track_of_no_length_is_refused(tmp_path):
    """No decoder would open it; it is told, and no file is left."""
    with pytest.raises(OutputError, match=r"a\.mp3: An MP3 cannot be empty"):
        write(tmp_path / "a.mp3", iter([]))
    assert not list(tmp_path.iterdir())


@pytest.mark.parametrize("channels", [1, 2])
@pytest.mark.parametrize("cut", [100, 7_001, 48_000])
def test_blocks_of_any_size_give_the_same_bytes(tmp_path, channels, cut):
    """How the mix is handed over leaves no trace in the file."""
    sound = bursts(channels)
    whole = write(tmp_path / "whole.mp3", iter([sound]), channels)
    pieces = write(tmp_path / "pieces.mp3", in_blocks(sound, cut), channels)
    assert pieces.read_bytes() == whole.read_bytes()


@pytest.mark.outside
@pytest.mark.parametrize(("channels", "bit_rate"), [(1, 128_000), (2, 192_000)])
def test_the_error_is_that_of_the_encoder_in_ffmpeg(tmp_path, channels, bit_rate):
    """The LAME inside PyAV, given floats, comes as near to a dense sound.

    At the same bit rate and quality, to a fiftieth of a decibel.
    """
    sound = dense(channels)
    ours = READERS["PyAV"](written(tmp_path / "a.mp3", sound))
    theirs = READERS["PyAV"](by_pyav(tmp_path / "b.mp3", sound, bit_rate))
    assert abs(error_db(ours, sound) - error_db(theirs, sound)) <= 0.02


@pytest.mark.parametrize("channels", [1, 2])
def test_rounding_to_16_bits_stays_far_below_the_sound(tmp_path, channels):
    """Even of a sound so simple that MP3 hardly changes it, the error is tiny.

    90 dB below full scale, and so 74 dB below a class at -16 LUFS.
    """
    sound = bursts(channels)
    assert error_db(decoded(written(tmp_path / "a.mp3", sound)), sound) <= -90


def by_pyav(path, sound, bit_rate):
    layout = "mono" if sound.shape[1] == 1 else "stereo"
    with av.open(str(path), "w") as container:
        stream = container.add_stream("libmp3lame", rate=RATE_HZ, layout=layout)
        stream.bit_rate = bit_rate
        stream.codec_context.options = {"compression_level": "7"}
        frame = av.AudioFrame.from_ndarray(
            np.ascontiguousarray(sound.T), "fltp", layout
        )
        frame.sample_rate, frame.pts = RATE_HZ, 0
        frame.time_base = Fraction(1, RATE_HZ)
        container.mux(stream.encode(frame))
        container.mux(stream.encode(None))
    return path


def decoded(path):
    return np.concatenate(list(open_sound(path).blocks()))


def error_db(found, sound):
    """Return the mean square of the error below full scale, gain left out."""
    found, sound = found[: len(sound)].astype(float), sound.astype(float)
    gain = np.vdot(found, sound) / np.vdot(sound, sound)
    return 10 * np.log10(np.mean((found / gain - sound) ** 2))


@given(st.lists(st.floats(-2, 2, width=32), min_size=1, max_size=50))
def test_16_bits_are_the_nearest_and_never_wrap(values):
    """Rounding is by at most half a step, and full scale is the limit."""
    block = np.array([values], dtype=np.float32).T
    exact = np.clip(block.astype(float) * 2**15, -(2**15), 2**15 - 1)
    assert np.abs(in_16_bit_steps(block) - exact).max() <= 0.5


def test_memory_does_not_grow_with_the_track(tmp_path):
    """Seven minutes more take far less memory than they have bytes in the file."""

    def peak_bytes(seconds):
        block = noise(RATE_HZ)
        tracemalloc.start()
        write(tmp_path / f"{seconds}.mp3", islice(repeat(block), seconds))
        peak = tracemalloc.get_traced_memory()[1]
        tracemalloc.stop()
        return peak

    peak_bytes(1)  # tables that are kept
    growth = peak_bytes(480) - peak_bytes(60)
    assert growth < (420 * 128_000 / 8) / 5
