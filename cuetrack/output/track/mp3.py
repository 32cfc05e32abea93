"""MP3 by LAME: packets as they come, behind a gapless tag of ours.

The LAME inside PyAV is the same encoder built without optimisation, and takes four
times as long. This one takes samples of 16 bits. Their rounding drowns in what MP3
itself changes of speech and music; of a lone soft tone it leaves an error 90 dB below
full scale.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, cast

import av
import lameenc
import numpy as np

from cuetrack.errors import OutputError
from cuetrack.output.track.infotag import (
    ENCODER_DELAY_FRAMES,
    FRAMES_PER_PACKET,
    SoundChecksum,
    info_packet,
)
from cuetrack.output.track.listening import Encoded, hearing_packets
from cuetrack.output.track.output_file import OutputFile

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    import numpy.typing as npt
    from av.audio.codeccontext import AudioCodecContext

    from cuetrack.arrays import Block
    from cuetrack.output.track.formats import Lame
    from cuetrack.output.track.job import Job

_DECODER_DELAY_FRAMES = 529
_STEPS_16_BIT = 2**15


def write_mp3(job: Job, blocks: Iterator[Block], encoding: Lame) -> None:
    """Write the sound of all blocks into the job's file, which decodes gaplessly.

    Raises OutputError when there is none.
    """
    encoder = _encoder(job, encoding)
    level = np.float32(encoding.level[job.channels - 1])
    frames = 0
    with (
        OutputFile(job.temporary, job.path) as target,
        hearing_packets(job.listener, _decoder(job), decoder_skips=False) as hear,
    ):
        packets = _Packets(target, hear)
        for block in blocks:
            packets.add(encoder.encode(in_16_bit_steps(block / level).tobytes()))
            target.check()
            frames += len(block)
        if not frames:
            raise OutputError(
                "An MP3 cannot be empty.", "Give the plan a section.", file=job.path
            )
        hear(Encoded(start=frames, data=None))
        packets.add(encoder.flush())
        packets.end(job.channels, encoding.kbit_per_second[job.channels - 1], frames)


def in_16_bit_steps(block: Block) -> npt.NDArray[np.int16]:
    """Round to the nearest of 2**16 steps, and limit to full scale."""
    steps = np.rint(block * np.float32(_STEPS_16_BIT))
    limited = np.clip(steps, -_STEPS_16_BIT, _STEPS_16_BIT - 1)
    return np.asarray(limited, dtype=np.int16)


def _encoder(job: Job, encoding: Lame) -> lameenc.Encoder:
    encoder = lameenc.Encoder()
    encoder.silence()
    encoder.set_channels(job.channels)
    encoder.set_in_sample_rate(job.rate_hz)
    encoder.set_out_sample_rate(job.rate_hz)
    encoder.set_bit_rate(encoding.kbit_per_second[job.channels - 1])
    encoder.set_quality(encoding.quality)
    return encoder


def _decoder(job: Job) -> AudioCodecContext:
    decoder = cast("AudioCodecContext", av.CodecContext.create("mp3float", "r"))
    decoder.sample_rate = job.rate_hz
    decoder.layout = "mono" if job.channels == 1 else "stereo"
    return decoder


class _Packets:
    """Cuts what the encoder gives into packets, writes and passes them on."""

    def __init__(self, target: OutputFile, hear: Callable[[Encoded], None]) -> None:
        self._target = target
        self._hear = hear
        self._parser = av.CodecContext.create("mp3float", "r")
        self._checksum = SoundChecksum()
        self._first = b""
        self._count = 0
        self._bytes = 0

    def add(self, data: bytes | bytearray) -> None:
        """Take the next bytes, which may end amid a packet."""
        if data:
            self._take(bytes(data))

    def end(self, channels: int, kbit_per_second: int, frames: int) -> None:
        """Write what waits, and the tag in the place kept for it."""
        self._take(None)
        self._target.seek(0)
        self._target.write(
            info_packet(
                self._first,
                channels=channels,
                kbit_per_second=kbit_per_second,
                frames=frames,
                packets=self._count,
                sound_bytes=self._bytes,
                sound_crc=self._checksum.value(),
            )
        )

    def _take(self, data: bytes | None) -> None:
        for packet in map(bytes, self._parser.parse(data)):
            if not self._count:
                self._first = packet
                self._target.write(bytes(len(packet)))
            start = self._count * FRAMES_PER_PACKET
            start -= ENCODER_DELAY_FRAMES + _DECODER_DELAY_FRAMES
            self._hear(Encoded(start=start, data=packet))
            self._target.write(packet)
            self._checksum.add(packet)
            self._count += 1
            self._bytes += len(packet)
