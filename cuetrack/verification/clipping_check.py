"""Whether the tops of the sound were cut off."""

from __future__ import annotations

from typing import TYPE_CHECKING

from cuetrack.verification.bending import bend_of
from cuetrack.verification.limits import BENT_SHARE, FEWEST_TOPS
from cuetrack.verification.report import Check

CLIPPING = "not clipped"

if TYPE_CHECKING:
    from cuetrack.verification.measuring import Measured


def clipping_check(measured: Measured) -> Check:
    """Check that the tops of the voice, and of voice and music, were not cut off."""
    found = measured.detections
    looks = [one.close.peaks for one in found if one.close is not None]
    bend = bend_of(looks)
    bent = bend is not None and bend >= BENT_SHARE
    clipped = bent or measured.flat_tops >= FEWEST_TOPS
    if clipped:
        sentence = (
            "The peaks of the voice are cut off: somewhere on its way the sound was "
            "too loud, and was clipped. Make it again from the track as it was."
        )
    elif bend is None:
        sentence = (
            "Whether the peaks of the voice are whole cannot be told, because it "
            "does not sound as it was spoken."
        )
    else:
        sentence = "The peaks of the voice are whole."
    told = clipped or (bool(looks) and bend is not None)
    return Check(
        name=CLIPPING,
        measured=None if bend is None else round(bend, 3),
        wanted=f"peaks bent down by less than {BENT_SHARE:g}, and fewer than "
        f"{FEWEST_TOPS} flat",
        passed=not clipped if told else None,
        sentence=sentence,
    )
