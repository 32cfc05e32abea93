"""Whether the voice sounds as its clips do."""

from __future__ import annotations

from typing import TYPE_CHECKING

from cuetrack.verification.limits import COLOUR_DB
from cuetrack.verification.report import Check
from cuetrack.verification.timbre import colour_faults, colour_of

if TYPE_CHECKING:
    from cuetrack.verification.measuring import Measured

COLOUR = "colour of the voice"


def colour_checks(measured: Measured) -> tuple[Check, ...]:
    """Return what is wrong with the sound of the voice, nothing where it is right."""
    if not measured.timbres:
        return ()
    colour = colour_of(measured.timbres)
    faults = colour_faults(colour, low_rate=measured.low_rate)
    return tuple(
        Check(
            name=COLOUR,
            measured=round(colour.high_db - colour.low_db, 1),
            wanted=f"lows and highs within {COLOUR_DB:g} dB of its middle",
            passed=False,
            sentence=f"The voice is {fault}.",
        )
        for fault in faults
    )
