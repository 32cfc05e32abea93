"""Tags and chapters as bytes: one line each, in their place, of the right size."""

from __future__ import annotations

import io
import struct

import pytest
import soundfile
from hypothesis import given
from hypothesis import strategies as st

from cuetrack.output.track.chapters import Chapter
from cuetrack.output.track.metadata import (
    Tags,
    append_wav_chunks,
    fill_flac_comment,
    fill_ogg_vorbis_comment,
    id3_tag,
    vorbis_comments,
    vorbis_fields,
)
from tests.output.sounds import CHAPTERS, RATE_HZ, TAGS, in_blocks, noise


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


def placeholder(kind, room):
    """Write a sound with a comment of ``room`` letters in the place to fill."""
    file = io.BytesIO()
    subtype = {"FLAC": "PCM_24", "OGG": "VORBIS"}[kind]
    with soundfile.SoundFile(
        file, "w", RATE_HZ, 1, format=kind, subtype=subtype
    ) as sound:
        sound.comment = " " * room
        for block in in_blocks(noise(30_000)):
            sound.write(block)
    return file


FILL = {"FLAC": fill_flac_comment, "OGG": fill_ogg_vorbis_comment}


@given(st.sampled_from(sorted(FILL)), st.integers(0, 2000))
def test_comments_fill_any_room(kind, spare):
    """However much room is left, the sound and its length stay the same."""
    comments = vorbis_comments(TAGS, CHAPTERS)
    file = placeholder(kind, len(comments) + 64 + spare)
    before = soundfile.read(io.BytesIO(file.getvalue()))[0]
    size = len(file.getvalue())
    FILL[kind](file, comments)
    assert len(file.getvalue()) == size
    with soundfile.SoundFile(io.BytesIO(file.getvalue())) as sound:
        assert sound.title == TAGS.title
        assert (sound.read() == before).all()


@pytest.mark.parametrize("kind", sorted(FILL))
def test_comments_that_do_not_fit_are_refused(kind):
    """Rather no tags than a broken file."""
    with pytest.raises(ValueError, match="do not fit"):
        FILL[kind](placeholder(kind, 10), vorbis_comments(TAGS, CHAPTERS))


def test_an_id3_tag_says_its_own_size():
    """Sound starts right behind the tag, as its head says in seven-bit digits."""
    tag = id3_tag(TAGS, CHAPTERS * 50)
    digits = tag[6:10]
    assert max(digits) < 0x80
    size = sum(
        digit << shift for digit, shift in zip(digits, (21, 14, 7, 0), strict=True)
    )
    assert size == len(tag) - 10


def test_more_chapters_than_a_list_holds_are_written_without_it():
    """A contents list counts in one byte; the chapters are found without it."""
    many = CHAPTERS * 100
    assert id3_tag(TAGS, many).count(b"CHAP") == 300
    assert b"CTOC" not in id3_tag(TAGS, many)
    assert b"CTOC" in id3_tag(TAGS, many[:255])
