"""Any sound file as blocks of samples, each at its exact place in the file.

The first block starts at the first frame the maker of the file put in: what an
encoder adds in front or behind is cut off as the file says. Positions are
counted from decoded frames and never taken from time stamps, which start late
in an MP3 (by 1105 frames at 48 kHz) although its sound does not.

Three readers, tried in this order: libsndfile for WAV, FLAC, Ogg Vorbis and Opus,
whose exact length is known before decoding; PyAV for all else; pydub with a
decoding program, where one is installed, for what neither opens. PyAV's own Opus
decoder goes far astray where an encoder of few bits changes its way of coding;
libsndfile decodes by libopus, the reference.
"""

from __future__ import annotations

import shutil
import warnings
from contextlib import contextmanager
from dataclasses import dataclass
from typing import TYPE_CHECKING

import av
import av.error
import numpy as np
import soundfile

from cuetrack.errors import TrackError
from cuetrack.sound.blocks import fixed_blocks
from cuetrack.sound.patient_file import PatientFile

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator
    from pathlib import Path

    from av.audio.frame import AudioFrame
    from av.container import InputContainer

    from cuetrack.arrays import Block

DEFAULT_BLOCK_FRAMES = 65_536
_HEAD_BYTES = 4096
_RIFF_SLACK_BYTES = 16
"""Some recorders count the header in, or forget the last padding byte."""
_SEALED_TAGS = frozenset({"drms", "enca", "aavd"})
"""Sample entries of MP4 files whose sound is encrypted (from memory)."""
LOWEST_RATE_HZ, HIGHEST_RATE_HZ = 4000, 768_000
"""Slower would be no speech; faster no recorder is (both common practice)."""

MOST_CHANNELS = 16
LONGEST_S = 24 * 60 * 60
LOUDEST = 1000.0
"""Full scale is 1. Sound at 60 dB more is whole numbers taken for fractions."""

LARGEST_IN_MEMORY_BYTES = 256 * 2**20
"""What only an outside program reads is decoded at once; several times as much then."""

_LOSSLESS = ("pcm_", "float", "double", "alac_")
"""How libsndfile's names begin of what keeps every sample, FLAC among them."""

_READER_ERRORS = (soundfile.SoundFileError, av.error.FFmpegError, OSError, ValueError)
_COPY_AGAIN = "Copy it again from where it came."
_PYDUB_DRIVES = (("ffmpeg", "ffprobe"), ("avconv", "avprobe"))
"""What pydub decodes with, and asks first; it takes both or opens nothing."""


class _RefusedSoundError(TrackError):
    """The sound itself will not do: no other reader is to try."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SoundFile:
    """An opened sound file: nothing is kept in memory, read it as often as wanted.

    ``frames`` is the exact length, None where only decoding tells. ``pieces``
    starts one pass over the file, in blocks of whatever size its reader likes.
    ``lossless`` is whether its coding keeps every sample, as far as is known.
    """

    path: Path
    rate_hz: int
    channels: int
    coding: str
    lossless: bool
    frames: int | None
    pieces: Callable[[], Iterator[Block]]

    def blocks(self, block_frames: int = DEFAULT_BLOCK_FRAMES) -> Iterator[Block]:
        """Give the whole sound from its first frame, a new pass at each call.

        Parameters
        ----------
        block_frames
            Frames of every block but the last, which may be shorter.

        Yields
        ------
        Block
            Shape (frames, channels), float32, never empty, every value finite.

        Raises
        ------
        TrackError
            When the file turns out to be damaged or to end early.
        """
        if block_frames < 1:
            raise ValueError(f"block_frames must be at least 1, not {block_frames}")
        with _explained(self.path):
            yield from fixed_blocks(self._checked_pieces(), block_frames)

    def _checked_pieces(self) -> Iterator[Block]:
        position = 0
        for piece in self.pieces():
            if not np.isfinite(piece).all():
                raise _RefusedSoundError(
                    "holds values that are no numbers, near second "
                    f"{position // self.rate_hz}.",
                    "Export it again as plain sound.",
                    file=self.path,
                )
            if max(piece.max(initial=0), -piece.min(initial=0)) > LOUDEST:
                raise _RefusedSoundError(
                    f"is over {LOUDEST:.0f} times as loud as a file can say, near "
                    f"second {position // self.rate_hz}.",
                    "Export it again, as 16 or 24 bit.",
                    file=self.path,
                )
            position += len(piece)
            if position > LONGEST_S * self.rate_hz:
                raise _RefusedSoundError(
                    f"is longer than {LONGEST_S // 3600} hours.",
                    "Cut out the part that is needed.",
                    file=self.path,
                )
            yield piece
        if self.frames is not None and position < self.frames:
            raise TrackError(
                f"ends early, {position} of {self.frames} frames could be read.",
                _COPY_AGAIN,
                file=self.path,
            )


def open_sound(path: Path) -> SoundFile:
    """Open a sound file of any kind and make sure that its sound can be read.

    Raises
    ------
    TrackError
        When there is no such file, or it is a folder, empty, no sound, locked
        by copy protection, damaged or cut short; the text says which.
    """
    head = _read_head(path)
    readers = [_open_with_av]
    if _is_for_soundfile(head):
        readers.insert(0, _open_with_soundfile)
    if any(all(map(shutil.which, pair)) for pair in _PYDUB_DRIVES):
        readers.append(_open_with_pydub)
    failures = []
    for reader in readers:
        try:
            return _tried(reader, path)
        except _RefusedSoundError:
            raise
        except TrackError as failure:
            failures.append(failure)
    # What we found out ourselves says more than that a library failed.
    raise next((one for one in failures if one.__cause__ is None), failures[0])


def _tried(reader: Callable[[Path], SoundFile], path: Path) -> SoundFile:
    """Open with one reader and decode its first block."""
    with _explained(path):
        sound = reader(path)
    _refuse_absurd(sound)
    if next(sound.blocks(), None) is None:
        raise TrackError("holds no sound at all.", "Check how it was made.", file=path)
    return sound


def _refuse_absurd(sound: SoundFile) -> None:
    """Refuse a rate or channels that no class is recorded with, before any decoding."""
    if not LOWEST_RATE_HZ <= sound.rate_hz <= HIGHEST_RATE_HZ:
        raise _RefusedSoundError(
            f"says that it has {sound.rate_hz} samples a second; from "
            f"{LOWEST_RATE_HZ} to {HIGHEST_RATE_HZ} can be used.",
            "Export it again at 48000.",
            file=sound.path,
        )
    if sound.channels > MOST_CHANNELS:
        raise _RefusedSoundError(
            f"has {sound.channels} channels; up to {MOST_CHANNELS} can be used.",
            "Export it again in stereo.",
            file=sound.path,
        )


@contextmanager
def _explained(path: Path) -> Iterator[None]:
    """Turn what a reader library throws into words for a person."""
    try:
        yield
    except _READER_ERRORS as error:
        raise TrackError(
            "cannot be read as sound: it is damaged, cut short, or no sound file.",
            f"{_COPY_AGAIN} If it still plays elsewhere, export it as WAV or FLAC "
            "there.",
            file=path,
        ) from error


def _read_head(path: Path) -> bytes:
    """Return the first bytes, having refused what is plainly no whole sound file."""
    if path.is_dir():
        raise TrackError("is a folder.", "Give the sound file inside it.", file=path)
    if path.exists() and not path.is_file():
        raise TrackError(
            "is no ordinary file: it may never end.", "Give a sound file.", file=path
        )
    try:
        with path.open("rb") as file:
            head = file.read(_HEAD_BYTES)
        there = path.stat().st_size
    except FileNotFoundError:
        raise TrackError(
            "there is no such file.", "Check its name.", file=path
        ) from None
    except OSError as error:
        raise TrackError(
            f"cannot be read ({error.strerror}).",
            "Check that it may be opened and that its disk is connected.",
            file=path,
        ) from error
    if not head:
        raise TrackError("is empty.", _COPY_AGAIN, file=path)
    if _is_text(head):
        raise TrackError(
            "is text, not sound, whatever its name says.",
            "Give the sound file that belongs here.",
            file=path,
        )
    if _is_wav(head):
        _refuse_short_wav(path, head, there)
    return head


def _is_text(head: bytes) -> bool:
    """Tell whether there is no byte that text never holds; any ASCII superset."""
    return not any(byte < 0x20 and byte not in b"\t\n\f\r" for byte in head)


def _is_wav(head: bytes) -> bool:
    return head[:4] in {b"RIFF", b"RF64"} and head[8:12] == b"WAVE"


def _refuse_short_wav(path: Path, head: bytes, there: int) -> None:
    """Compare with the length in the header, where 0 and ~0 stand for a live stream."""
    promised = int.from_bytes(head[4:8], "little")
    if promised in {0, 0xFFFF_FFFF}:
        return
    if there < promised - _RIFF_SLACK_BYTES:
        raise TrackError(
            f"ends early, {there} of {promised + 8} bytes are there.",
            _COPY_AGAIN,
            file=path,
        )


def _is_for_soundfile(head: bytes) -> bool:
    if head[:4] == b"OggS":
        return b"\x01vorbis" in head[:128] or b"OpusHead" in head[:128]
    return _is_wav(head) or head[:4] == b"fLaC"


def _open_with_soundfile(path: Path) -> SoundFile:
    with soundfile.SoundFile(path) as file:
        rate_hz, channels, frames = file.samplerate, file.channels, file.frames
        coding = file.subtype.lower()

    def pieces() -> Iterator[Block]:
        with soundfile.SoundFile(path) as file:
            while True:
                block = file.read(DEFAULT_BLOCK_FRAMES, dtype="float32", always_2d=True)
                if not len(block):
                    return
                yield block

    return SoundFile(
        path=path,
        rate_hz=rate_hz,
        channels=channels,
        coding=coding,
        lossless=coding.startswith(_LOSSLESS),
        frames=frames,
        pieces=pieces,
    )


def _open_with_av(path: Path) -> SoundFile:
    with PatientFile(path) as file, av.open(file, "r") as container:
        # What the header says of rate and channels may be half of what comes out
        # (spectral band replication, parametric stereo): ask the first frame.
        first = next(_decoded(container, file, path), None)
        codec = container.streams.audio[0].codec_context.codec
    if first is None:
        raise TrackError("holds no sound at all.", "Check how it was made.", file=path)

    def pieces() -> Iterator[Block]:
        with PatientFile(path) as file, av.open(file, "r") as container:
            left = _edited_frames(container, first.sample_rate)
            resampler = av.AudioResampler(
                format="flt", layout=first.layout, rate=first.sample_rate
            )
            for frame in _decoded(container, file, path):
                for plain in resampler.resample(frame):
                    block = plain.to_ndarray().reshape(plain.samples, -1)
                    block = block.astype(np.float32, copy=False)
                    yield block if left is None else block[:left]
                    if left is not None and (left := left - len(block)) <= 0:
                        return

    return SoundFile(
        path=path,
        rate_hz=first.sample_rate,
        channels=first.layout.nb_channels,
        coding=codec.canonical_name,
        lossless=codec.lossless,
        frames=None,
        pieces=pieces,
    )


def _edited_frames(container: InputContainer, rate_hz: int) -> int | None:
    """Return the length an MP4 file declares: without the encoder's padding."""
    stream = container.streams.audio[0]
    if "mp4" not in container.format.name:
        return None
    if not stream.duration or not stream.time_base:
        return None
    return round(stream.duration * stream.time_base * rate_hz)


def _decoded(
    container: InputContainer, file: PatientFile, path: Path
) -> Iterator[AudioFrame]:
    """Give the decoded frames of the first sound stream; forgive junk after an MP3."""
    if not container.streams.audio:
        raise TrackError("holds no sound, only pictures or data.", file=path)
    stream = container.streams.audio[0]
    # The types say there always is one; for an unknown coding there is not.
    if getattr(stream, "codec_context", None) is None:
        raise TrackError(
            "holds sound in a coding that is not known here.",
            "Export it as WAV or FLAC where it plays.",
            file=path,
        )
    if stream.codec_context.codec_tag in _SEALED_TAGS:
        raise _RefusedSoundError(
            "is locked by copy protection and cannot be used.",
            "Use a copy without protection that you have the right to play.",
            file=path,
        )
    broken: av.error.FFmpegError | None = None
    for packet in container.demux(stream):
        try:
            frames = packet.decode()
        except av.error.InvalidDataError as error:
            broken = error
            continue
        if frames and broken:
            raise broken
        if frames:
            file.heard()
        yield from frames
    if broken and container.format.name != "mp3":
        raise broken


def _open_with_pydub(path: Path) -> SoundFile:
    """Decode at once, in memory, by the program pydub drives."""
    if path.stat().st_size > LARGEST_IN_MEMORY_BYTES:
        raise TrackError("no program here can read it as sound.", file=path)
    # pydub looks for its program when imported, and warns; only here is it needed.
    with warnings.catch_warnings(action="ignore"):
        from pydub import AudioSegment  # noqa: PLC0415
        from pydub.exceptions import PydubException  # noqa: PLC0415

    try:
        # Of a path that fails pydub would leave the file open.
        with path.open("rb") as file:
            segment = AudioSegment.from_file(file)
    except (PydubException, IndexError, KeyError) as error:
        raise TrackError("no program here can read it as sound.", file=path) from error
    scale = np.float32(2.0 ** (8 * segment.sample_width - 1))
    samples = np.frombuffer(
        segment.raw_data, dtype=f"<i{segment.sample_width}"
    ).reshape(-1, segment.channels)

    def pieces() -> Iterator[Block]:
        for start in range(0, len(samples), DEFAULT_BLOCK_FRAMES):
            block = samples[start : start + DEFAULT_BLOCK_FRAMES] / scale
            yield block.astype(np.float32, copy=False)

    return SoundFile(
        path=path,
        rate_hz=segment.frame_rate,
        channels=segment.channels,
        coding="unknown",
        lossless=False,
        frames=len(samples),
        pieces=pieces,
    )
