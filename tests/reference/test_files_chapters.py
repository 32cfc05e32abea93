"""Chapters and tags of finished files, read by readers that are not cuetrack's.

mutagen (ID3, MP4 and Vorbis comments), the FFmpeg inside PyAV, and a program of
another FFmpeg version, whose chapter list is what most players show.
"""

from __future__ import annotations

import re

import av
import mutagen
import pytest
import soundfile
from mutagen.id3 import ID3
from mutagen.mp4 import MP4

from cuetrack.output.track.encoding import FORMATS
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


def test_mutagen_reads_the_id3_chapters(tracks):
    """CHAP frames lie in order of time, and one CTOC lists them, top and ordered."""
    tag = ID3(tracks["mp3"])
    assert tag.version == (2, 3, 0)
    (contents,) = tag.getall("CTOC")
    assert contents.flags == 3
    chapters = [tag[f"CHAP:{name}"] for name in contents.child_element_ids]
    assert [frame.element_id for frame in tag.getall("CHAP")] == (
        contents.child_element_ids
    )
    assert [
        (frame.start_time, frame.end_time, str(frame.sub_frames["TIT2"]))
        for frame in chapters
    ] == [(chapter.start_ms, chapter.end_ms, chapter.title) for chapter in CHAPTERS]


def test_mutagen_reads_the_id3_tags(tracks):
    """Title, artist, album, language and comment stand in their frames."""
    tag = ID3(tracks["mp3"])
    assert str(tag["TIT2"]) == TAGS.title
    assert str(tag["TPE1"]) == TAGS.artist
    assert str(tag["TALB"]) == TAGS.album
    assert str(tag["TLAN"]) == "deu"
    (comment,) = tag.getall("COMM")
    assert (comment.lang, comment.text) == ("deu", [COMMENT])


def test_mutagen_reads_the_mp4_chapters_and_tags(tracks):
    """The list of chapters that most players of M4A read is there and exact."""
    file = MP4(tracks["m4a"])
    found = [(chapter.start * 1000, chapter.title) for chapter in file.chapters]
    assert found == [(chapter.start_ms, chapter.title) for chapter in CHAPTERS]
    assert file.tags["\xa9nam"] == [TAGS.title]
    assert file.tags["\xa9alb"] == [TAGS.album]
    assert file.tags["\xa9cmt"] == [COMMENT]


@pytest.mark.parametrize("extension", ["flac", "ogg", "opus"])
def test_mutagen_reads_the_vorbis_comments(tracks, extension):
    """Tags and numbered chapters stand in the comments, and nothing else is left."""
    comments = mutagen.File(tracks[extension]).tags
    assert comments["TITLE"] == [TAGS.title]
    assert comments["ALBUM"] == [TAGS.album]
    assert comments["DESCRIPTION"] == [COMMENT]
    starts = sorted(
        (key, value)
        for key, [value] in ((key, comments[key]) for key in set(comments.keys()))
        if re.fullmatch(r"chapter\d{3}", key, re.IGNORECASE)
    )
    assert [value for _, value in starts] == [
        "00:00:00.000",
        "00:00:01.500",
        "00:00:02.250",
    ]
    assert [comments[f"{key}name"] for key, _ in starts] == [
        [chapter.title] for chapter in CHAPTERS
    ]


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
