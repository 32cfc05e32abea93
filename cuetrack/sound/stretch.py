"""Music at another tempo and the same pitch, as far as it stays clean."""

from __future__ import annotations

import importlib.util
from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING

import numpy as np

from cuetrack.sound.blocks import fixed_blocks
from cuetrack.sound.music import keep_tune, kept_tune, tune_blocks
from cuetrack.times import SAMPLE_RATE_HZ

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from cuetrack.arrays import Block
    from cuetrack.sound.music import Tune

MOST_CHANGE = 0.08
"""How much faster or slower music may be made.

Measured on strokes of drums and on chords: up to here what is smeared in front of
a stroke stays 29 dB under it, what is added between the notes 50 dB under them;
at 15 % it is 26 and 41 dB.
"""

_UNIT = 10_000
_SEED = 1
_VERSION = 1
_WINDOW_FRAMES = 400 * _UNIT  # of what comes out: 83 s are stretched at a time
_MARGIN_FRAMES = _UNIT
_SEAM_FRAMES = 4800


@dataclass(frozen=True, slots=True, kw_only=True)
class Speed:
    """How many times as fast, in steps so fine that frames come out whole."""

    ten_thousandths: int

    @property
    def ratio(self) -> float:
        """The number that divides every length."""
        return self.ten_thousandths / _UNIT


@cache
def stretcher_is_there() -> bool:
    """Return whether the library that stretches is installed."""
    return importlib.util.find_spec("python_stretch") is not None


def speed_for(bpm: float, wanted_bpm: float) -> Speed:
    """Return how much faster music must go so that its beat falls in with a tempo.

    Music of twice or half the tempo has the same beat: the nearest counts.

    >>> speed_for(66, 126).ratio
    0.9545
    """
    ratios = (wanted_bpm / bpm * times for times in (0.5, 1, 2))
    nearest = min(ratios, key=lambda ratio: abs(np.log(ratio)))
    return Speed(ten_thousandths=round(nearest * _UNIT))


def is_clean(speed: Speed) -> bool:
    """Return whether music stays clean at a speed."""
    return abs(speed.ratio - 1) <= MOST_CHANGE + 0.5 / _UNIT


def tune_at(tune: Tune, speed: Speed) -> Tune:
    """Return a tune at another speed, from where it was made before if it was.

    Its first frame is frame 0 of a file of its own, kept beside that of the tune.
    Raises MusicError when it cannot be read or written.
    """
    if speed.ten_thousandths == _UNIT:
        return tune
    name = f"{tune.path.stem}-{_VERSION}x{speed.ten_thousandths}"
    stem = tune.path.with_name(name)
    kept = kept_tune(stem)
    if kept is not None:
        return kept
    return keep_tune(stem, stretched(tune_blocks(tune), speed), tune.path)


def stretched(blocks: Iterable[Block], speed: Speed) -> Iterator[Block]:
    """Yield stereo music of 48 kHz at another speed, its pitch unchanged.

    Frame n comes out at n divided by the speed, to within a millisecond. Long music
    is stretched in windows that are joined by short crossfades, so that only one
    is in memory.
    """
    step = _WINDOW_FRAMES // _UNIT * speed.ten_thousandths
    margin = _MARGIN_FRAMES // _UNIT * speed.ten_thousandths
    held = tail = np.zeros((0, 2), np.float32)
    lead, lead_out = 0, 0  # what a window holds of the music before its own
    for arrived in fixed_blocks(blocks, step):
        held = np.concatenate([held, arrived])
        if len(held) < lead + step + margin:
            continue
        sound = _stretch(held[: lead + step + margin], speed)[lead_out:]
        yield _seamed(tail, sound)[:_WINDOW_FRAMES]
        tail = sound[_WINDOW_FRAMES : _WINDOW_FRAMES + _SEAM_FRAMES]
        held = held[lead + step - margin :]
        lead, lead_out = margin, _MARGIN_FRAMES
    if len(held) > lead:
        yield _seamed(tail, _stretch(held, speed)[lead_out:])


def _stretch(sound: Block, speed: Speed) -> Block:
    import python_stretch  # noqa: PLC0415 - an extra

    stretch = python_stretch.Signalsmith.Stretch(_SEED)
    stretch.preset(2, SAMPLE_RATE_HZ)
    stretch.setTimeFactor(speed.ratio)
    frames = round(len(sound) / speed.ratio)
    out: Block = np.asarray(stretch.process(np.ascontiguousarray(sound.T))).T
    missing = max(frames - len(out), 0)
    return np.pad(out, ((0, missing), (0, 0)))[:frames]


def _seamed(tail: Block, sound: Block) -> Block:
    """Fade from the end of the window before, over as much of it as there is.

    Both windows hold the same music at the same place, their phases apart.
    """
    frames = min(len(tail), len(sound))
    if not frames:
        return sound
    angle = np.pi / 2 * (np.arange(frames, dtype=np.float32)[:, None] + 0.5) / frames
    seam = np.sin(angle) * sound[:frames] + np.cos(angle) * tail[:frames]
    return np.concatenate([seam.astype(np.float32), sound[frames:]])
