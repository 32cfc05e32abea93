"""The Info tag in the first frame of an MP3, which makes decoders gapless.

It says how many frames of sound the encoder added before and after. For about
one length in 25 FFmpeg counts the added end wrongly, by up to a thousandth of a
second; since we know the length, we put the right number there. The layout is
that of the tag LAME introduced (from memory; the tests hold it against tags that
LAME and FFmpeg wrote).
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from cuetrack.errors import OutputError

if TYPE_CHECKING:
    from cuetrack.output.track.output_file import OutputFile

_FRAMES_PER_PACKET = 1152
_LARGEST_TAG_FRAME_BYTES = 1441
_FRAME_COUNT = slice(8, 12)
_DELAY_AND_PADDING = slice(141, 144)
_CHECKSUM = slice(154, 156)
"""Places counted from the ``I`` of ``Info``."""


def mend_info_tag(target: OutputFile, frames: int) -> None:
    """Make the tag say that the sound is exactly ``frames`` long.

    Raises
    ------
    OutputError
        When there is no tag of the known kind, as then cues would be late.
    """
    target.seek(0)
    head = bytearray(target.read(_LARGEST_TAG_FRAME_BYTES))
    at = head.find(b"Info")
    if at < 0:
        raise OutputError(
            "The MP3 encoder here writes no gapless tag, so that every cue would be "
            "late.",
            "Choose m4a or flac, or install PyAV again.",
        )
    tag = head[at:]
    packets = int.from_bytes(tag[_FRAME_COUNT], "big")
    delay = int.from_bytes(tag[_DELAY_AND_PADDING], "big") >> 12
    padding = packets * _FRAMES_PER_PACKET - delay - frames
    if not 0 <= padding < 1 << 12:
        raise OutputError(
            "The MP3 encoder here counts its own frames wrongly.", "Choose m4a or flac."
        )
    tag[_DELAY_AND_PADDING] = (delay << 12 | padding).to_bytes(3, "big")
    head[at:] = tag
    tag[_CHECKSUM] = _crc_16(head[: at + _CHECKSUM.start]).to_bytes(2, "big")
    target.seek(at)
    target.write(bytes(tag[: _CHECKSUM.stop]))


def _crc_16(data: bytes | bytearray) -> int:
    """Return the CRC of polynomial 0x8005, bits reflected, starting from zero."""
    crc = 0
    for byte in data:
        crc ^= byte
        for _ in range(8):
            crc = crc >> 1 ^ (0xA001 if crc & 1 else 0)
    return crc
