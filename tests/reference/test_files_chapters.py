"""Chapters and tags of finished files, read by readers that are not cuetrack's.

The FFmpeg inside PyAV, a program of another FFmpeg version, whose chapter list is
what most players show, libsndfile, and mutagen for the one format it does not write.
"""

from __future__ import annotations

import re
import struct

import av
import pytest
import soundfile
from mutagen.mp4 import MP4

from cuetrack.output.track.formats import FORMATS
from tests.output.readers import ffmpeg_says
from tests.output.sounds import CHAPTERS, TAGS, noise, written

pytestmark = pytest.mark.outside

LENGTH_FRAMES = CHAPTERS[-1].end_ms * 48
COMMENT = "One chair, one bottle"


@pytest.fixture(scope="module")
def tracks(tmp_path_factory):
    folder = tmp_path_factory.mktemp("tracks")
    return {
        extension: written(folder / f"track.{extension}", noise(LENGTH_FRAMES))
        for extension in FORMATS
    }


@pytest.mark.parametrize("extension", FORMATS)
def test_pyav_lists_every_chapter(tracks, extension):
    """Names and starts are exact in all formats; ends where the format has them.

    Formats that only hold starts end a chapter where the next starts, and Opus
    counts the 6.5 ms in front of the sound to the last.
    """
    with av.open(str(tracks[extension])) as container:
        chapters = container.chapters()
    titles = [chapter["metadata"]["title"] for chapter in chapters]
    assert titles == [chapter.title for chapter in CHAPTERS]
    for wanted, chapter in zip(CHAPTERS, chapters, strict=True):
        assert chapter["start"] * chapter["time_base"] * 1000 == wanted.start_ms
        end_ms = float(chapter["end"] * chapter["time_base"] * 1000)
        slack = 7 if extension == "opus" and wanted is CHAPTERS[-1] else 0
        assert wanted.end_ms <= end_ms <= wanted.end_ms + slack


@pytest.mark.parametrize("extension", FORMATS)
def test_the_ffmpeg_program_lists_every_chapter(tracks, extension):
    """The program of another version finds the same names and starts."""
    lines = ffmpeg_says(tracks[extension])
    starts = re.findall(r"Chapter #0:\d+: start ([\d.]+), end", lines)
    titles = re.findall(r"Chapter #0.*\n\s+Metadata:\s+title\s*: (.*)", lines)
    assert [round(float(start) * 1000, 3) for start in starts] == [
        chapter.start_ms for chapter in CHAPTERS
    ]
    assert titles == [chapter.title for chapter in CHAPTERS]


def id3_frames(data, place=10, end=None):
    """Yield name and body of each frame of an ID3v2.3 tag, by a parser of our own.

    Layout: ID3v2.3.0 (id3.org), section 3.3: a name of four letters, a size of four
    bytes, two bytes of flags, the body; zeros are padding.
    """
    if end is None:
        assert data[:5] == b"ID3\x03\x00"
        end = place + sum(
            digit << shift
            for digit, shift in zip(data[6:10], (21, 14, 7, 0), strict=True)
        )
    while place < end and data[place]:
        size = int.from_bytes(data[place + 4 : place + 8], "big")
        yield data[place : place + 4], data[place + 10 : place + 10 + size]
        place += 10 + size


def test_the_id3_chapters_lie_in_order_and_are_listed(tracks):
    """CHAP frames lie in order of time, and one CTOC lists them, top and ordered.

    Layout: ID3v2 Chapter Frame Addendum 1.0 (id3.org).
    """
    frames = list(id3_frames(tracks["mp3"].read_bytes()))
    bodies = [body for name, body in frames if name == b"CHAP"]
    found = []
    for body in bodies:
        name, _, rest = body.partition(b"\0")
        [(kind, title)] = id3_frames(rest, 16, len(rest))
        assert (kind, title[:1], rest[8:16]) == (b"TIT2", b"\x01", b"\xff" * 8)
        times = struct.unpack(">II", rest[:8])
        found.append((name, *times, title[1:].decode("utf-16").rstrip("\0")))
    assert found == [
        (f"ch{number:03}".encode(), chapter.start_ms, chapter.end_ms, chapter.title)
        for number, chapter in enumerate(CHAPTERS, start=1)
    ]
    (contents,) = [body for name, body in frames if name == b"CTOC"]
    listed = b"".join(name + b"\0" for name, *_ in found)
    assert contents == b"toc\0\x03" + bytes([len(found)]) + listed


@pytest.mark.parametrize(("chapters", "listed"), [(0, 0), (255, 1), (300, 0)])
def test_a_list_holds_no_more_chapters_than_it_can_count(tmp_path, chapters, listed):
    """A contents list counts in one byte; more chapters are written without it."""
    many = (CHAPTERS * 100)[:chapters]
    path = written(tmp_path / "a.mp3", noise(48_000), chapters=many)
    names = [name for name, _ in id3_frames(path.read_bytes())]
    assert names.count(b"CHAP") == chapters
    assert names.count(b"CTOC") == listed


@pytest.mark.parametrize("extension", FORMATS)
def test_ffmpeg_reads_every_tag(tracks, extension):
    """Title, artist, album, language and comment stand where players look."""
    with av.open(str(tracks[extension])) as container:
        found = {**container.streams.audio[0].metadata, **container.metadata}
    found = {name.lower(): text for name, text in found.items()}
    found.setdefault("comment", found.get("description"))
    assert found["title"] == TAGS.title
    assert found["artist"] == TAGS.artist
    assert found["album"] == TAGS.album
    assert found["comment"] == COMMENT
    assert found["language"] in {"de", "deu"}


def test_mutagen_reads_the_mp4_chapters_and_tags(tracks):
    """The list of chapters that most players of M4A read is there and exact."""
    file = MP4(tracks["m4a"])
    found = [(chapter.start * 1000, chapter.title) for chapter in file.chapters]
    assert found == [(chapter.start_ms, chapter.title) for chapter in CHAPTERS]
    assert file.tags["\xa9nam"] == [TAGS.title]
    assert file.tags["\xa9alb"] == [TAGS.album]
    assert file.tags["\xa9cmt"] == [COMMENT]


def test_libsndfile_reads_the_tags_of_a_wav(tracks):
    """The INFO list is where libsndfile looks for it."""
    with soundfile.SoundFile(tracks["wav"]) as file:
        assert file.title == TAGS.title
        assert file.artist == TAGS.artist
        assert file.comment == COMMENT


@pytest.mark.parametrize("chapters", [200, 999])
def test_many_chapters_are_all_found(tmp_path, chapters):
    """A long list crosses page and block borders without harm to the sound."""
    names = [f"Round {number}: " + "heel dig " * 8 for number in range(chapters)]
    many = [
        type(CHAPTERS[0])(title=name, start_ms=at * 6, end_ms=at * 6 + 6)
        for at, name in enumerate(names)
    ]
    for extension in ("ogg", "flac"):
        path = written(
            tmp_path / f"many.{extension}", noise(LENGTH_FRAMES), chapters=many
        )
        with av.open(str(path)) as container:
            found = [chapter["metadata"]["title"] for chapter in container.chapters()]
        assert found == [" ".join(name.split()) for name in names]
        assert soundfile.info(path).frames == LENGTH_FRAMES
        assert len(soundfile.read(path)[0]) == LENGTH_FRAMES
