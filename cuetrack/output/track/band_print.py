"""The band print of a finished mix, as its cue sheet keeps it."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, Literal

from msgspec import Meta, Struct

from cuetrack.output.track.cue_rows import LONGEST_MS
from cuetrack.sound.band_print import BANDS, STEP_MS, as_letters

if TYPE_CHECKING:
    from cuetrack.arrays import Floats


class BandPrint(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """How loud the finished mix was, to tell later whether it still sounds so."""

    version: Literal[1] = 1
    levels: Annotated[
        str,
        Meta(
            pattern=f"^([#-\\[\\]-~]{{{BANDS}}})*$",
            max_length=BANDS * LONGEST_MS // STEP_MS,
            description="Half a second after another, mono, one letter for each half "
            "octave from 62.5 Hz to 16 kHz: the mean square in whole dB, '#' for "
            "-90 dBFS or less, and one dB more with each next character but the "
            "backslash.",
        ),
    ]


def band_print_of(levels_db: Floats) -> BandPrint:
    """Return a print to keep; ``levels_db`` comes from a ``BandMeter``."""
    return BandPrint(levels=as_letters(levels_db))
