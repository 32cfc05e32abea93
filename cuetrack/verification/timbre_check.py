"""Whether the voice sounds as its clips do."""

from __future__ import annotations

from typing import TYPE_CHECKING

from cuetrack.verification.limits import COLOUR_DB, GRIT_DB, GRIT_SHARE, TOP_DB
from cuetrack.verification.report import Check
from cuetrack.verification.timbre import colour_of

if TYPE_CHECKING:
    from collections.abc import Iterable

    from cuetrack.verification.measuring import Detection


def colour_checks(detections: Iterable[Detection]) -> tuple[Check, ...]:
    """Return what is wrong with the sound of the voice, nothing where it is right.

    Cues with a fault of their own do not count, while most have none.
    """
    found = [one.close for one in detections if one.close is not None]
    whole = [close for close in found if close.whole]
    looks = whole if 2 * len(whole) > len(found) else found
    if not looks:
        return ()
    colour = colour_of([close.timbre for close in looks])
    faults = []
    if min(colour.high_db, -colour.low_db) < -COLOUR_DB or colour.top_db < -TOP_DB:
        faults.append("dull: what makes words clear, over 1.4 kHz, is too weak")
    if max(colour.high_db, -colour.low_db) > COLOUR_DB:
        faults.append("thin: it has lost its lows")
    if colour.grit_db > GRIT_DB and colour.grit_share > GRIT_SHARE:
        faults.append("coarse: too few bits, or overdriven")
    return tuple(
        Check(
            name="colour of the voice",
            measured=round(colour.high_db - colour.low_db, 1),
            wanted=f"lows and highs within {COLOUR_DB:g} dB of its middle",
            passed=False,
            sentence=f"The voice is {fault}.",
        )
        for fault in faults
    )
