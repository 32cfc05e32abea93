"""The gapless tag of an MP3 is what other writers write and other readers read."""

from __future__ import annotations

from fractions import Fraction

import av
import mutagen.mp3
import numpy as np
import pytest
import soundfile
from hypothesis import given
from hypothesis import strategies as st

from cuetrack.output.track.infotag import SoundChecksum, crc_16, info_packet
from tests.output.readers import ffmpeg
from tests.output.sounds import RATE_HZ, noise, written

FRAMES = 50_000
PLACES = {
    "flags": slice(4, 8),
    "packets": slice(8, 12),
    "bytes": slice(12, 16),
    "kind of bit rate": slice(129, 130),
    "bit rate": slice(140, 141),
    "delay and padding": slice(141, 144),
    "length of the sound": slice(148, 152),
    "checksum of the sound": slice(152, 154),
    "checksum of the tag": slice(154, 156),
}
"""Places counted from the ``I`` of ``Info``."""
TELLS_LITTLE = {"kind of bit rate", "bit rate"}
"""What FFmpeg leaves empty."""


def by_libsndfile(path, channels):
    """Write an MP3 whose tag LAME wrote."""
    with soundfile.SoundFile(
        path,
        "w",
        RATE_HZ,
        channels,
        bitrate_mode="CONSTANT",
        compression_level=0.67,  # 128 kbit/s
    ) as file:
        file.write(noise(FRAMES, channels))


def by_pyav(path, channels):
    """Write an MP3 whose tag FFmpeg wrote."""
    layout = "mono" if channels == 1 else "stereo"
    with av.open(str(path), "w", options={"id3v2_version": "0"}) as container:
        stream = container.add_stream("libmp3lame", rate=RATE_HZ, layout=layout)
        stream.bit_rate = 128_000
        frame = av.AudioFrame.from_ndarray(
            np.ascontiguousarray(noise(FRAMES, channels).T), "fltp", layout
        )
        frame.sample_rate, frame.pts = RATE_HZ, 0
        frame.time_base = Fraction(1, RATE_HZ)
        container.mux(stream.encode(frame))
        container.mux(stream.encode(None))


def by_ffmpeg_program(path, channels):
    """Write an MP3 whose tag another version of FFmpeg wrote."""
    raw = noise(FRAMES, channels).tobytes()
    form = ("-f", "f32le", "-ar", str(RATE_HZ), "-ac", str(channels), "-i", "-")
    ffmpeg(*form, "-b:a", "128k", "-id3v2_version", "0", str(path), sound=raw)


def packets_of(data):
    parser = av.CodecContext.create("mp3float", "r")
    return [bytes(packet) for packet in (*parser.parse(data), *parser.parse())]


def fields(packet):
    tag = packet[packet.find(b"Info") :]
    return {name: int.from_bytes(tag[place], "big") for name, place in PLACES.items()}


@pytest.mark.outside
@pytest.mark.parametrize("channels", [1, 2])
@pytest.mark.parametrize("writer", [by_libsndfile, by_pyav, by_ffmpeg_program])
def test_the_tag_is_that_of_other_writers(tmp_path, writer, channels):
    """Of the packets LAME 3.100 or FFmpeg wrote, our tag says what theirs says.

    FFmpeg tells little, and in a mono file sums up beyond the tag.
    """
    path = tmp_path / "a.mp3"
    writer(path, channels)
    theirs, *sound = packets_of(path.read_bytes())
    checksum = SoundChecksum()
    for packet in sound:
        checksum.add(packet)
    ours = info_packet(
        sound[0],
        channels=channels,
        kbit_per_second=128,
        frames=FRAMES,
        packets=len(sound),
        sound_bytes=sum(map(len, sound)),
        sound_crc=checksum.value(),
    )
    assert len(ours) == len(theirs)
    assert ours.find(b"Info") == theirs.find(b"Info")
    ignored = {"checksum of the tag"}
    if writer is not by_libsndfile:
        ignored |= TELLS_LITTLE
    for name in PLACES.keys() - ignored:
        assert fields(ours)[name] == fields(theirs)[name], name
    if writer is by_libsndfile or channels == 2:
        head = theirs[: theirs.find(b"Info") + PLACES["checksum of the tag"].start]
        assert crc_16(head) == fields(theirs)["checksum of the tag"]


@pytest.mark.outside
def test_a_reader_of_tags_understands_it(tmp_path):
    """mutagen finds the encoder, one bit rate and the exact length."""
    told = mutagen.mp3.MP3(written(tmp_path / "a.mp3", noise(FRAMES))).info
    assert told.encoder_info.startswith("LAME 4.0")
    assert told.bitrate_mode == mutagen.mp3.BitrateMode.CBR
    assert (told.bitrate, told.length) == (128_000, FRAMES / RATE_HZ)


def test_the_tag_of_a_track_sums_up_its_bytes(tmp_path):
    """Both checksums and all counts are those of the finished file."""
    tag, *sound = packets_of(sound_of(written(tmp_path / "a.mp3", noise(300_000, 2))))
    head = tag[: tag.find(b"Info") + PLACES["checksum of the tag"].start]
    told = fields(tag)
    assert told["packets"] == len(sound)
    assert told["bytes"] == len(tag) + sum(map(len, sound))
    assert told["checksum of the sound"] == crc_16(b"".join(sound))
    assert told["checksum of the tag"] == crc_16(head)


def sound_of(path):
    """Return the bytes of an MP3 behind its ID3 tag."""
    data = path.read_bytes()
    size = 0
    for seven_bits in data[6:10]:
        size = size << 7 | seven_bits
    return data[10 + size :]


def test_packets_that_do_not_hold_the_sound_are_refused():
    """More frames than the packets have, or far fewer, cannot be right."""
    for frames in (50_000, 5_000):
        with pytest.raises(ValueError, match="10 packets do not hold"):
            info_packet(
                bytes(384),
                channels=1,
                kbit_per_second=128,
                frames=frames,
                packets=10,
                sound_bytes=3840,
                sound_crc=0,
            )


@given(st.lists(st.integers(0, 9_000), max_size=5), st.randoms())
def test_the_checksum_of_a_stream_is_that_of_its_bytes(lengths, chance):
    """However a stream is cut, its checksum is the plain CRC of the whole."""
    pieces = [chance.randbytes(length) for length in lengths]
    checksum = SoundChecksum()
    for piece in pieces:
        checksum.add(piece)
    assert checksum.value() == crc_16(b"".join(pieces))
