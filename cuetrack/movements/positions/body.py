"""How long the parts of the figure are, and how high it sits.

Every length is a share of standing height. Sources: [DC] Drillis and Contini 1966,
as given in Winter, Biomechanics and Motor Control of Human Movement (figure of body
segment lengths), from memory. The rest, marked [own], is our estimate where those
tables name no joint centre: how wide apart the centres of the hips and shoulders
are, how the trunk divides at the waist, where the foot touches the floor.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

UPPER_ARM: Final = 0.186  # [DC]
FOREARM: Final = 0.146  # [DC]
HAND: Final = 0.108  # [DC]
THIGH: Final = 0.245  # [DC]
SHANK: Final = 0.246  # [DC]
ANKLE_HEIGHT: Final = 0.039  # [DC] foot height
FOOT: Final = 0.152  # [DC]
TRUNK: Final = 0.288  # [DC] shoulder height .818 less hip height .530
HEAD_AND_NECK: Final = 0.182  # [DC] from the shoulders to the crown
SITTING_HEIGHT: Final = 0.52  # [DC] from the seat to the crown
SHOULDER_HALF: Final = 0.112  # [own] .129 to the outer edge of the shoulder [DC]
HIP_HALF: Final = 0.058  # [own] .0955 to the outer edge of the hip [DC]
WAIST_UP: Final = 0.1  # [own] from the hips to the bend of the lower back
CHEST_UP: Final = 0.09  # [own] from there to the bend of the upper back
HIP_OVER_SEAT: Final = SITTING_HEIGHT - TRUNK - HEAD_AND_NECK

HEEL_BACK: Final = 0.04  # [own] the heel behind the ankle
BALL_FORWARD: Final = 0.068  # [own] the ball of the foot before the ankle
TOE_FORWARD: Final = FOOT - HEEL_BACK
NECK_UP: Final = 0.035  # [own] from the shoulders to where the neck bends
HEAD_RADIUS: Final = 0.066  # [own]
PALM: Final = 0.05  # [own] from the wrist to the middle of the palm


@dataclass(frozen=True, slots=True, kw_only=True)
class Chair:
    """A solid chair, in shares of the height of the person who sits on it.

    ``seat`` is how high its seat is: .26 is 43 cm for somebody of 165 cm. The seat
    reaches from ``back`` behind the hips to ``front`` before them; ``top`` is the
    upper edge of its back, and armrests stand ``arm_up`` over the seat.
    """

    seat: float = 0.26
    front: float = 0.13
    back: float = 0.13
    half_width: float = 0.135
    top: float = 0.53
    arm_up: float = 0.125

    def __post_init__(self) -> None:
        """Refuse a seat nobody could sit on with the feet on the floor."""
        if not 0.18 <= self.seat <= 0.33:
            raise ValueError(f"A seat of {self.seat} of the height is no chair.")


USUAL_CHAIR: Final = Chair()
