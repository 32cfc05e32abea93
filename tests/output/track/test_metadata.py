"""Tags and chapters as bytes: one line each, in their place, of the right size."""

from __future__ import annotations

import errno
import io
import struct

import pytest
import soundfile

from cuetrack.output.track.chapters import Chapter
from cuetrack.output.track.formats import FORMATS
from cuetrack.output.track.metadata import (
    Tags,
    append_wav_chunks,
    describe,
    vorbis_fields,
)
from tests.output.sounds import CHAPTERS, RATE_HZ, TAGS, noise, written


@pytest.mark.parametrize(
    ("language", "code"),
    [
        ("en", "eng"),
        ("en-GB", "eng"),
        ("pt_BR", "por"),
        ("DE", "deu"),
        ("fra", "fra"),
        ("tlh-x", "tlh"),
        ("xx", "und"),
        ("", "und"),
        (None, "und"),
        ("äöü", "und"),
    ],
)
def test_the_language_has_three_letters(language, code):
    """Tags want the codes of ISO 639-2."""
    assert Tags(title="a", language=language).language_three_letters == code


def test_only_tags_that_are_there_are_named():
    """Nothing empty is written, and everything on one line."""
    tags = Tags(title="Ten\nminutes", album="", comment="\x00")
    assert tags.named() == {"title": "Ten minutes", "comment": ""}


def test_vorbis_fields_number_chapters_from_one():
    """Times are hours, minutes, seconds and thousandths."""
    late = Chapter(title="Close", start_ms=3_723_045, end_ms=3_800_000)
    assert vorbis_fields(Tags(title="a"), [late]) == [
        ("TITLE", "a"),
        ("CHAPTER001", "01:02:03.045"),
        ("CHAPTER001NAME", "Close"),
    ]


def wav(frames):
    file = io.BytesIO()
    soundfile.write(file, noise(frames), RATE_HZ, format="WAV", subtype="PCM_24")
    return file


@pytest.mark.parametrize("frames", [1000, 1001])
def test_wav_chunks_lie_on_even_places_and_add_up(frames):
    """The file can be walked chunk by chunk from head to end."""
    file = wav(frames)
    append_wav_chunks(file, TAGS, CHAPTERS, RATE_HZ)
    data = file.getvalue()
    assert struct.unpack("<I", data[4:8])[0] == len(data) - 8
    place, names = 12, []
    while place < len(data):
        assert place % 2 == 0
        names.append(data[place : place + 4])
        size = struct.unpack("<I", data[place + 4 : place + 8])[0]
        place += 8 + size + size % 2
    assert place == len(data)
    assert names[-3:] == [b"cue ", b"LIST", b"LIST"]
    assert len(soundfile.read(io.BytesIO(data))[0]) == frames


def test_a_wav_without_chapters_has_no_cue_points():
    """An empty list of points would be no valid chunk."""
    file = wav(1000)
    append_wav_chunks(file, Tags(title="a"), (), RATE_HZ)
    assert b"cue " not in file.getvalue()


class FullDisk(io.BufferedRandom):
    """A file on a disk that holds no byte more."""

    def write(self, data):
        if data:
            raise OSError(errno.ENOSPC, "No space left on device")
        return 0


@pytest.mark.parametrize("extension", ["mp3", "wav", "flac", "ogg", "opus"])
def test_a_disk_full_of_sound_is_told_by_its_own_error(tmp_path, extension):
    """Whichever library writes the tags, what the system said comes out."""
    path = written(tmp_path / f"a.{extension}", noise(1001), tags=Tags(title="a"))
    tagging = FORMATS[extension].tagging
    with (
        FullDisk(path.open("rb+", buffering=0)) as file,
        pytest.raises(OSError, match="No space left") as caught,
    ):
        describe(file, tagging, TAGS, CHAPTERS * 50, RATE_HZ)
    assert caught.value.errno == errno.ENOSPC
