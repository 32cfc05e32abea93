"""From blocks of the mix to one finished file, in any format.

Mixing, encoding and hearing the encoded result go on side by side, each in its
own thread with a short queue between them: the encoders let go of Python's lock
while they work.
"""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from cuetrack.output.track.encoders import encode
from cuetrack.output.track.files import replacing
from cuetrack.output.track.formats import track_format
from cuetrack.output.track.job import Job
from cuetrack.output.track.workers import Worker
from cuetrack.times import SAMPLE_RATE_HZ

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence
    from pathlib import Path

    from cuetrack.arrays import Block
    from cuetrack.output.track.chapters import Chapter
    from cuetrack.output.track.job import BlockListener
    from cuetrack.output.track.metadata import Tags
    from cuetrack.speech.model import Progress


def write_track(
    path: Path,
    blocks: Iterable[Block],
    *,
    format: str,  # noqa: A002 - the word of the command line
    channels: int,
    rate_hz: int = SAMPLE_RATE_HZ,
    tags: Tags,
    chapters: Sequence[Chapter] = (),
    overwrite: bool = False,
    total_frames: int | None = None,
    progress: Progress | None = None,
    listener: BlockListener | None = None,
) -> None:
    """Write the blocks as one file, whole or not at all.

    Parameters
    ----------
    path
        The file; it keeps its old content until the new one is whole.
    blocks
        The mix from its first frame, each of shape (frames, channels), float32.
    format
        One of the keys of `formats.FORMATS`.
    channels
        1 or 2.
    rate_hz
        48000 is the only rate that every format takes.
    total_frames
        The length, where known: the total that ``progress`` is told, in frames.
    listener
        Called in another thread with the sound as decoded from the file, from
        its first frame to its last, while the file is made.

    Raises
    ------
    OutputError
        When the file is there already and ``overwrite`` is not set, or cannot
        be written; the text says why and what to do.
    """
    chosen = track_format(format)
    if channels not in {1, 2}:
        raise ValueError(f"a track has 1 or 2 channels, not {channels}")
    with replacing(path, overwrite=overwrite) as temporary:
        job = Job(
            path=path,
            temporary=temporary,
            format=chosen,
            channels=channels,
            rate_hz=rate_hz,
            tags=tags,
            chapters=tuple(chapters),
            total_frames=total_frames,
            listener=listener,
        )
        done = 0
        with Worker(partial(encode, job)) as encoder:
            for block in blocks:
                if block.ndim != 2 or block.shape[1] != channels:
                    raise ValueError(
                        f"blocks of {channels} channels expected, not {block.shape}"
                    )
                if len(block):
                    encoder.put(block)
                done += len(block)
                if progress is not None:
                    progress(done, total_frames or done)
