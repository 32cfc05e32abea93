"""A take: what a telephone recorded while somebody read, as sound in memory's reach.

Whatever kind of file it is, it becomes mono at 48 kHz in a scratch file, which is
mapped, so that an hour of it needs no more memory than a minute. The file itself is
only read.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from cuetrack.errors import TrackError
from cuetrack.sound.blocks import tapped
from cuetrack.sound.decoding import open_sound
from cuetrack.times import SAMPLE_RATE_HZ
from cuetrack.verification.room.heard import TopMeter
from cuetrack.verification.stream import mono

if TYPE_CHECKING:
    from pathlib import Path

    from cuetrack.arrays import Samples

LONGEST_S = 3 * 60 * 60
"""Nobody reads longer at one sitting; the scratch file then has 2 GB."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Take:
    """A recorded reading.

    ``samples`` are mono at 48 kHz, not to be written to. ``rate_hz`` is the file's
    own rate; ``peak``, ``clipped`` and ``crowding`` are those of its own samples, as
    the check of a room has them.
    """

    name: str
    samples: Samples
    rate_hz: int
    peak: float
    clipped: int
    crowding: float


def read_take(path: Path, scratch: Path) -> Take:
    """Return a sound file of any kind as a take, its samples in ``scratch``.

    Raises
    ------
    TrackError
        When it is no sound, damaged, locked, or longer than three hours.
    """
    sound = open_sound(path)
    meter = TopMeter()
    frames = 0
    with scratch.open("wb") as file:
        for block in mono(tapped(sound.blocks(), meter.add), sound.rate_hz):
            frames += block.size
            if frames > LONGEST_S * SAMPLE_RATE_HZ:
                raise TrackError(
                    f"is longer than {LONGEST_S // 3600} hours.",
                    "Read in several sittings.",
                    file=path,
                )
            file.write(block.astype("<f4").tobytes())
    return Take(
        name=path.name,
        samples=np.memmap(scratch, "<f4", "r", shape=(frames,)),
        rate_hz=sound.rate_hz,
        peak=meter.peak,
        clipped=meter.clipped(),
        crowding=meter.crowding(),
    )
