"""The last step of the sound: as loud as asked, and no peak above the ceiling.

The mix is measured, and where the limiter would take away more than nothing, measured
again through it, until one gain for the whole track gives the loudness asked for
after the limiter has done its work. Then both are applied. No frame moves.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt

from cuetrack.sound.blocks import fixed_blocks
from cuetrack.sound.limiting import limit
from cuetrack.sound.loudness import (
    SILENCE_LUFS,
    SubblockMeter,
    db,
    gated_lufs,
    ratio,
    read_subblocks,
)
from cuetrack.times import SAMPLE_RATE_HZ

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator

    from cuetrack.arrays import Block
    from cuetrack.sound.loudness import Subblocks

    MakeBlocks = Callable[[], Iterable[Block]]

TARGET_LUFS = -16.0
CEILING_DBTP = -1.0

MOST_GAIN_DB = 30.0
"""A track of a few faint sounds is not raised further than this."""

MOST_REDUCTION_DB = 12.0
"""Rather than flatten peaks by more than this, the track stays quieter."""

LEAST_YIELD = 0.25
"""When a decibel of gain gives less loudness than this, the limiter eats the rest:
the track is left there, rather than flattened for nothing."""

_CLOSE_ENOUGH_DB = 0.1
_MORE_TRIES = 4
_SLACK_DB = 0.1  # another meter may read a peak that much higher
_NEGLIGIBLE_LU = 0.1
_BETWEEN_SAMPLES_DB = 0.25  # how far a peak of speech or music hides, for an estimate
BlockPowers = npt.NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Master:
    """What is done to a mix, and what comes out.

    ``gain_db`` goes to the whole track; ``ceiling_dbtp`` is where the limiter
    holds the peaks. ``input_lufs`` and ``output_lufs`` are the integrated loudness
    before and after, ``reduction_db`` the most the limiter takes away anywhere.
    """

    gain_db: float
    ceiling_dbtp: float
    input_lufs: float
    output_lufs: float
    reduction_db: float


def plan_master(
    make_blocks: MakeBlocks,
    channels: int,
    *,
    target_lufs: float = TARGET_LUFS,
    ceiling_dbtp: float = CEILING_DBTP,
) -> Master:
    """Return the gain and ceiling that bring a 48 kHz mix to its loudness.

    Parameters
    ----------
    make_blocks
        Starts a pass over the mix; called once, and again for each try of the
        limiter where peaks stand too high. Blocks of shape (frames, channels).
    channels
        1 or 2.
    target_lufs
        Integrated loudness wanted, of the file as it is: see ``loudness``.
    ceiling_dbtp
        Highest true peak wanted.

    Returns
    -------
    Master
        Silence is left alone: gain 0. Where the target cannot be reached within
        ``MOST_GAIN_DB``, ``MOST_REDUCTION_DB`` and ``LEAST_YIELD``,
        ``output_lufs`` says how far it comes.
    """
    mix = read_subblocks(make_blocks(), channels)
    input_lufs = gated_lufs(mix.powers)
    silent = input_lufs == SILENCE_LUFS
    wanted_db = 0.0 if silent else target_lufs - input_lufs
    headroom_db = ceiling_dbtp - db(mix.highest)
    most_db = min(MOST_GAIN_DB, headroom_db + MOST_REDUCTION_DB)

    def tried(gain_db: float) -> Master:
        master = _if_limited_most(mix, gain_db, ceiling_dbtp)
        if master.input_lufs + gain_db - master.output_lufs <= _NEGLIGIBLE_LU:
            return master
        return _through_limiter(make_blocks(), channels, mix.powers, master)

    master = tried(min(wanted_db, most_db))
    slope = 1.0
    for _ in range(_MORE_TRIES):
        missing_lu = input_lufs + wanted_db - master.output_lufs
        gain_db = min(master.gain_db + missing_lu / slope, most_db)
        step_db = gain_db - master.gain_db
        if silent or abs(step_db) <= _CLOSE_ENOUGH_DB or slope < LEAST_YIELD:
            break
        before, master = master, tried(gain_db)
        slope = (master.output_lufs - before.output_lufs) / step_db
    return master


def master_blocks(blocks: Iterable[Block], master: Master) -> Iterator[Block]:
    """Apply a master to a mix, frame for frame.

    Parameters
    ----------
    blocks
        The same mix the master was planned for, cut anyhow.
    master
        From ``plan_master``.

    Yields
    ------
    Block
        Shape (frames, channels), one second each, the last shorter; every frame
        in its place.
    """
    gain = np.float32(ratio(master.gain_db))
    limited = (chunk.sound for chunk in limit(blocks, _ceiling_before_gain(master)))
    for block in fixed_blocks(limited, SAMPLE_RATE_HZ):
        yield block * gain


def _ceiling_before_gain(master: Master) -> float:
    return ratio(master.ceiling_dbtp - _SLACK_DB - master.gain_db)


def _if_limited_most(mix: Subblocks, gain_db: float, ceiling_dbtp: float) -> Master:
    """Return a master with the most the limiter could take away.

    As if each 100 ms were turned down as a whole by what its highest peak needs.
    """
    ceiling = ratio(ceiling_dbtp - _BETWEEN_SAMPLES_DB - gain_db)
    turned_down = np.minimum(1.0, ceiling / np.maximum(mix.peaks, ceiling))
    input_lufs = gated_lufs(mix.powers)
    return Master(
        gain_db=gain_db,
        ceiling_dbtp=ceiling_dbtp,
        input_lufs=input_lufs,
        output_lufs=gated_lufs(mix.powers * turned_down**2) + gain_db,
        reduction_db=max(0.0, gain_db + db(mix.highest) - ceiling_dbtp),
    )


def _through_limiter(
    blocks: Iterable[Block], channels: int, powers: BlockPowers, master: Master
) -> Master:
    """Return the master with what comes out of its limiter.

    Only chunks the limiter touches, and the one after each, in which the weighting
    filter still rings, are measured again; the one before lets the filter settle.
    """
    meter = SubblockMeter(channels)
    settling: list[int] = []
    last_given = -1
    least_gain = 1.0
    touched_before = False
    before: Block | None = None
    for index, chunk in enumerate(limit(blocks, _ceiling_before_gain(master))):
        touched = chunk.least_gain < 1
        if touched or touched_before:
            if before is not None and last_given != index - 1:
                meter.add(index - 1, before)
                settling.append(index - 1)
            meter.add(index, chunk.sound)
            last_given = index
        least_gain = min(least_gain, chunk.least_gain)
        before, touched_before = chunk.sound, touched
    limited_powers = powers.copy()
    meter.write_powers(limited_powers)
    limited_powers[settling] = powers[settling]
    return replace(
        master,
        output_lufs=gated_lufs(limited_powers) + master.gain_db,
        reduction_db=0.0 - db(least_gain),
    )
