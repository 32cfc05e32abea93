"""Hearing the encoded sound while it is being encoded, in a thread of its own.

What a file sounds like is what a decoder makes of it. Waiting for the file to
be finished would cost a second pass; here the decoder follows the encoder.
"""

from __future__ import annotations

from contextlib import contextmanager
from dataclasses import dataclass
from itertools import chain
from typing import TYPE_CHECKING

import av
import numpy as np

from cuetrack.output.track.workers import Worker
from cuetrack.sound.blocks import fixed_blocks
from cuetrack.sound.decoding import DEFAULT_BLOCK_FRAMES

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator

    from av.audio.codeccontext import AudioCodecContext
    from av.audio.frame import AudioFrame

    from cuetrack.arrays import Block
    from cuetrack.output.track.job import BlockListener

_PIECES_WAITING = 256


def _ignore(_: object) -> None:
    """Hear nothing."""


@contextmanager
def hearing_blocks(listener: BlockListener | None) -> Iterator[Callable[[Block], None]]:
    """Give a function that passes blocks on to ``listener``."""
    if listener is None:
        yield _ignore
        return

    def listen(blocks: Iterator[Block]) -> None:
        for block in blocks:
            listener(block)

    with Worker(listen) as worker:
        yield worker.put


@dataclass(frozen=True, slots=True, kw_only=True)
class Encoded:
    """One packet; ``start`` is its first frame, negative before the sound begins.

    ``data`` None ends the stream, ``start`` then being the frames encoded.
    """

    start: int
    data: bytes | None


@contextmanager
def hearing_packets(
    listener: BlockListener | None, decoder: AudioCodecContext, *, decoder_skips: bool
) -> Iterator[Callable[[Encoded], None]]:
    """Give a function that takes encoded packets, which ``listener`` hears decoded.

    What the encoder put in front and behind is not heard; ``decoder_skips`` says
    that the decoder itself drops the front. The function must be told the end
    before the packets that flush the encoder.
    """
    if listener is None:
        yield _ignore
        return

    def listen(packets: Iterator[Encoded]) -> None:
        sound = _decoded_packets(packets, decoder, decoder_skips=decoder_skips)
        for block in fixed_blocks(sound, DEFAULT_BLOCK_FRAMES):
            listener(block)

    with Worker(listen, depth=_PIECES_WAITING) as worker:
        yield worker.put


def _decoded_packets(
    packets: Iterable[Encoded], decoder: AudioCodecContext, *, decoder_skips: bool
) -> Iterator[Block]:
    position: int | None = None
    end: int | None = None
    for packet in chain(packets, (None,)):
        if packet is None:
            frames = decoder.decode(None)
        elif packet.data is None:
            end = packet.start
            continue
        else:
            frames = decoder.decode(av.Packet(packet.data))
            if position is None:
                position = 0 if decoder_skips else packet.start
        for samples in map(_samples, frames):
            at = position or 0
            last = len(samples) if end is None else min(len(samples), end - at)
            position = at + len(samples)
            if max(0, -at) < last:
                yield samples[max(0, -at) : last]


def _samples(frame: AudioFrame) -> Block:
    """Return the samples of a frame of planar floats; shape (frames, channels)."""
    if frame.format.name != "fltp":
        raise ValueError(f"planar floats expected, not {frame.format.name}")
    return frame.to_ndarray().T.astype(np.float32, copy=False)


@contextmanager
def hearing_bytes(
    listener: BlockListener | None, container: str, encoded_frames: Callable[[], int]
) -> Iterator[Callable[[bytes], None] | None]:
    """Give a function that takes the bytes of a file in order, heard as they come.

    ``encoded_frames`` tells how many frames went into the encoder so far; what a
    decoder gives beyond them is padding, and not heard. None when there is no
    listener.
    """
    if listener is None:
        yield None
        return

    def sound(pieces: Iterator[bytes]) -> Iterator[Block]:
        heard = 0
        with av.open(_Stream(pieces), "r", format=container) as stream:
            for samples in map(_samples, stream.decode(audio=0)):
                yield samples[: max(0, encoded_frames() - heard)]
                heard += len(samples)

    def listen(pieces: Iterator[bytes]) -> None:
        for block in fixed_blocks(sound(pieces), DEFAULT_BLOCK_FRAMES):
            listener(block)

    with Worker(listen, depth=_PIECES_WAITING) as worker:
        yield worker.put


class _Stream:
    """Bytes to be read as they come, for a reader that never looks back."""

    def __init__(self, pieces: Iterator[bytes]) -> None:
        self._pieces = pieces
        self._rest = b""

    def read(self, size: int) -> bytes:
        """Return up to ``size`` bytes, waiting for some; nothing at the end."""
        if not self._rest:
            self._rest = next(self._pieces, b"")
        data, self._rest = self._rest[:size], self._rest[size:]
        return data
