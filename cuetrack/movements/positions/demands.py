"""What a movement asks of a body, derived from its key positions and nothing else.

`demands_of` is the public verb. It measures the movement at a small, a middle and
the whole of its range, each time over the whole way and both sides, and keeps the
hardest of each quantity. Nothing here knows a movement's name, its words or a group.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING, Any, Final

from cuetrack.movements.positions.body import USUAL_CHAIR
from cuetrack.movements.positions.measures import LEAST, QUANTITIES
from cuetrack.movements.positions.motion import Sharing, at_range, way

if TYPE_CHECKING:
    from cuetrack.movements.positions.body import Chair
    from cuetrack.movements.positions.motion import Held, Motion

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
    hand_across, knee_across, foot_across
        How far past the middle line, to the other side; on its own side, negative.
    hip_turned_in_deg
        The thigh turned inward, as when the foot goes out and the knee stays.
    hip_opened_deg
        The thigh away from straight ahead, to its side.
    knee_bend_deg, knee_straight_deg
        The most and the least bend of a knee; 0 is straight.
    spine_bend, spine_arch, spine_side, spine_turn
        Shares of normal range of the back: forward, backward, sideways, turning.
    lean_forward_deg, lean_back_deg
        The line from hips to shoulders from upright, in the plane of walking.
    neck_bend, neck_arch, neck_side, neck_turn
        Shares of normal range of the neck.
    head_below_heart
        How much lower than the heart the head gets; above it, negative.
    wrist_bend, wrist_back
        Shares of normal range of the wrist: to the palm, to the back of the hand.
    lever_shoulder, lever_low_back
        How far level from the shoulder, and from the low back, a hand is: the lever
        arm of what it carries.
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
    hand_across: float
    knee_across: float
    foot_across: float
    hip_turned_in_deg: float
    hip_opened_deg: float
    knee_bend_deg: float
    knee_straight_deg: float
    spine_bend: float
    spine_arch: float
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
    lever_low_back: float
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


@dataclass(frozen=True, slots=True, kw_only=True)
class Demands:
    """What a movement asks at a third, at two thirds, and at the whole of its range.

    ``held`` is the thing drawn with it and its line, None for empty hands. ``turns``
    is the degrees that the chest turns in one cycle at the whole range, and
    ``head_turns`` the same of the head; divide by the time of a cycle for a speed.
    """

    small: Reach
    middle: Reach
    end: Reach
    held: Held | None
    turns: float
    head_turns: float


@lru_cache(maxsize=512)
def demands_of(motion: Motion, chair: Chair = USUAL_CHAIR) -> Demands:
    """Return what a movement asks of a body.

    Parameters
    ----------
    motion
        Its key positions, as in ``reading.motions()["heel dig"]``.
    chair
        What it is done on; a higher seat lowers the knees.
    """
    joints = way(motion, STEPS, chair)
    halves = 2 if motion.sharing is Sharing.BY_TURNS else 1
    chest = [s.position.trunk.turn for s in joints]
    head = [s.position.trunk.turn + s.position.head.turn for s in joints]
    return Demands(
        small=reach_of(motion, SMALL, chair),
        middle=reach_of(motion, MIDDLE, chair),
        end=reach_of(motion, 1.0, chair),
        held=motion.held,
        turns=2 * halves * (max(chest) - min(chest)),
        head_turns=2 * halves * (max(head) - min(head)),
    )


def reach_of(motion: Motion, share: float, chair: Chair = USUAL_CHAIR) -> Reach:
    """Return the hardest of each quantity with the movement done only so far."""
    seen = way(at_range(motion, share, chair), STEPS, chair)
    hardest: dict[str, Any] = {
        name: (min if name in LEAST else max)(map(measure, seen))
        for name, measure in QUANTITIES.items()
    }
    return Reach(**hardest)
