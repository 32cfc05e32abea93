"""The sound of the voice against that of its clips: dull, thin or coarse."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from cuetrack.verification.limits import (
    COLOUR_DB,
    GRIT_DB,
    GRIT_SHARE,
    LOW_RATE_TOP_DB,
)

if TYPE_CHECKING:
    from collections.abc import Sequence

    from cuetrack.arrays import Floats
    from cuetrack.verification.cells import Cells

_STRONG_SHARE = 0.2
_WEAK_SHARE = 0.3
_LEAST = 1e-20
_FAINT_SHARE = 1e-4
"""What is 40 dB under the whole voice, nobody hears beside it."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CueTimbre:
    """Sums over windows of one cue in each band, shape (20,).

    ``heard`` and ``known`` are those of file and clip where the clip is strong in that
    band; ``loud`` is the clip while it is loud as a whole, ``added`` what is left of
    the file there without the clip, more than the ``rest`` that sounds while it is not.
    """

    heard: Floats
    known: Floats
    added: Floats
    loud: Floats
    rest: Floats


def timbre_of(cells: Cells) -> CueTimbre:
    """Return how a file colours one cue, from its cells."""
    windows = len(cells.known)
    strong = np.argsort(-cells.known, axis=0)[: math.ceil(_STRONG_SHARE * windows)]
    speech, residue = cells.speech, cells.residue
    by_loudness = np.argsort(-speech.sum(axis=1))
    loud = by_loudness[: math.ceil(_STRONG_SHARE * windows)]
    quiet = by_loudness[-math.ceil(_WEAK_SHARE * windows) :]
    rest = residue[quiet].mean(axis=0) * loud.size
    return CueTimbre(
        heard=np.take_along_axis(cells.heard, strong, axis=0).sum(axis=0),
        known=np.take_along_axis(cells.known, strong, axis=0).sum(axis=0),
        added=residue[loud].sum(axis=0) - rest,
        loud=cells.known[loud].sum(axis=0),
        rest=rest,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class VoiceColour:
    """How a file colours the voice, dB against its middle, 450 to 1400 Hz.

    ``low`` is 180 to 350 Hz, ``high`` 1.4 to 3.5 kHz, ``top`` 3.5 to 5.6 kHz.
    ``grit_db`` is what is added above 5.6 kHz while the voice is loud, against the
    voice there, ``grit_share`` against what else sounds there.
    """

    low_db: float
    high_db: float
    top_db: float
    grit_db: float
    grit_share: float


_LOW, _MIDDLE, _HIGH = slice(2, 5), slice(6, 11), slice(11, 15)
_TOP, _ABOVE = slice(15, 17), slice(17, 19)


def colour_of(cues: Sequence[CueTimbre]) -> VoiceColour:
    """Return the colour of the voice over all cues, at least one."""
    heard = np.sum([cue.heard for cue in cues], axis=0)
    known = np.sum([cue.known for cue in cues], axis=0)
    gains_db = 10 * np.log10((heard + _LEAST) / (known + _LEAST))
    middle_db = float(gains_db[_MIDDLE].mean())
    added = sum(float(cue.added[_ABOVE].sum()) for cue in cues)
    rest = sum(float(cue.rest[_ABOVE].sum()) for cue in cues)
    loud = np.sum([cue.loud for cue in cues], axis=0) * 10 ** (middle_db / 10)
    voice = max(float(loud[_ABOVE].sum()), _FAINT_SHARE * float(loud.sum()), _LEAST)
    over = max(added, _LEAST)
    return VoiceColour(
        low_db=float(gains_db[_LOW].mean()) - middle_db,
        high_db=float(gains_db[_HIGH].mean()) - middle_db,
        top_db=float(gains_db[_TOP].mean()) - middle_db,
        grit_db=10 * math.log10(over / voice),
        grit_share=over / (rest + _LEAST),
    )


def colour_faults(colour: VoiceColour, *, low_rate: bool) -> tuple[str, ...]:
    """Return what is wrong with the sound of the voice, nothing where it is right.

    An encoder with few bits weakens the highest sounds of the voice by itself.
    """
    top_db = LOW_RATE_TOP_DB if low_rate else COLOUR_DB
    faults = []
    dull = colour.high_db < -COLOUR_DB or colour.top_db < -top_db
    if dull and colour.low_db < -COLOUR_DB:
        return ("as of a telephone: it has lost its lows and its highs",)
    if dull:
        faults.append("dull: what makes words clear, over 1.4 kHz, is too weak")
    elif colour.low_db > COLOUR_DB:
        faults.append("dull: its lows, under 350 Hz, are too strong")
    if max(colour.high_db, -colour.low_db) > COLOUR_DB:
        faults.append("thin: it has lost its lows")
    if colour.grit_db > GRIT_DB and colour.grit_share > GRIT_SHARE:
        faults.append("coarse: too few bits, or overdriven")
    return tuple(faults)
