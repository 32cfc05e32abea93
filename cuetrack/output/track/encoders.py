"""Each file format, written by the library that does it best.

libsndfile writes WAV, FLAC and Ogg Vorbis; FFmpeg, through PyAV, writes MP3,
M4A and Opus. All put the first frame of the mix at the first frame a decoder
gives back, say exactly how long the sound is, and take chapters and tags.

WAV and FLAC hold 24 bits: their rounding, 146 dB below full scale, lies far
under what any room or ear resolves, so that no dither is needed and the same mix
gives the same bytes; and whoever edits the file loses nothing by it.
"""

from __future__ import annotations

from contextlib import contextmanager
from dataclasses import dataclass, field
from fractions import Fraction
from typing import TYPE_CHECKING, cast

import av
import av.error
import numpy as np
import soundfile

from cuetrack.errors import OutputError
from cuetrack.output.track import metadata
from cuetrack.output.track.chapters import plain_line
from cuetrack.output.track.infotag import mend_info_tag
from cuetrack.output.track.listening import (
    Encoded,
    hearing_blocks,
    hearing_bytes,
    hearing_packets,
)
from cuetrack.output.track.output_file import OutputFile

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator, Mapping

    import numpy.typing as npt
    from av.audio.codeccontext import AudioCodecContext
    from av.audio.frame import AudioFrame
    from av.audio.stream import AudioStream
    from av.container import OutputContainer
    from av.packet import Packet

    from cuetrack.output.track.job import Block, Job

    Describe = Callable[[OutputContainer, AudioStream, Job], None]

_STEPS_24_BIT = 2**23
_LARGEST_WAV_BYTES = 2**32 - 2**20
_SPARE_COMMENT_BYTES = 64
_VORBIS_COMPRESSION = 0.4
"""libsndfile's name for quality turned round: 0 is the best, 1 the smallest."""


def write_wav(job: Job, blocks: Iterator[Block]) -> None:
    """Write a WAV file of 24 bits with cue points, their names and INFO tags."""
    _refuse_too_long_for_wav(job, job.total_frames or 0)
    with OutputFile(job.temporary, job.path) as target:
        _write_24_bit(job, blocks, target, "WAV", comment=None)
        metadata.append_wav_chunks(target.file, job.tags, job.chapters, job.rate_hz)


def write_flac(job: Job, blocks: Iterator[Block]) -> None:
    """Write a FLAC file of 24 bits with Vorbis comments for tags and chapters."""
    comments = metadata.vorbis_comments(job.tags, job.chapters)
    with OutputFile(job.temporary, job.path) as target:
        _write_24_bit(job, blocks, target, "FLAC", comment=_room_for(comments))
        metadata.fill_flac_comment(target.file, comments)


def write_vorbis(job: Job, blocks: Iterator[Block]) -> None:
    """Write an Ogg Vorbis file with comments for tags and chapters."""
    comments = metadata.vorbis_comments(job.tags, job.chapters)
    frames = 0
    with (
        hearing_bytes(job.listener, "ogg", lambda: frames) as tee,
        OutputFile(job.temporary, job.path, tee) as target,
    ):
        with soundfile.SoundFile(
            target,
            "w",
            job.rate_hz,
            job.channels,
            format="OGG",
            subtype="VORBIS",
            compression_level=_VORBIS_COMPRESSION,
        ) as file:
            file.comment = _room_for(comments)
            for block in blocks:
                frames += len(block)
                file.write(block)
                target.check()
        target.check()
        metadata.fill_ogg_vorbis_comment(target.file, comments)


def _write_24_bit(
    job: Job,
    blocks: Iterator[Block],
    target: OutputFile,
    container: str,
    *,
    comment: str | None,
) -> None:
    with (
        hearing_blocks(job.listener) as hear,
        soundfile.SoundFile(
            target, "w", job.rate_hz, job.channels, format=container, subtype="PCM_24"
        ) as file,
    ):
        if comment is not None:
            file.comment = comment
        for block in blocks:
            steps = in_24_bit_steps(block)
            file.write(steps << 8)
            target.check()
            if container == "WAV":
                _refuse_too_long_for_wav(job, file.tell())
            hear(steps.astype(np.float32) / np.float32(_STEPS_24_BIT))


def in_24_bit_steps(block: Block) -> npt.NDArray[np.int32]:
    """Round to the nearest of 2**24 steps, and limit to full scale."""
    steps = np.rint(block * np.float32(_STEPS_24_BIT))
    limited = np.clip(steps, -_STEPS_24_BIT, _STEPS_24_BIT - 1)
    return np.asarray(limited, dtype=np.int32)


def _room_for(comments: bytes) -> str:
    """Return a comment so long that ``comments`` fit where it stands."""
    return " " * (len(comments) + _SPARE_COMMENT_BYTES)


def _refuse_too_long_for_wav(job: Job, frames: int) -> None:
    if frames * job.channels * 3 > _LARGEST_WAV_BYTES:
        hours = _LARGEST_WAV_BYTES / (job.channels * 3 * job.rate_hz * 3600)
        raise OutputError(
            f"{job.path}: a WAV file holds no more than {hours:.1f} hours of this "
            "sound. Choose flac, which loses nothing either."
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Recipe:
    """How FFmpeg is asked for one format.

    ``bits_per_second`` is for one channel and for two, ``level`` what the encoder
    multiplies the sound by at that rate. ``decoder_skips`` is true where the decoder
    itself drops what the encoder puts in front.
    """

    encoder: str
    decoder: str
    container: str
    bits_per_second: tuple[int, int]
    level: tuple[float, float] = (1.0, 1.0)
    encoder_options: Mapping[str, str] = field(default_factory=dict)
    container_options: Mapping[str, str] = field(default_factory=dict)
    decoder_skips: bool = False


MP3 = Recipe(
    encoder="libmp3lame",
    decoder="mp3float",
    container="mp3",
    bits_per_second=(128_000, 192_000),
    # LAME turns the sound down at low rates: measured, 0.45 and 0.27 dB.
    level=(0.95, 0.97),
    # Twice as fast as the encoder's own choice.
    encoder_options={"compression_level": "7"},
    # We write our own tag, since FFmpeg's has no table of contents.
    container_options={"id3v2_version": "0"},
)
AAC = Recipe(
    encoder="aac",
    decoder="aac",
    container="ipod",
    bits_per_second=(96_000, 160_000),
    # In the usual thousandths of a second the length would be rounded.
    container_options={"movie_timescale": "48000"},
)
OPUS = Recipe(
    encoder="libopus",
    decoder="opus",
    container="opus",
    bits_per_second=(64_000, 128_000),
    decoder_skips=True,
)


def write_mp3(job: Job, blocks: Iterator[Block]) -> None:
    """Write an MP3 file with an ID3 tag, chapters and the gapless Info tag."""
    with OutputFile(job.temporary, job.path) as target:
        target.write(metadata.id3_tag(job.tags, job.chapters))
        target.shift()
        frames = _write_with_av(job, blocks, target, MP3)
        target.check()
        mend_info_tag(target, frames)


def write_m4a(job: Job, blocks: Iterator[Block]) -> None:
    """Write an M4A file, AAC, with chapters and tags."""
    with OutputFile(job.temporary, job.path) as target:
        _write_with_av(job, blocks, target, AAC, _describe_m4a)


def write_opus(job: Job, blocks: Iterator[Block]) -> None:
    """Write an Ogg Opus file with chapters and tags."""
    with OutputFile(job.temporary, job.path) as target:
        _write_with_av(job, blocks, target, OPUS, _describe_opus)


def _write_with_av(
    job: Job,
    blocks: Iterator[Block],
    target: OutputFile,
    recipe: Recipe,
    describe: Describe | None = None,
) -> int:
    """Encode all blocks; return how many frames they were.

    ``describe`` sets tags and chapters before the first packet.
    """
    with _av_explained(job, recipe):
        container = av.open(
            target,
            "w",
            format=recipe.container,
            # The same sound gives the same bytes: no dates, no random numbers.
            options={"fflags": "+bitexact", **recipe.container_options},
        )
        with container:
            stream = _stream(container, job, recipe)
            if describe is not None:
                describe(container, stream, job)
            return _encode(job, blocks, target, stream, recipe)


def _stream(container: OutputContainer, job: Job, recipe: Recipe) -> AudioStream:
    stream = cast(
        "AudioStream",
        container.add_stream(
            recipe.encoder, rate=job.rate_hz, layout=_layout(job.channels)
        ),
    )
    stream.bit_rate = recipe.bits_per_second[job.channels - 1]
    stream.codec_context.options = dict(recipe.encoder_options)
    return stream


def _describe_m4a(container: OutputContainer, stream: AudioStream, job: Job) -> None:
    """Set tags and chapters of an M4A file."""
    container.metadata.update(job.tags.named())
    stream.metadata["language"] = job.tags.language_three_letters
    container.set_chapters(
        [
            {
                "id": number,
                "start": chapter.start_ms,
                "end": chapter.end_ms,
                "time_base": Fraction(1, 1000),
                "metadata": {"title": plain_line(chapter.title)},
            }
            for number, chapter in enumerate(job.chapters, start=1)
        ]
    )


def _describe_opus(_: OutputContainer, stream: AudioStream, job: Job) -> None:
    """Set the comments of an Ogg stream, its chapters among them.

    FFmpeg 8 would write a chapter that starts at half a second one second late.
    """
    stream.metadata.update(metadata.vorbis_fields(job.tags, job.chapters))


def _encode(
    job: Job,
    blocks: Iterable[Block],
    target: OutputFile,
    stream: AudioStream,
    recipe: Recipe,
) -> int:
    stream.codec_context.open()
    decoder = _decoder_for(stream.codec_context, recipe)
    container = cast("OutputContainer", stream.container)
    frames = 0
    with hearing_packets(
        job.listener, decoder, decoder_skips=recipe.decoder_skips
    ) as hear:

        def mux(packets: Iterable[Packet[AudioStream]]) -> None:
            for packet in packets:
                if packet.size:
                    hear(Encoded(start=packet.pts or 0, data=bytes(packet)))
                container.mux(packet)
            target.check()

        level = np.float32(recipe.level[job.channels - 1])
        for block in blocks:
            mux(stream.encode(_frame(block / level, frames, job)))
            frames += len(block)
        hear(Encoded(start=frames, data=None))
        mux(stream.encode(None))
    return frames


def _frame(block: Block, position: int, job: Job) -> AudioFrame:
    frame = av.AudioFrame.from_ndarray(
        np.ascontiguousarray(block.T),
        format="fltp",
        layout=_layout(job.channels),
    )
    frame.sample_rate = job.rate_hz
    frame.pts = position
    frame.time_base = Fraction(1, job.rate_hz)
    return frame


def _layout(channels: int) -> str:
    return "mono" if channels == 1 else "stereo"


def _decoder_for(encoder: AudioCodecContext, recipe: Recipe) -> AudioCodecContext:
    decoder = cast("AudioCodecContext", av.CodecContext.create(recipe.decoder, "r"))
    decoder.extradata = encoder.extradata
    decoder.sample_rate = encoder.sample_rate
    decoder.layout = encoder.layout
    return decoder


@contextmanager
def _av_explained(job: Job, recipe: Recipe) -> Iterator[None]:
    try:
        yield
    except (av.error.FFmpegError, av.codec.codec.UnknownCodecError) as error:
        raise OutputError(
            f"{job.path}: the sound library here cannot write {recipe.encoder} "
            f"({error}). Choose flac or wav, or install PyAV again."
        ) from error
