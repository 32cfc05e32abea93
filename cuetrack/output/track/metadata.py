"""Title, album and chapters in the finished file, each where players look for it.

mutagen writes ID3v2.3 with its chapter frames addendum, and the Vorbis comments of
FLAC and Ogg with the ``CHAPTERxxx`` fields players know. Our own is what RIFF/WAVE
(Microsoft and IBM, 1991) holds, ``cue `` with ``adtl`` and INFO, which no library
here writes. FFmpeg describes an M4A while it encodes it.
"""

from __future__ import annotations

import struct
from dataclasses import dataclass
from typing import TYPE_CHECKING, BinaryIO

import mutagen
from mutagen.flac import FLAC
from mutagen.id3 import (
    CHAP,
    COMM,
    CTOC,
    ID3,
    TALB,
    TIT2,
    TLAN,
    TPE1,
    CTOCFlags,
)
from mutagen.id3._tags import save_frame
from mutagen.oggopus import OggOpus
from mutagen.oggvorbis import OggVorbis

from cuetrack.output.track.chapters import Chapter, plain_line
from cuetrack.output.track.formats import Tagging
from cuetrack.times import frames_from_ms

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

_UTF_16 = 1
_MOST_LISTED_CHAPTERS = 255
_ISO_639_2 = {
    "cs": "ces", "cy": "cym", "da": "dan", "de": "deu", "en": "eng", "es": "spa",
    "fi": "fin", "fr": "fra", "ga": "gle", "hu": "hun", "it": "ita", "nb": "nob",
    "nl": "nld", "no": "nor", "pl": "pol", "pt": "por", "ro": "ron", "sk": "slk",
    "sv": "swe", "tr": "tur", "uk": "ukr",
}  # fmt: skip
"""ISO 639-1 to 639-2/T, of the languages a class is likely held in (from memory)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Tags:
    """What players show of a track; ``language`` as in the plan, e.g. ``en``."""

    title: str
    album: str | None = None
    artist: str | None = None
    language: str | None = None
    comment: str | None = None

    @property
    def language_three_letters(self) -> str:
        """The code of ISO 639-2, ``und`` where it is not known."""
        first = (self.language or "").replace("_", "-").split("-")[0].lower()
        if len(first) == 3 and first.isascii() and first.isalpha():
            return first
        return _ISO_639_2.get(first, "und")

    def named(self) -> dict[str, str]:
        """Return the tags that are there, on one line each, title first."""
        values = {
            "title": self.title,
            "artist": self.artist,
            "album": self.album,
            "language": self.language,
            "comment": self.comment,
        }
        return {name: plain_line(text) for name, text in values.items() if text}


def describe(
    file: BinaryIO,
    tagging: Tagging | None,
    tags: Tags,
    chapters: Sequence[Chapter],
    rate_hz: int,
) -> None:
    """Write tags and chapters into a finished sound file of ``rate_hz`` frames/s.

    Raises OSError when the disk does not take them.
    """
    try:
        if tagging is Tagging.ID3:
            _id3_tag(tags, chapters).save(file, v2_version=3)
        elif tagging is Tagging.VORBIS_COMMENTS:
            commented = mutagen.File(file, options=[FLAC, OggVorbis, OggOpus])
            commented.tags.clear()
            commented.tags.extend(vorbis_fields(tags, chapters))
            file.seek(0)
            commented.save(file)
        elif tagging is Tagging.RIFF_CHUNKS:
            append_wav_chunks(file, tags, chapters, rate_hz)
    except mutagen.MutagenError as error:
        # mutagen wraps what the system said.
        raise OSError(*getattr(error.args[0], "args", error.args)) from error


class _OrderedID3(ID3):
    """A tag whose frames are written in the order they were added.

    mutagen would sort chapters by the length of their names, and many players show
    them in the order of the file.
    """

    def _write(self, config: object) -> bytes:
        return b"".join(save_frame(frame, config=config) for frame in self.values())


def _id3_tag(tags: Tags, chapters: Sequence[Chapter]) -> ID3:
    """Return an ID3v2.3 tag with chapters in order of time, and their contents list.

    Version 2.3 with UTF-16, since older players know neither 2.4 nor UTF-8. One such
    list holds up to 255 chapters; a track with more goes without it.
    """
    named = tags.named()
    language = tags.language_three_letters
    tag = _OrderedID3()
    for name, frame in (("title", TIT2), ("artist", TPE1), ("album", TALB)):
        if name in named:
            tag.add(frame(encoding=_UTF_16, text=named[name]))
    tag.add(TLAN(encoding=_UTF_16, text=language))
    if "comment" in named:
        tag.add(COMM(encoding=_UTF_16, lang=language, text=named["comment"]))
    ids = [f"ch{number:03}" for number in range(1, len(chapters) + 1)]
    if 0 < len(ids) <= _MOST_LISTED_CHAPTERS:
        flags = CTOCFlags.TOP_LEVEL | CTOCFlags.ORDERED
        tag.add(CTOC(element_id="toc", flags=flags, child_element_ids=ids))
    for element_id, chapter in zip(ids, chapters, strict=True):
        title = TIT2(encoding=_UTF_16, text=plain_line(chapter.title))
        tag.add(
            CHAP(
                element_id=element_id,
                start_time=chapter.start_ms,
                end_time=chapter.end_ms,
                sub_frames=[title],
            )
        )
    return tag


def vorbis_fields(tags: Tags, chapters: Sequence[Chapter]) -> list[tuple[str, str]]:
    """Return the fields of a Vorbis comment, chapters numbered from 001."""
    fields = [
        ("DESCRIPTION" if name == "comment" else name.upper(), text)
        for name, text in tags.named().items()
    ]
    for number, chapter in enumerate(chapters, start=1):
        seconds, ms = divmod(chapter.start_ms, 1000)
        clock = f"{seconds // 3600:02}:{seconds // 60 % 60:02}:{seconds % 60:02}"
        fields.append((f"CHAPTER{number:03}", f"{clock}.{ms:03}"))
        fields.append((f"CHAPTER{number:03}NAME", plain_line(chapter.title)))
    return fields


def append_wav_chunks(
    file: BinaryIO, tags: Tags, chapters: Sequence[Chapter], rate_hz: int
) -> None:
    """Add cue points, their names and the tags behind the sound of a WAV file."""
    file.seek(0, 2)
    if file.tell() % 2:
        file.write(b"\0")
    file.writelines(_wav_chunks(tags, chapters, rate_hz))
    size = file.tell() - 8
    file.seek(4)
    file.write(struct.pack("<I", size))


def _wav_chunks(
    tags: Tags, chapters: Sequence[Chapter], rate_hz: int
) -> Iterator[bytes]:
    points, names = b"", b"adtl"
    for number, chapter in enumerate(chapters, start=1):
        frame = frames_from_ms(chapter.start_ms, rate_hz)
        points += struct.pack("<II4sIII", number, frame, b"data", 0, 0, frame)
        names += _riff_chunk(
            b"labl", struct.pack("<I", number) + _zero_ended(chapter.title)
        )
    if chapters:
        yield _riff_chunk(b"cue ", struct.pack("<I", len(chapters)) + points)
        yield _riff_chunk(b"LIST", names)
    info_names = {
        "title": b"INAM",
        "artist": b"IART",
        "album": b"IPRD",
        "language": b"ILNG",
        "comment": b"ICMT",
    }
    info = b"INFO" + b"".join(
        _riff_chunk(info_names[name], _zero_ended(text))
        for name, text in tags.named().items()
    )
    yield _riff_chunk(b"LIST", info)


def _zero_ended(text: str) -> bytes:
    return plain_line(text).encode("utf-8") + b"\0"


def _riff_chunk(name: bytes, body: bytes) -> bytes:
    return name + struct.pack("<I", len(body)) + body + b"\0" * (len(body) % 2)
