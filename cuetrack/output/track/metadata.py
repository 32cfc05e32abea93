"""Title, album and chapters as the bytes that WAV, FLAC, Ogg Vorbis and MP3 hold.

Our own small writers: libsndfile knows no chapters, and PyAV loses those of a
FLAC file without a word. Formats: RIFF/WAVE (Microsoft and IBM, 1991) with ``cue `` and
``adtl``; FLAC (RFC 9639); Ogg pages (RFC 3533); Vorbis comments with the
``CHAPTERxxx`` fields players know; ID3v2.3 with its chapter frames addendum.
"""

from __future__ import annotations

import struct
from dataclasses import dataclass
from typing import TYPE_CHECKING, BinaryIO

from cuetrack.output.track.chapters import Chapter, plain_line
from cuetrack.times import frames_from_ms

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

_VENDOR = b"cuetrack"
_FLAC_COMMENT, _FLAC_PADDING, _FLAC_LAST = 4, 1, 0x80
_OGG_CRC_POLYNOMIAL = 0x04C1_1DB7
_NO_BYTE_OFFSET = b"\xff" * 8
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


def vorbis_comments(tags: Tags, chapters: Sequence[Chapter]) -> bytes:
    """Return a Vorbis comment header's body."""
    fields = vorbis_fields(tags, chapters)
    body = struct.pack("<I", len(_VENDOR)) + _VENDOR + struct.pack("<I", len(fields))
    for name, text in fields:
        data = f"{name}={text}".encode()
        body += struct.pack("<I", len(data)) + data
    return body


def fill_flac_comment(file: BinaryIO, comments: bytes) -> None:
    """Put ``comments`` where a longer comment block stands, and pad the rest."""
    file.seek(4)
    while True:
        place = file.tell()
        kind, size = _flac_block_header(file.read(4))
        if kind & ~_FLAC_LAST == _FLAC_COMMENT:
            break
        if kind & _FLAC_LAST:
            raise ValueError("there is no comment block to fill")
        file.seek(size, 1)
    padding = size - len(comments) - 4
    if padding < 0:
        raise ValueError(f"{len(comments)} bytes do not fit a block of {size}")
    file.seek(place)
    file.write(_flac_block(_FLAC_COMMENT, comments))
    file.write(_flac_block(_FLAC_PADDING | (kind & _FLAC_LAST), bytes(padding)))


def _flac_block_header(header: bytes) -> tuple[int, int]:
    return header[0], int.from_bytes(header[1:4], "big")


def _flac_block(kind: int, body: bytes) -> bytes:
    return bytes([kind]) + len(body).to_bytes(3, "big") + body


def fill_ogg_vorbis_comment(file: BinaryIO, comments: bytes) -> None:
    """Put ``comments`` where the longer second packet of a Vorbis stream starts.

    The pages keep their sizes: what is left of the old comments becomes zeros
    after the framing bit, which readers skip, and each page its new checksum.
    """
    new = b"\x03vorbis" + comments + b"\x01"
    file.seek(0)
    _ogg_page(file)
    done = 0
    while True:
        place = file.tell()
        head, lacing, body = _ogg_page(file)
        length, ends = _first_packet_part(lacing)
        part = new[done : done + length].ljust(length, b"\0")
        done += length
        page = head + bytes([len(lacing)]) + lacing + part + body[length:]
        file.seek(place)
        file.write(_with_ogg_checksum(page))
        if ends:
            break
    if done < len(new):
        raise ValueError(f"{len(new)} bytes do not fit a packet of {done}")


def _ogg_page(file: BinaryIO) -> tuple[bytes, bytes, bytes]:
    """Read one page: its fixed header but the count, its lacing values, its body."""
    head = file.read(27)
    if head[:4] != b"OggS":
        raise ValueError("there is no page here")
    lacing = file.read(head[26])
    return head[:26], lacing, file.read(sum(lacing))


def _first_packet_part(lacing: bytes) -> tuple[int, bool]:
    """Return how much of a page belongs to its first packet, and whether it ends."""
    length = 0
    for value in lacing:
        length += value
        if value < 255:
            return length, True
    return length, False


def _ogg_crc_table() -> tuple[int, ...]:
    table = []
    for byte in range(256):
        crc = byte << 24
        for _ in range(8):
            crc = crc << 1 ^ (_OGG_CRC_POLYNOMIAL if crc >> 31 else 0)
            crc &= 0xFFFF_FFFF
        table.append(crc)
    return tuple(table)


_OGG_CRC_TABLE = _ogg_crc_table()


def _with_ogg_checksum(page: bytes) -> bytes:
    blank = page[:22] + bytes(4) + page[26:]
    crc = 0
    for byte in blank:
        crc = (crc << 8 & 0xFFFF_FFFF) ^ _OGG_CRC_TABLE[crc >> 24 ^ byte]
    return blank[:22] + struct.pack("<I", crc) + blank[26:]


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


def id3_tag(tags: Tags, chapters: Sequence[Chapter]) -> bytes:
    """Return an ID3v2.3 tag with chapters in order of time, and their contents list.

    Version 2.3 with UTF-16, since older players know neither 2.4 nor UTF-8.
    """
    frame_names = {"title": b"TIT2", "artist": b"TPE1", "album": b"TALB"}
    language = tags.language_three_letters.encode("ascii")
    frames = b"".join(
        _id3_text_frame(frame_names[name], text)
        for name, text in tags.named().items()
        if name in frame_names
    )
    frames += _id3_frame(b"TLAN", b"\0" + language)
    if tags.comment:
        body = b"\x01" + language + _utf16("") + b"\0\0" + _utf16(tags.comment)
        frames += _id3_frame(b"COMM", body)
    frames += _id3_chapters(chapters)
    size = len(frames)
    digits = bytes(size >> shift & 0x7F for shift in (21, 14, 7, 0))
    return b"ID3\x03\x00\x00" + digits + frames


def _id3_chapters(chapters: Sequence[Chapter]) -> bytes:
    """Return one CTOC frame, top level and ordered, and the CHAP frames it lists.

    One such list holds up to 255 chapters; a track with more goes without it.
    """
    names = [f"ch{number:03}".encode() for number in range(1, len(chapters) + 1)]
    frames = b""
    if 0 < len(names) <= 255:
        listed = b"".join(name + b"\0" for name in names)
        frames += _id3_frame(b"CTOC", b"toc\0\x03" + bytes([len(names)]) + listed)
    for name, chapter in zip(names, chapters, strict=True):
        times = struct.pack(">II", chapter.start_ms, chapter.end_ms)
        title = _id3_text_frame(b"TIT2", chapter.title)
        frames += _id3_frame(b"CHAP", name + b"\0" + times + _NO_BYTE_OFFSET + title)
    return frames


def _utf16(text: str) -> bytes:
    return b"\xff\xfe" + plain_line(text).encode("utf-16-le")


def _id3_text_frame(name: bytes, text: str) -> bytes:
    return _id3_frame(name, b"\x01" + _utf16(text))


def _id3_frame(name: bytes, body: bytes) -> bytes:
    return name + struct.pack(">I", len(body)) + b"\0\0" + body
