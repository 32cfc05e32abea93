"""Any sound file gives its samples from the first on, or says why it cannot."""

from __future__ import annotations

import json
import os
import shutil
import stat
import sys
from fractions import Fraction
from itertools import product

import av
import imageio_ffmpeg
import numpy as np
import pytest
import soundfile
from hypothesis import given, settings
from hypothesis import strategies as st

from cuetrack.errors import TrackError
from cuetrack.output.track.formats import FORMATS
from cuetrack.sound import decoding
from cuetrack.sound.blocks import fixed_blocks
from cuetrack.sound.decoding import open_sound
from tests.output.readers import ffmpeg
from tests.output.sounds import RATE_HZ, length_frames, noise, written

FRAMES = 200_777


@pytest.fixture(scope="module")
def tracks(tmp_path_factory):
    folder = tmp_path_factory.mktemp("tracks")
    return {
        extension: written(folder / f"a.{extension}", noise(FRAMES, 2))
        for extension in FORMATS
    }


@pytest.mark.parametrize("extension", FORMATS)
def test_blocks_are_of_the_size_asked_for_and_come_again(tracks, extension):
    """All blocks but the last are full; a second pass gives the same samples."""
    sound = open_sound(tracks[extension])
    assert (sound.rate_hz, sound.channels) == (RATE_HZ, 2)
    first = list(sound.blocks(50_000))
    assert [block.shape for block in first] == [(50_000, 2)] * 4 + [(777, 2)]
    assert all(block.dtype == np.float32 for block in first)
    again = np.concatenate(list(sound.blocks(7_919)))
    assert np.array_equal(np.concatenate(first), again)


@pytest.mark.parametrize("extension", FORMATS)
def test_two_passes_at_once_do_not_disturb_each_other(tracks, extension):
    """Each pass opens the file for itself."""
    sound = open_sound(tracks[extension])
    one, other = sound.blocks(30_000), sound.blocks(30_000)
    next(one)
    assert np.array_equal(next(one), [*[next(other)], next(other)][1])


@pytest.mark.parametrize("extension", FORMATS)
def test_the_length_is_known_or_counted(tracks, extension):
    """The length says nothing or the truth, and counting gives the truth."""
    sound = open_sound(tracks[extension])
    assert sound.frames in {None, FRAMES}
    assert length_frames(sound) == FRAMES


@pytest.mark.parametrize("extension", ["wav", "flac", "ogg"])
def test_the_length_is_known_beforehand(tracks, extension):
    """These formats say how long they are."""
    assert open_sound(tracks[extension]).frames == FRAMES


@given(
    st.lists(st.integers(0, 50), max_size=30),
    st.integers(1, 60),
)
def test_reblocking_keeps_every_frame(sizes, block_frames):
    """Whatever the pieces, blocks are full but the last and join to the same."""
    sound = np.arange(sum(sizes), dtype=np.float32)[:, None]
    pieces = np.split(sound, np.cumsum(sizes)[:-1]) if sizes else []
    blocks = list(fixed_blocks(iter(pieces), block_frames))
    assert all(len(block) == block_frames for block in blocks[:-1])
    assert all(len(block) for block in blocks)
    assert np.array_equal(np.concatenate([sound[:0], *blocks]), sound)


@pytest.mark.parametrize("rate_hz", [8_000, 22_050, 44_100, 96_000])
@pytest.mark.parametrize("channels", [1, 2, 6])
@pytest.mark.parametrize("extension", ["wav", "flac", "aiff"])
def test_other_rates_and_channels_come_as_they_are(
    tmp_path, extension, channels, rate_hz
):
    """What people bring keeps its rate and channels; others convert."""
    sound = noise(5_000, channels)
    path = tmp_path / f"a.{extension}"
    soundfile.write(path, sound, rate_hz, subtype="PCM_24")
    opened = open_sound(path)
    assert (opened.rate_hz, opened.channels) == (rate_hz, channels)
    assert np.abs(np.concatenate(list(opened.blocks())) - sound).max() <= 2**-23


@pytest.mark.outside
@pytest.mark.parametrize(
    ("extension", "options", "coding"),
    [
        ("mp3", ("-b:a", "96k", "-ar", "44100"), "mp3"),
        ("m4a", ("-b:a", "128k", "-ar", "44100"), "aac"),
        ("m4a", ("-c:a", "alac"), "alac"),
        ("mka", ("-c:a", "libopus"), "opus"),
        ("wma", (), "wmav2"),
        ("wav", ("-c:a", "adpcm_ms"), "ms_adpcm"),
        ("aiff", (), "pcm_s16be"),
        ("caf", (), "pcm_s16be"),
    ],
)
def test_files_of_another_program_are_read(tmp_path, extension, options, coding):
    """Kinds we never write, made by the ffmpeg program, are opened all the same."""
    source, path = tmp_path / "source.wav", tmp_path / f"a.{extension}"
    seconds = np.arange(2 * RATE_HZ) / RATE_HZ
    soundfile.write(source, 0.2 * np.sin(2 * np.pi * 440 * seconds), RATE_HZ)
    ffmpeg("-i", str(source), *options, str(path))
    sound = open_sound(path)
    assert sound.channels == 1
    assert sound.coding == coding
    assert sound.lossless == coding.startswith(("pcm", "alac"))
    assert length_frames(sound) / sound.rate_hz == pytest.approx(2, abs=0.07)
    middle = np.concatenate(list(sound.blocks()))[sound.rate_hz // 2 :][: sound.rate_hz]
    assert np.sqrt(np.mean(middle**2)) == pytest.approx(0.2 / 2**0.5, rel=0.05)


@pytest.mark.skipif(sys.platform == "win32", reason="no colon in names there")
def test_a_colon_in_a_name_is_no_protocol(tracks, tmp_path):
    """A time of day in the name of a file does no harm."""
    path = tmp_path / "10:30 class.mp3"
    shutil.copy(tracks["mp3"], path)
    assert length_frames(open_sound(path)) == FRAMES


@pytest.mark.parametrize("extension", FORMATS)
def test_the_ending_of_the_name_does_not_matter(tracks, tmp_path, extension):
    """What a file is stands in it."""
    path = tmp_path / "sound.dat"
    shutil.copy(tracks[extension], path)
    sound = open_sound(path)
    assert length_frames(sound) == FRAMES
    assert sound.lossless == FORMATS[extension].lossless
    assert (sound.coding == "opus") == (extension == "opus")


def test_junk_behind_an_mp3_is_forgiven(tracks, tmp_path):
    """Old tags at the end of a file people bring do not spoil it."""
    path = tmp_path / "a.mp3"
    junk = b"APETAGEX" + bytes(range(256)) * 20
    path.write_bytes(tracks["mp3"].read_bytes() + junk)
    assert length_frames(open_sound(path)) == pytest.approx(FRAMES, abs=2304)


TROUBLES = {
    "missing": (None, "there is no such file. Check its name."),
    "empty": (b"", "is empty"),
    "text": (b"Ten gentle minutes\n" * 300, "is text, not sound"),
    "short text": ("Fußkreisen".encode(), "is text, not sound"),
    "nonsense": (bytes(range(256)) * 64, "cannot be read as sound"),
    "a picture": (
        b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR" + bytes(200),
        "holds no sound, only pictures or data",
    ),
    "only an MP3 tag": (b"ID3\x03\0\0\0\0\x0f\x76" + bytes(2038), "cannot be read"),
}


@pytest.mark.parametrize(("content", "words"), TROUBLES.values(), ids=TROUBLES)
def test_what_is_no_sound_is_told(tmp_path, content, words):
    """Whatever the name says, the message says what the file is."""
    path = tmp_path / "a.mp3"
    if content is not None:
        path.write_bytes(content)
    with pytest.raises(TrackError) as caught:
        open_sound(path)
    assert str(caught.value).startswith(f"{path}: ")
    assert words in str(caught.value)


def test_a_folder_is_told(tmp_path):
    """The message says what to give instead."""
    with pytest.raises(TrackError, match=r"is a folder\. Give the sound file inside"):
        open_sound(tmp_path)


@pytest.mark.parametrize(
    ("extension", "share"),
    [
        *product(["wav", "flac"], [0.002, 0.5, 0.99]),
        *product(["m4a"], [0.002, 0.5, 0.9]),
    ],
)
def test_a_file_cut_short_is_told(tracks, tmp_path, extension, share):
    """A copy that broke off is found out, at once or when its end is reached."""
    whole = tracks[extension].read_bytes()
    path = tmp_path / f"a.{extension}"
    path.write_bytes(whole[: int(len(whole) * share)])
    with pytest.raises(TrackError, match=r"Copy it again from where it came"):
        list(open_sound(path).blocks())


@pytest.mark.parametrize("extension", ["mp3", "ogg", "opus"])
def test_a_broken_header_is_told(tracks, tmp_path, extension):
    """Formats that play from any point must at least begin."""
    path = tmp_path / f"a.{extension}"
    path.write_bytes(tracks[extension].read_bytes()[:60])
    with pytest.raises(TrackError):
        open_sound(path)


def test_damage_in_the_middle_is_told(tracks, tmp_path):
    """A FLAC file knows that its samples are not those that were written."""
    whole = bytearray(tracks["flac"].read_bytes())
    middle = len(whole) // 2
    whole[middle : middle + 4000] = bytes(4000)
    path = tmp_path / "a.flac"
    path.write_bytes(whole)
    with pytest.raises(TrackError):
        list(open_sound(path).blocks())


def test_opus_of_few_bits_is_what_the_reference_decoder_gives(tmp_path):
    """Where the coder takes sound for speech other decoders part from libopus."""
    second = np.arange(2 * RATE_HZ) / RATE_HZ
    vowel = sum(np.sin(2 * np.pi * 130 * k * second) / k for k in range(1, 25))
    sound = (0.1 * vowel * (np.sin(4 * np.pi * second) > -0.3)).astype(np.float32)
    soundfile.write(tmp_path / "a.wav", sound, RATE_HZ, subtype="FLOAT")
    few_bits = ["-c:a", "libopus", "-b:a", "24k", "-application", "voip"]
    ffmpeg("-i", tmp_path / "a.wav", *few_bits, tmp_path / "a.opus")
    ffmpeg("-c:a", "libopus", "-i", tmp_path / "a.opus", tmp_path / "reference.wav")
    reference, _ = soundfile.read(tmp_path / "reference.wav", dtype="float32")
    ours = np.concatenate(list(open_sound(tmp_path / "a.opus").blocks()))[:, 0]
    assert np.abs(ours - reference).max() < 1e-4


@pytest.mark.parametrize("program", [None, "/usr/bin/ffmpeg"])
def test_copy_protection_is_told(tracks, tmp_path, monkeypatch, program):
    """Sealed sound is refused, even where a program is there that would open it."""
    monkeypatch.setattr(decoding.shutil, "which", lambda _name: program)
    opened = open_sound(tracks["wav"])
    monkeypatch.setattr(decoding, "_open_with_pydub", lambda _path: opened)
    sealed = tracks["m4a"].read_bytes().replace(b"mp4a", b"drms", 1)
    path = tmp_path / "a.m4a"
    path.write_bytes(sealed)
    with pytest.raises(TrackError, match="locked by copy protection"):
        open_sound(path)


def test_an_unknown_coding_is_told(tracks, tmp_path):
    """A file may be whole and yet not be for us."""
    data = bytearray(tracks["wav"].read_bytes())
    assert data[12:16] == b"fmt "
    data[20:22] = b"\x34\x12"
    path = tmp_path / "a.wav"
    path.write_bytes(data)
    with pytest.raises(TrackError, match="in a coding that is not known here"):
        open_sound(path)


@settings(max_examples=60, deadline=None)
@given(
    st.sampled_from(sorted(FORMATS)),
    st.lists(
        st.tuples(st.integers(0, 2**20), st.binary(min_size=1, max_size=4)),
        min_size=1,
        max_size=8,
    ),
    st.integers(0, 40) | st.none(),
)
def test_no_damage_whatever_gives_anything_but_a_clear_error(
    tracks, tmp_path_factory, extension, changes, fortieths
):
    """Bytes changed anywhere, the head above all, are forgiven or told."""
    data = bytearray(tracks[extension].read_bytes())
    for place, new in changes:
        at = place % (400 if place % 2 else len(data))
        data[at : at + len(new)] = new
    if fortieths is not None:
        data = data[: len(data) * fortieths // 40]
    path = tmp_path_factory.mktemp("damage") / f"a.{extension}"
    path.write_bytes(data)
    try:
        blocks = list(open_sound(path).blocks())
    except TrackError as error:
        told = str(error)
    else:
        told = f"{path}: " if blocks else ""
    assert told.startswith(f"{path}: ")


def test_values_that_are_no_numbers_are_told(tmp_path):
    """One broken value would spoil the whole mix."""
    sound = noise(100_000)
    sound[70_000] = np.nan
    path = tmp_path / "a.wav"
    soundfile.write(path, sound, RATE_HZ, subtype="FLOAT")
    with pytest.raises(TrackError, match="no numbers, near second 1"):
        list(open_sound(path).blocks())


def test_a_film_without_sound_is_told(tmp_path):
    """Only pictures are not enough."""
    path = tmp_path / "a.mp4"
    with av.open(str(path), "w") as container:
        stream = container.add_stream("mpeg4", rate=10)
        stream.width = stream.height = 16
        frame = av.VideoFrame.from_ndarray(np.zeros((16, 16, 3), np.uint8), "rgb24")
        frame.pts, frame.time_base = 0, Fraction(1, 10)
        container.mux(stream.encode(frame))
        container.mux(stream.encode(None))
    with pytest.raises(TrackError, match="only pictures or data"):
        open_sound(path)


def test_a_sound_of_no_length_is_told(tmp_path):
    """A file that was closed before anything was recorded."""
    path = tmp_path / "a.wav"
    soundfile.write(path, np.zeros((0, 1)), RATE_HZ)
    with pytest.raises(TrackError, match="holds no sound at all"):
        open_sound(path)


def test_blocks_of_no_size_are_refused(tracks):
    """A mistake of the caller, not of the file."""
    with pytest.raises(ValueError, match="at least 1"):
        list(open_sound(tracks["wav"]).blocks(0))


@pytest.fixture
def programs(tmp_path, monkeypatch):
    """Put the program that pydub drives on the path, and the small one it asks first.

    The wheel that carries ffmpeg lacks ffprobe; all pydub asks it is the codec.
    """
    folder = tmp_path / "programs"
    folder.mkdir()
    (folder / "ffmpeg").symlink_to(imageio_ffmpeg.get_ffmpeg_exe())
    probe = folder / "ffprobe"
    stream = {
        "index": 0,
        "codec_type": "audio",
        "codec_name": "mp3",
        "sample_fmt": "fltp",
    }
    probe.write_text(
        f"#!/bin/sh\ncat >/dev/null\necho '{json.dumps({'streams': [stream]})}'\n"
        "echo '  Stream #0:0: Audio: mp3, 48000 Hz, stereo, fltp' >&2\n",
        encoding="utf-8",
    )
    probe.chmod(probe.stat().st_mode | stat.S_IXUSR)
    monkeypatch.setenv("PATH", f"{folder}{os.pathsep}{os.environ['PATH']}")


@pytest.mark.skipif(sys.platform == "win32", reason="the stand-in is a shell script")
@pytest.mark.usefixtures("programs")
def test_pydub_opens_what_no_library_does(tracks, monkeypatch):
    """Where a decoding program is installed it is asked last."""

    def refuse(path):
        raise TrackError(f"{path}: refused")

    monkeypatch.setattr(decoding, "_open_with_av", refuse)
    sound = open_sound(tracks["mp3"])
    assert (sound.rate_hz, sound.channels) == (RATE_HZ, 2)
    ours = np.concatenate(list(sound.blocks()))
    theirs = soundfile.read(tracks["mp3"], dtype="float32")[0]
    assert ours.shape == theirs.shape
    assert np.abs(ours - theirs).max() <= 2**-15


@pytest.mark.skipif(sys.platform == "win32", reason="the stand-in is a shell script")
@pytest.mark.usefixtures("programs")
def test_the_first_message_stands_when_the_program_fails_too(tmp_path):
    """What nothing opens is told in our words, not in a program's."""
    path = tmp_path / "a.mp3"
    path.write_bytes(bytes(range(256)) * 64)
    with pytest.raises(TrackError, match="damaged, cut short, or no sound file"):
        open_sound(path)


@pytest.mark.skipif(sys.platform == "win32", reason="links need rights there")
def test_half_of_an_installed_program_is_not_asked(tmp_path, monkeypatch):
    """With ffmpeg alone, and no ffprobe, the message is ours and nothing warns."""
    (tmp_path / "ffmpeg").symlink_to(imageio_ffmpeg.get_ffmpeg_exe())
    monkeypatch.setenv("PATH", str(tmp_path))
    path = tmp_path / "a.mp3"
    path.write_bytes(TROUBLES["nonsense"][0])
    with pytest.raises(TrackError) as told:
        open_sound(path)
    assert "program" not in str(told.value)
