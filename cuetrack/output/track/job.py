"""What an encoder needs to know of the track it writes."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, TypeAlias

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from cuetrack.arrays import Block
    from cuetrack.output.track.chapters import Chapter
    from cuetrack.output.track.formats import TrackFormat
    from cuetrack.output.track.metadata import Tags

BlockListener: TypeAlias = "Callable[[Block], None]"
"""Hears what a listener of the finished file will hear, in order, block by block."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Job:
    """One track to encode: into ``temporary``, called ``path`` in messages.

    ``total_frames`` is the length where it is known beforehand.
    ``listener`` is None when nobody wants to hear the result while it is made.
    """

    path: Path
    temporary: Path
    format: TrackFormat
    channels: int
    rate_hz: int
    tags: Tags
    chapters: tuple[Chapter, ...]
    total_frames: int | None
    listener: BlockListener | None
