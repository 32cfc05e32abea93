"""Picture, sound, captions and chapters into one MP4 file that everything plays.

H.264 and AAC in MP4, as televisions and phones have played for many years; captions
are timed text (3GPP TS 26.245, of which FFmpeg writes the description); the index
stands in front, so that a phone plays it while it still comes in.
"""

from __future__ import annotations

import struct
from collections import deque
from contextlib import contextmanager
from fractions import Fraction
from typing import TYPE_CHECKING, Final

import av
import av.error

from cuetrack.errors import OutputError
from cuetrack.output.film import tiles
from cuetrack.output.film.frames import FRAMES_PER_SECOND, frames_of
from cuetrack.output.track.encoders import set_chapters, sound_frame, sound_stream
from cuetrack.output.track.files import explained, replacing
from cuetrack.output.track.formats import AAC
from cuetrack.sound.blocks import resampled
from cuetrack.sound.decoding import open_sound
from cuetrack.times import SAMPLE_RATE_HZ

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence
    from pathlib import Path

    from av.container import OutputContainer
    from av.packet import Packet
    from av.stream import Stream
    from av.subtitles.stream import SubtitleStream
    from av.video.stream import VideoStream

    from cuetrack.output.film.frames import Reel
    from cuetrack.output.track.captions import Caption
    from cuetrack.output.track.chapters import Chapter
    from cuetrack.output.track.metadata import Tags
    from cuetrack.speech.model import Progress

PICTURE_OPTIONS: Final = {
    "preset": "veryfast",
    "tune": "stillimage",
    "crf": "22",
    "threads": "1",
}
"""Options of x264: most of the picture stands still; one thread, the same bytes."""

_MS: Final = Fraction(1, 1000)
_TEXT_STYLE: Final = b"""\
[V4+ Styles]
Format: Name, Fontname, Fontsize, PrimaryColour, OutlineColour, Bold, Alignment
Style: Default,Sans,36,&Hffffff,&H0,0,2

[Events]
Format: Layer, Start, End, Style, Text
"""


def write_film(
    path: Path,
    reel: Reel,
    track: Path,
    *,
    captions: Sequence[Caption],
    chapters: Sequence[Chapter],
    tags: Tags,
    progress: Progress | None = None,
) -> None:
    """Write a film that is not there yet, whole or not at all.

    Parameters
    ----------
    reel
        What is to be seen.
    track
        The finished track, of any format.
    captions
        The text track, whether captions are drawn in the picture too or not.
    progress
        Told how many frames of how many are done.

    Raises
    ------
    OutputError
        When the file is there already or cannot be written.
    TrackError
        When the track cannot be read.
    """
    sound = open_sound(track)
    with _container(path) as container:
        container.metadata.update(tags.named())
        picture = _picture_stream(container)
        voice = sound_stream(container, AAC, sound.channels, SAMPLE_RATE_HZ)
        text = _text_stream(container)
        for stream in (voice, text):
            stream.metadata["language"] = tags.language_three_letters
        set_chapters(container, chapters)
        waiting = deque(captions)
        frames = frames_of(reel)
        position = 0
        seconds = sound.blocks(sound.rate_hz)
        for block in resampled(seconds, sound.rate_hz, SAMPLE_RATE_HZ):
            container.mux(voice.encode(sound_frame(block, position, SAMPLE_RATE_HZ)))
            position += len(block)
            until_ms = 1000 * position // SAMPLE_RATE_HZ
            while waiting and waiting[0].start_ms < until_ms:
                container.mux(_text_packet(waiting.popleft(), text))
            done = _mux_frames(container, picture, frames, until_ms)
            if progress is not None:
                progress(min(done, reel.frames), reel.frames)
        _mux_frames(container, picture, frames, reel.end_ms + 1000)
        container.mux(voice.encode(None))
        container.mux(picture.encode(None))


@contextmanager
def _container(path: Path) -> Iterator[OutputContainer]:
    """Give an MP4 file that becomes ``path`` when all went well."""
    options = {
        "fflags": "+bitexact",
        "movflags": "+faststart",
        # In the usual thousandths of a second the length would be rounded.
        "movie_timescale": str(SAMPLE_RATE_HZ),
    }
    with (
        replacing(path, overwrite=False) as temporary,
        explained(path),
        _av_explained(path),
        av.open(str(temporary), "w", format="mp4", options=options) as container,
    ):
        yield container


def _mux_frames(
    container: OutputContainer,
    picture: VideoStream,
    frames: Iterator[av.VideoFrame],
    until_ms: int,
) -> int:
    """Write the frames up to a time; return how many are written in all."""
    number = until_ms * FRAMES_PER_SECOND // 1000
    for frame in frames:
        container.mux(picture.encode(frame))
        if frame.pts is not None and frame.pts + 1 >= number:
            break
    return number


def _picture_stream(container: OutputContainer) -> VideoStream:
    stream = container.add_stream("libx264", FRAMES_PER_SECOND)
    stream.width, stream.height = tiles.WIDE, tiles.TALL
    stream.pix_fmt = "yuv420p"
    context = stream.codec_context
    context.time_base = Fraction(1, FRAMES_PER_SECOND)
    # ITU-R BT.709, as in H.264 table E-3 and on.
    context.colorspace, context.color_primaries, context.color_trc = 1, 1, 1
    context.color_range = 1
    context.options = dict(PICTURE_OPTIONS)
    return stream


def _text_stream(container: OutputContainer) -> SubtitleStream:
    stream = container.add_stream("mov_text")
    stream.time_base = _MS
    stream.codec_context.time_base = _MS
    stream.codec_context.subtitle_header = _TEXT_STYLE
    stream.codec_context.open()
    return stream


def _text_packet(caption: Caption, stream: SubtitleStream) -> Packet[Stream]:
    """Return a caption as TS 26.245 has it: how many bytes, then the text in UTF-8."""
    text = "\n".join(caption.lines).encode()
    packet = av.Packet(struct.pack(">H", len(text)) + text)
    packet.stream = stream
    packet.time_base = _MS
    packet.pts = packet.dts = caption.start_ms
    packet.duration = caption.end_ms - caption.start_ms
    return packet


@contextmanager
def _av_explained(path: Path) -> Iterator[None]:
    try:
        yield
    except (av.error.FFmpegError, av.codec.codec.UnknownCodecError) as error:
        raise OutputError(
            f"the film cannot be written here ({error}).",
            "Install PyAV again; its package from PyPI brings x264.",
            file=path,
        ) from error
