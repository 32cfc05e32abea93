"""The Info tag in the first packet of an MP3, which makes decoders gapless.

It says how many frames of sound the encoder added before and after, and lets a
player jump. The layout is that of the tag LAME introduced (from memory; the tests
hold it against tags that FFmpeg wrote).
"""

from __future__ import annotations

import struct
from functools import cache
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    import numpy.typing as npt

FRAMES_PER_PACKET = 1152
ENCODER_DELAY_FRAMES = 576
"""What LAME puts in front; a decoder's own 529 frames stand in no tag."""

_SIDE_BYTES = {1: 17, 2: 32}
"""What lies between header and tag, by the number of channels."""
_ALL_FIELDS = 0b1111
_SEEK_TABLE = bytes(percent * 256 // 100 for percent in range(100))
"""At one bit rate throughout, a share of the time is that share of the bytes."""
_ENCODER = b"LAME4.0"
_CONSTANT_BIT_RATE = 1
_PIECE_BYTES = 1024


def info_packet(
    first: bytes,
    *,
    channels: int,
    kbit_per_second: int,
    frames: int,
    packets: int,
    sound_bytes: int,
    sound_crc: int,
) -> bytes:
    """Return the packet to stand before the sound, as long as its first one.

    Parameters
    ----------
    first
        The first packet of the sound, whose header the tag goes under.
    frames
        How long the sound is, without what the encoder added.
    packets, sound_bytes, sound_crc
        What the encoder made of it: how many packets, how many bytes in all of
        them, and their `SoundChecksum`.

    Raises
    ------
    ValueError
        When the packets do not hold the sound: cues would not be in their place.
    """
    padding = packets * FRAMES_PER_PACKET - ENCODER_DELAY_FRAMES - frames
    if not 0 <= padding < 1 << 12:
        raise ValueError(f"{packets} packets do not hold {frames} frames")
    total_bytes = len(first) + sound_bytes
    xing = struct.pack(
        ">4sIII100sI", b"Info", _ALL_FIELDS, packets, total_bytes, _SEEK_TABLE, 0
    )
    # Low-pass, peak, gains, shape of the threshold and of the noise: not told.
    lame = struct.pack(
        ">9sB10xB3s4xIH",
        _ENCODER,
        _CONSTANT_BIT_RATE,
        min(255, kbit_per_second),
        (ENCODER_DELAY_FRAMES << 12 | padding).to_bytes(3, "big"),
        total_bytes,
        sound_crc,
    )
    head = first[:4] + bytes(_SIDE_BYTES[channels]) + xing + lame
    return (head + crc_16(head).to_bytes(2, "big")).ljust(len(first), b"\0")


def crc_16(data: bytes, crc: int = 0) -> int:
    """Return the CRC of polynomial 0x8005, bits reflected, going on from ``crc``.

    >>> hex(crc_16(b"123456789"))
    '0xbb3d'
    """
    for byte in data:
        crc ^= byte
        for _ in range(8):
            crc = crc >> 1 ^ (0xA001 if crc & 1 else 0)
    return crc


class SoundChecksum:
    """The same CRC of a stream of packets, fast enough for hours of them."""

    def __init__(self) -> None:
        self._crc = 0
        self._rest = b""

    def add(self, data: bytes) -> None:
        """Go on with the next bytes."""
        self._rest += data
        while len(self._rest) >= _PIECE_BYTES:
            piece, self._rest = self._rest[:_PIECE_BYTES], self._rest[_PIECE_BYTES:]
            values = np.frombuffer(piece, np.uint8).copy()
            values[:2] ^= np.array([self._crc & 0xFF, self._crc >> 8], np.uint8)
            parts = _parts_of_bytes()[np.arange(_PIECE_BYTES), values]
            self._crc = int(np.bitwise_xor.reduce(parts))

    def value(self) -> int:
        """Return the CRC of all bytes so far."""
        return crc_16(self._rest, self._crc)


@cache
def _parts_of_bytes() -> npt.NDArray[np.uint16]:
    """Return what each value adds at each place of a piece: a CRC is linear.

    Shape (places, 256).
    """
    last = np.array([crc_16(bytes([value])) for value in range(256)], np.uint16)
    parts = np.empty((_PIECE_BYTES, 256), np.uint16)
    parts[-1] = last
    for place in range(_PIECE_BYTES - 2, -1, -1):
        later = parts[place + 1]
        parts[place] = later >> 8 ^ last[later & 0xFF]
    return parts
