"""What a movement asks of a body, derived from its key positions and nothing else.

`reach_of` is the public verb. It measures the movement at one of its ranges over the
whole way and both sides, and keeps the hardest of each quantity. Nothing here knows a
movement's name, its words or a group.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Final

from cuetrack.movements.positions.body import USUAL_CHAIR
from cuetrack.movements.positions.measures import LEAST, QUANTITIES
from cuetrack.movements.positions.motion import at_range, way

if TYPE_CHECKING:
    from cuetrack.movements.positions.body import Chair
    from cuetrack.movements.positions.motion import Motion

SMALL: Final = 1 / 3
MIDDLE: Final = 2 / 3
STEPS: Final = 6
"""Points on the way to each key position."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Reach:
    """The hardest of each quantity on the way, at one range of a movement.

    Angles in degrees, lengths in shares of standing height (.01 is 1.65 cm for
    somebody of 165 cm). "Share" is of the normal range in `ranges`: 1 is its end.

    Attributes
    ----------
    hand_above_shoulder_deg
        How far above level a straight arm would be with its hand as high as this
        one; below it, negative.
    hand_over_crown
        How much higher than the top of the head a hand gets; below it, negative.
    arm_lift_deg
        The upper arm away from hanging along the trunk, to the front or the side.
    arm_back_deg
        The upper arm behind the trunk.
    hip_flexion_deg
        The thigh bent up toward the trunk; sitting on the usual chair is 84.
    knee_above_hip
        How much higher than its hip a knee gets; below it, negative.
    knee_across, foot_across
        How far past the middle line, to the other side; on its own side, negative.
    hip_turned_in_deg
        The thigh turned inward, as when the foot goes out and the knee stays.
    hip_opened_deg
        The thigh away from straight ahead, to its side.
    knee_straight_deg
        The least bend of a knee; 0 is straight.
    spine_bend, spine_side, spine_turn
        Shares of normal range of the back: forward, sideways, turning.
    lean_forward_deg, lean_back_deg
        The line from hips to shoulders from upright, in the plane of walking.
    neck_bend, neck_arch, neck_side, neck_turn
        Shares of normal range of the neck.
    head_below_heart
        How much lower than the heart the head gets; above it, negative.
    wrist_bend, wrist_back
        Shares of normal range of the wrist: to the palm, to the back of the hand.
    lever_shoulder
        How far level from the shoulder a hand is: the lever arm of what it carries.
    feet_on_floor, hands_on_chair
        The fewest of each at any time, 0 to 2.
    off_seat
        How far the hips rise from the seat.
    """

    hand_above_shoulder_deg: float
    hand_over_crown: float
    arm_lift_deg: float
    arm_back_deg: float
    hip_flexion_deg: float
    knee_above_hip: float
    knee_across: float
    foot_across: float
    hip_turned_in_deg: float
    hip_opened_deg: float
    knee_straight_deg: float
    spine_bend: float
    spine_side: float
    spine_turn: float
    lean_forward_deg: float
    lean_back_deg: float
    neck_bend: float
    neck_arch: float
    neck_side: float
    neck_turn: float
    head_below_heart: float
    wrist_bend: float
    wrist_back: float
    lever_shoulder: float
    feet_on_floor: int
    hands_on_chair: int
    off_seat: float

    @property
    def above_shoulder(self) -> bool:
        """A hand goes higher than its shoulder, by more than a hand's sway."""
        return self.hand_above_shoulder_deg > 5

    @property
    def overhead(self) -> bool:
        """A hand goes higher than the top of the head."""
        return self.hand_over_crown > 0

    @property
    def crosses_middle(self) -> bool:
        """A knee or a foot goes past the middle line."""
        return max(self.knee_across, self.foot_across) > 0

    @property
    def seated(self) -> bool:
        """The hips stay on the seat."""
        return self.off_seat < 0.01


def reach_of(motion: Motion, share: float, chair: Chair = USUAL_CHAIR) -> Reach:
    """Return the hardest of each quantity with the movement done only so far."""
    seen = way(at_range(motion, share, chair), STEPS, chair)
    hardest: dict[str, Any] = {
        name: (min if name in LEAST else max)(map(measure, seen))
        for name, measure in QUANTITIES.items()
    }
    return Reach(**hardest)
