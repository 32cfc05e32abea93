"""The table of file formats: all there is to know of each, in one entry.

What ``--format`` offers, the ending of a file, how it is encoded and tagged, and what
the tests go through follow from it.
Light: no sound library is loaded.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import Enum, auto
from typing import TYPE_CHECKING

from cuetrack.errors import OutputError

if TYPE_CHECKING:
    from collections.abc import Mapping


class Tagging(Enum):
    """The ways to write title, language and chapters into a file."""

    ID3 = auto()
    VORBIS_COMMENTS = auto()
    RIFF_CHUNKS = auto()
    MP4_ATOMS = auto()


@dataclass(frozen=True, slots=True, kw_only=True)
class Libsndfile:
    """How libsndfile is asked for a format, in its own words.

    ``largest_bytes`` is what the container can count. ``compression`` is quality
    turned round: 0 is the best, 1 the smallest.
    """

    container: str
    subtype: str
    largest_bytes: int | None = None
    compression: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Ffmpeg:
    """How FFmpeg is asked for a format, in its own words.

    ``bits_per_second`` is for one channel and for two. ``decoder_skips`` is true
    where the decoder itself drops what the encoder puts in front.
    """

    encoder: str
    decoder: str
    container: str
    bits_per_second: tuple[int, int]
    encoder_options: Mapping[str, str] = field(default_factory=dict)
    container_options: Mapping[str, str] = field(default_factory=dict)
    decoder_skips: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Lame:
    """How LAME is asked for an MP3, in its own words.

    ``kbit_per_second`` is for one channel and for two, ``level`` what LAME multiplies
    the sound by at that rate. ``quality`` is from 0, slow, to 9.
    """

    kbit_per_second: tuple[int, int]
    level: tuple[float, float]
    quality: int


@dataclass(frozen=True, slots=True, kw_only=True)
class TrackFormat:
    """One kind of file: the word for it, which is its ending, and how it is made.

    Where ``tagging`` is None, the file has neither title nor chapters.
    """

    extension: str
    good_for: str
    lossless: bool
    encoding: Libsndfile | Ffmpeg | Lame
    tagging: Tagging | None


MP3 = TrackFormat(
    extension="mp3",
    good_for="players",
    lossless=False,
    encoding=Lame(
        kbit_per_second=(128, 192),
        # LAME turns the sound down at low rates: measured, 0.45 and 0.27 dB.
        level=(0.95, 0.97),
        quality=7,
    ),
    tagging=Tagging.ID3,
)
AAC = Ffmpeg(
    encoder="aac",
    decoder="aac",
    container="ipod",
    bits_per_second=(96_000, 160_000),
    # Measured on speech with and without music: 1.5 to 12 dB less error from 1 to
    # 4 kHz than its usual coder at the same size, and none of its clicks.
    encoder_options={"aac_coder": "fast"},
    # In the usual thousandths of a second the length would be rounded.
    container_options={"movie_timescale": "48000"},
)
"""AAC in an MP4 container; the film has it too."""

M4A = TrackFormat(
    extension="m4a",
    good_for="players",
    lossless=False,
    encoding=AAC,
    tagging=Tagging.MP4_ATOMS,
)
WAV = TrackFormat(
    extension="wav",
    good_for="editing",
    lossless=True,
    encoding=Libsndfile(container="WAV", subtype="PCM_24", largest_bytes=2**32 - 2**20),
    tagging=Tagging.RIFF_CHUNKS,
)
FLAC = TrackFormat(
    extension="flac",
    good_for="editing",
    lossless=True,
    encoding=Libsndfile(container="FLAC", subtype="PCM_24"),
    tagging=Tagging.VORBIS_COMMENTS,
)
OGG = TrackFormat(
    extension="ogg",
    good_for="the web",
    lossless=False,
    encoding=Libsndfile(container="OGG", subtype="VORBIS", compression=0.4),
    tagging=Tagging.VORBIS_COMMENTS,
)
OPUS = TrackFormat(
    extension="opus",
    good_for="the web",
    lossless=False,
    encoding=Ffmpeg(
        encoder="libopus",
        decoder="opus",
        container="opus",
        bits_per_second=(64_000, 128_000),
        decoder_skips=True,
    ),
    tagging=Tagging.VORBIS_COMMENTS,
)

FORMATS = {one.extension: one for one in (MP3, M4A, WAV, FLAC, OGG, OPUS)}
"""Every format by its word, in the order they are offered; the first is the default."""

DEFAULT_FORMAT = MP3.extension


def track_format(extension: str) -> TrackFormat:
    """Return the format with this ending, with or without its dot.

    Raises
    ------
    OutputError
        When there is none.
    """
    found = FORMATS.get(extension.lower().removeprefix("."))
    if found is None:
        raise OutputError(
            f"There is no format {extension!r}.", f"Choose one of {', '.join(FORMATS)}."
        )
    return found
