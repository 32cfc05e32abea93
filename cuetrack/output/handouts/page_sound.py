"""The sound of a track, small enough for a page that is sent to a phone.

AAC-LC in MP4 is played by every phone and browser of the last ten years. A voice has
next to nothing above 12 kHz, music little that old ears hear above 16 kHz, so that
half and two thirds of the rate of a track are enough.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING, Final

from cuetrack.output.track.encoders import encode
from cuetrack.output.track.formats import M4A, Ffmpeg, TrackFormat
from cuetrack.output.track.job import Job
from cuetrack.sound.blocks import resampled
from cuetrack.sound.decoding import open_sound

if TYPE_CHECKING:
    from cuetrack.output.track.metadata import Tags


@dataclass(frozen=True, slots=True, kw_only=True)
class Small:
    """A rate in Hz and the bits that a second of it takes."""

    rate_hz: int
    bits_per_second: int


VOICE: Final = Small(rate_hz=24_000, bits_per_second=48_000)
"""Tracks of one channel: a voice and tones."""

MUSIC: Final = Small(rate_hz=32_000, bits_per_second=72_000)
"""Tracks of two channels: a voice over music."""


def small_sound(track: Path, tags: Tags) -> bytes:
    """Return the sound of a track as a small M4A file, every cue at its place.

    Raises
    ------
    TrackError
        When the track cannot be read.
    """
    sound = open_sound(track)
    size = VOICE if sound.channels == 1 else MUSIC
    with TemporaryDirectory() as folder:
        path = Path(folder) / f"small.{M4A.extension}"
        path.touch()
        job = Job(
            path=path,
            temporary=path,
            format=_with_bits(M4A, size.bits_per_second),
            channels=sound.channels,
            rate_hz=size.rate_hz,
            tags=tags,
            chapters=(),
            total_frames=None,
            listener=None,
        )
        encode(job, resampled(sound.blocks(), sound.rate_hz, size.rate_hz))
        return path.read_bytes()


def _with_bits(usual: TrackFormat, bits_per_second: int) -> TrackFormat:
    encoding = usual.encoding
    if not isinstance(encoding, Ffmpeg):
        return usual
    both = (bits_per_second, bits_per_second)
    return replace(usual, encoding=replace(encoding, bits_per_second=both))
