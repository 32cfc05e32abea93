"""The bed of our own under a class: pieces rendered once, kept, and read in blocks."""

from __future__ import annotations

import hashlib
import json
from contextlib import ExitStack
from dataclasses import asdict, dataclass
from itertools import groupby
from typing import TYPE_CHECKING

import numpy as np
import soundfile

from cuetrack.errors import MusicError
from cuetrack.sound.cache import prune, seal_sound, whole_sound, written_beside
from cuetrack.sound.composing.pieces import Piece, compose
from cuetrack.sound.composing.tempo import tempo_request
from cuetrack.speech.records import default_folder
from cuetrack.times import SAMPLE_RATE_HZ, frames_from_ms

if TYPE_CHECKING:
    from collections.abc import Collection, Iterator, Mapping
    from pathlib import Path

    from cuetrack.arrays import Block
    from cuetrack.cues.model import Segment, Timeline
    from cuetrack.sound.mixing import Bed

KEPT_BYTES = 3 * 2**30
"""How much rendered music is kept: some four hours of it."""

_VERSION = 2  # to be raised whenever the music changes
_FULL_SCALE = np.float32(1 / 32_768)


@dataclass(frozen=True, slots=True, kw_only=True)
class OwnMusic:
    """What one section wants: a style, and the tempo of its movements if stated."""

    style: str
    tempo_bpm: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptPiece:
    """A piece whose sound lies in a file: 48 kHz, stereo, 16 bits."""

    piece: Piece
    path: Path


@dataclass(frozen=True, slots=True, kw_only=True)
class OwnBed:
    """Music of our own under the parts of a track that want it, else silence."""

    length_frames: int
    kept: tuple[KeptPiece, ...]

    def blocks(self, block_frames: int) -> Iterator[Block]:
        """Start a pass over the bed: blocks of shape (frames, 2), the last shorter.

        Raises MusicError when a file was taken away or changed meanwhile.
        """
        with ExitStack() as files:
            sounds = [
                (one.piece.start_frame, one.piece.frames, _PieceFile(one.path, files))
                for one in self.kept
            ]
            for start in range(0, self.length_frames, block_frames):
                end = min(start + block_frames, self.length_frames)
                block = np.zeros((end - start, 2), np.float32)
                for first, frames, sound in sounds:
                    low, high = max(start, first), min(end, first + frames)
                    if low < high:
                        part = sound.frames(low - first, high - low)
                        block[low - start : high - start] += part
                yield block


@dataclass(frozen=True, slots=True, kw_only=True)
class JoinedBed:
    """Several beds of one track, each silent where another plays."""

    length_frames: int
    beds: tuple[Bed, ...]

    def blocks(self, block_frames: int) -> Iterator[Block]:
        """Start a pass over all of them: blocks of shape (frames, 2)."""
        passes = [bed.blocks(block_frames) for bed in self.beds]
        for blocks in zip(*passes, strict=True):
            yield np.sum(blocks, axis=0, dtype=np.float32)


def bed_under(
    timeline: Timeline,
    wanted: Mapping[int, OwnMusic],
    seed: int,
    *,
    folder: Path | None = None,
) -> OwnBed:
    """Return a bed under the sections that want one, by the number of the section."""
    folder = beds_folder() if folder is None else folder
    pieces = compose_pieces(timeline, wanted, seed)
    bed = OwnBed(
        length_frames=frames_from_ms(timeline.end_ms),
        kept=tuple(KeptPiece(piece=one, path=_ready(one, folder)) for one in pieces),
    )
    prune_beds(KEPT_BYTES, folder, needed={one.path for one in bed.kept})
    return bed


def compose_pieces(
    timeline: Timeline, wanted: Mapping[int, OwnMusic], seed: int
) -> list[Piece]:
    """Return the piece of every section that wants one; nothing is rendered."""
    sections: list[tuple[int, list[Segment]]] = [
        (section, list(segments))
        for section, segments in groupby(timeline.segments, lambda one: one.section)
    ]
    pieces = []
    for place, (section, segments) in enumerate(sections):
        if section not in wanted:
            continue
        following = sections[place + 1][0] if place + 1 < len(sections) else None
        music = wanted[section]
        piece = compose(
            segments,
            style=music.style,
            seed=seed,
            request=tempo_request(segments[0].section_kind, music.tempo_bpm),
            ends=following is None or following not in wanted,
        )
        pieces.append(piece)
    return pieces


def beds_folder() -> Path:
    """Return where rendered music is kept: beside the clip store."""
    return default_folder().parent / "beds"


def prune_beds(
    max_bytes: int, folder: Path | None = None, *, needed: Collection[Path] = ()
) -> int:
    """Delete rendered music unused for longest until the rest fits; return how many."""
    folder = beds_folder() if folder is None else folder
    return prune(folder, max_bytes, needed=needed)


class _PieceFile:
    """A piece's file, opened when it is first read from."""

    def __init__(self, path: Path, files: ExitStack) -> None:
        self._path = path
        self._files = files
        self._file: soundfile.SoundFile | None = None

    def frames(self, start: int, frames: int) -> Block:
        try:
            if self._file is None:
                self._file = self._files.enter_context(soundfile.SoundFile(self._path))
            self._file.seek(start)
            read = self._file.read(frames, "int16", always_2d=True)
        except (OSError, soundfile.SoundFileError):
            read = np.zeros((0, 2), np.int16)
        if len(read) < frames:
            raise MusicError(
                "the music made for this track is gone or was changed meanwhile.",
                "Make the track again.",
                file=self._path,
            )
        block: Block = read * _FULL_SCALE
        return block


def _ready(piece: Piece, folder: Path) -> Path:
    """Return the file of a piece, rendered now where it is not there yet."""
    path = folder / f"{_key(piece)}.wav"
    if whole_sound(path) is not None:
        return path
    trouble = "The music of our own cannot be kept"
    with (
        written_beside(path, trouble) as scratch,
        soundfile.SoundFile(
            scratch, "w", SAMPLE_RATE_HZ, 2, format="RF64", subtype="PCM_16"
        ) as file,
    ):
        for block in piece.sound():
            file.write(np.rint(block / _FULL_SCALE).astype(np.int16))
    seal_sound(path, {}, trouble)
    return path


def _key(piece: Piece) -> str:
    """Return a name that says all a piece's sound depends on.

    A piece sounds the same wherever in the track it starts.
    """
    first_ms = piece.passages[0].start_ms
    fields = asdict(piece)
    for passage in fields["passages"]:
        passage["start_ms"] -= first_ms
        passage["end_ms"] -= first_ms
    content = json.dumps([_VERSION, fields], sort_keys=True)
    return hashlib.sha256(content.encode()).hexdigest()[:40]
