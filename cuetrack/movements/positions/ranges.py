"""How far joints go: normal ranges that key positions are measured against.

Arms: means of 60 people of 60 to 84 years, active movement (Walker, Sue,
Miles-Elkousy, Ford and Trevelyan, Physical Therapy 1984; 64: 919-923, as tabulated in
Norkin and White, Measurement of Joint Motion, read in a secondary source). Hips,
knees, ankles, neck and spine: American Academy of Orthopaedic Surgeons, as in the
same book, from memory. Hips and knees of people of 60 to 74 are about as far (Roach
and Miles, Physical Therapy 1991; 71: 656-665, from memory: hip flexion 118, knee
flexion 131). Ranges of ill or operated joints are smaller.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final


@dataclass(frozen=True, slots=True, kw_only=True)
class JointRange:
    """The normal end of both directions of one joint, in degrees from neutral."""

    least: float
    most: float

    def share(self, angle: float) -> float:
        """Return an angle as a share of its end: 1 is the end, never negative.

        >>> JointRange(least=-25, most=80).share(-5)
        0.2
        """
        end = self.most if angle >= 0 else self.least
        return angle / end if end else 0.0


SHOULDER_FLEXION: Final = JointRange(least=-44.0, most=165.0)
ELBOW: Final = JointRange(least=0.0, most=143.0)
WRIST: Final = JointRange(least=-63.0, most=64.0)
"""Bent to the palm is positive."""
HIP_FLEXION: Final = JointRange(least=-17.0, most=118.0)
HIP_ABDUCTION: Final = JointRange(least=-25.0, most=39.0)
HIP_ROTATION: Final = JointRange(least=-29.0, most=30.0)
"""In is positive."""
KNEE: Final = JointRange(least=0.0, most=131.0)
ANKLE: Final = JointRange(least=-50.0, most=20.0)
"""Up is positive."""
NECK_BEND: Final = JointRange(least=-45.0, most=45.0)
NECK_SIDE: Final = JointRange(least=-45.0, most=45.0)
NECK_TURN: Final = JointRange(least=-60.0, most=60.0)
SPINE_BEND: Final = JointRange(least=-25.0, most=80.0)
SPINE_SIDE: Final = JointRange(least=-35.0, most=35.0)
SPINE_TURN: Final = JointRange(least=-45.0, most=45.0)
