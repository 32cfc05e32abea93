"""Sound into a file, by the library that does its format best.

libsndfile writes WAV, FLAC and Ogg Vorbis; LAME writes MP3; FFmpeg, through PyAV,
writes M4A and Opus. All put the first frame of the mix at the first frame a decoder
gives back, and say exactly how long the sound is.

WAV and FLAC hold 24 bits: their rounding, 146 dB below full scale, lies far
under what any room or ear resolves, so that no dither is needed and the same mix
gives the same bytes; and whoever edits the file loses nothing by it.
"""

from __future__ import annotations

from contextlib import contextmanager
from fractions import Fraction
from typing import TYPE_CHECKING, cast

import av
import av.error
import numpy as np
import soundfile

from cuetrack.errors import OutputError
from cuetrack.output.track.chapters import plain_line
from cuetrack.output.track.files import explained
from cuetrack.output.track.formats import Ffmpeg, Lame, Libsndfile, Tagging
from cuetrack.output.track.listening import (
    Encoded,
    hearing_blocks,
    hearing_bytes,
    hearing_packets,
)
from cuetrack.output.track.metadata import describe
from cuetrack.output.track.mp3 import write_mp3
from cuetrack.output.track.output_file import OutputFile

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    import numpy.typing as npt
    from av.audio.codeccontext import AudioCodecContext
    from av.audio.frame import AudioFrame
    from av.audio.stream import AudioStream
    from av.container import OutputContainer
    from av.packet import Packet

    from cuetrack.arrays import Block
    from cuetrack.output.track.chapters import Chapter
    from cuetrack.output.track.job import Job

_STEPS_24_BIT = 2**23


def encode(job: Job, blocks: Iterator[Block]) -> None:
    """Write the sound of all blocks, then the tags and chapters of the track."""
    encoding = job.format.encoding
    if isinstance(encoding, Ffmpeg):
        _write_by_ffmpeg(job, blocks, encoding)
    elif isinstance(encoding, Lame):
        write_mp3(job, blocks, encoding)
    elif job.format.lossless:
        _write_24_bit(job, blocks, encoding)
    else:
        _write_compressed(job, blocks, encoding)
    with explained(job.path), job.temporary.open("rb+") as file:
        describe(file, job.format.tagging, job.tags, job.chapters, job.rate_hz)


def _write_24_bit(job: Job, blocks: Iterator[Block], encoding: Libsndfile) -> None:
    _refuse_too_long(job, encoding, job.total_frames or 0)
    frames = 0
    with (
        hearing_blocks(job.listener) as hear,
        OutputFile(job.temporary, job.path) as target,
        _sound_file(job, target, encoding) as file,
    ):
        for block in blocks:
            frames += len(block)
            _refuse_too_long(job, encoding, frames)
            steps = in_24_bit_steps(block)
            file.write(steps << 8)
            target.check()
            hear(steps.astype(np.float32) / np.float32(_STEPS_24_BIT))


def _write_compressed(job: Job, blocks: Iterator[Block], encoding: Libsndfile) -> None:
    frames = 0
    with (
        hearing_bytes(job.listener, encoding.container.lower(), lambda: frames) as tee,
        OutputFile(job.temporary, job.path, tee) as target,
        _sound_file(job, target, encoding) as file,
    ):
        for block in blocks:
            frames += len(block)
            file.write(block)
            target.check()


def _sound_file(
    job: Job, target: OutputFile, encoding: Libsndfile
) -> soundfile.SoundFile:
    return soundfile.SoundFile(
        target,
        "w",
        job.rate_hz,
        job.channels,
        format=encoding.container,
        subtype=encoding.subtype,
        compression_level=encoding.compression,
    )


def in_24_bit_steps(block: Block) -> npt.NDArray[np.int32]:
    """Round to the nearest of 2**24 steps, and limit to full scale."""
    steps = np.rint(block * np.float32(_STEPS_24_BIT))
    limited = np.clip(steps, -_STEPS_24_BIT, _STEPS_24_BIT - 1)
    return np.asarray(limited, dtype=np.int32)


def _refuse_too_long(job: Job, encoding: Libsndfile, frames: int) -> None:
    largest = encoding.largest_bytes
    if largest is not None and frames * job.channels * 3 > largest:
        hours = largest / (job.channels * 3 * job.rate_hz * 3600)
        raise OutputError(
            f"a {encoding.container} file holds no more than {hours:.1f} hours of "
            "this sound.",
            "Choose flac, which loses nothing either.",
            file=job.path,
        )


def _write_by_ffmpeg(job: Job, blocks: Iterator[Block], encoding: Ffmpeg) -> None:
    with (
        OutputFile(job.temporary, job.path) as target,
        _av_explained(job, encoding),
        av.open(
            target,
            "w",
            format=encoding.container,
            # The same sound gives the same bytes: no dates, no random numbers.
            options={"fflags": "+bitexact", **encoding.container_options},
        ) as container,
    ):
        stream = sound_stream(container, encoding, job.channels, job.rate_hz)
        if job.format.tagging is Tagging.MP4_ATOMS:
            _describe_m4a(container, stream, job)
        _encode(job, blocks, target, stream, encoding)


def sound_stream(
    container: OutputContainer, encoding: Ffmpeg, channels: int, rate_hz: int
) -> AudioStream:
    """Add a stream of sound to a file that is to be written."""
    layout = _layout(channels)
    stream = cast(
        "AudioStream",
        container.add_stream(encoding.encoder, rate=rate_hz, layout=layout),
    )
    stream.bit_rate = encoding.bits_per_second[channels - 1]
    stream.options = dict(encoding.encoder_options)
    return stream


def _describe_m4a(container: OutputContainer, stream: AudioStream, job: Job) -> None:
    """Set tags and chapters, which FFmpeg writes as it begins the file."""
    container.metadata.update(job.tags.named())
    stream.metadata["language"] = job.tags.language_three_letters
    set_chapters(container, job.chapters)


def set_chapters(container: OutputContainer, chapters: Iterable[Chapter]) -> None:
    """Set the chapters of an MP4 file that is to be written."""
    container.set_chapters(
        [
            {
                "id": number,
                "start": chapter.start_ms,
                "end": chapter.end_ms,
                "time_base": Fraction(1, 1000),
                "metadata": {"title": plain_line(chapter.title)},
            }
            for number, chapter in enumerate(chapters, start=1)
        ]
    )


def _encode(
    job: Job,
    blocks: Iterable[Block],
    target: OutputFile,
    stream: AudioStream,
    encoding: Ffmpeg,
) -> None:
    stream.codec_context.open()
    decoder = _decoder_for(stream.codec_context, encoding)
    container = cast("OutputContainer", stream.container)
    frames = 0
    with hearing_packets(
        job.listener, decoder, decoder_skips=encoding.decoder_skips
    ) as hear:

        def mux(packets: Iterable[Packet[AudioStream]]) -> None:
            for packet in packets:
                if packet.size:
                    hear(Encoded(start=packet.pts or 0, data=bytes(packet)))
                container.mux(packet)
            target.check()

        for block in blocks:
            mux(stream.encode(sound_frame(block, frames, job.rate_hz)))
            frames += len(block)
        hear(Encoded(start=frames, data=None))
        mux(stream.encode(None))


def sound_frame(block: Block, position: int, rate_hz: int) -> AudioFrame:
    """Return a block as the frame that begins so many samples into a stream."""
    frame = av.AudioFrame.from_ndarray(
        np.ascontiguousarray(block.T), format="fltp", layout=_layout(block.shape[1])
    )
    frame.sample_rate = rate_hz
    frame.pts = position
    frame.time_base = Fraction(1, rate_hz)
    return frame


def _layout(channels: int) -> str:
    return "mono" if channels == 1 else "stereo"


def _decoder_for(encoder: AudioCodecContext, encoding: Ffmpeg) -> AudioCodecContext:
    decoder = cast("AudioCodecContext", av.CodecContext.create(encoding.decoder, "r"))
    decoder.extradata = encoder.extradata
    decoder.sample_rate = encoder.sample_rate
    decoder.layout = encoder.layout
    return decoder


@contextmanager
def _av_explained(job: Job, encoding: Ffmpeg) -> Iterator[None]:
    try:
        yield
    except (av.error.FFmpegError, av.codec.codec.UnknownCodecError) as error:
        raise OutputError(
            f"the sound library here cannot write {encoding.encoder} ({error}).",
            "Choose flac or wav, or install PyAV again.",
            file=job.path,
        ) from error
