"""Where a resting hand is: the places a hand can be put, as points of the body."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from cuetrack.movements.positions import body
from cuetrack.movements.positions.position import RestsOn
from cuetrack.movements.positions.vectors import (
    DOWN,
    UP,
    Vector,
    add,
    along,
    blend,
    minus,
    times,
    turned,
    unit,
)

if TYPE_CHECKING:
    from collections.abc import Callable

    from cuetrack.movements.positions.body import Chair
    from cuetrack.movements.positions.legs import LegPoints
    from cuetrack.movements.positions.trunk import TrunkPoints

FLESH: Final = 0.045
"""How far skin is from the middle line of a limb, where a hand rests on it."""


_FORWARD: Final = unit((1.0, 0.0, -0.36))
_DOWNWARD: Final = unit((0.3, 0.0, -1.0))


@dataclass(frozen=True, slots=True, kw_only=True)
class HandRest:
    """The middle of the palm, where the fingers point, and where the palm faces.

    Without ``fingers`` the hand goes on in the line of the forearm.
    """

    point: Vector
    fingers: Vector | None
    palm: Vector


@dataclass(frozen=True, slots=True, kw_only=True)
class Surroundings:
    """What a hand can rest on, seen from the side it belongs to."""

    side: int
    chair: Chair
    trunk: TrunkPoints
    legs: tuple[LegPoints, LegPoints]
    other_arm: tuple[Vector, Vector, Vector, Vector] | None
    """Shoulder, elbow, wrist and palm of the other arm, once they are known."""
    breath: float = 0.0

    def leg(self, *, other: bool = False) -> LegPoints:
        """Return the leg of this side, or the other one."""
        return self.legs[(self.side < 0) != other]

    def at(self, start: Vector, front: float, out: float, up: float) -> Vector:
        """Return a point of the chest's frame, seen from ``start``."""
        return add(start, self.trunk.chest_frame.of((front, out, up), self.side))

    def toward(self, front: float, out: float, up: float) -> Vector:
        """Return a direction of the chest's frame."""
        return unit(self.trunk.chest_frame.of((front, out, up), self.side))


def _on_leg(around: Surroundings, share: float, *, other: bool = False) -> HandRest:
    leg = around.leg(other=other)
    thigh = unit(minus(leg.knee, leg.hip))
    over = unit(minus(UP, times(thigh, thigh[2])))
    point = along(blend(leg.hip, leg.knee, share), over, FLESH)
    fingers = None if other else turned(thigh, over, -12.0 * around.side)
    return HandRest(point=point, fingers=fingers, palm=times(over, -1))


def _inside_knee(around: Surroundings) -> HandRest:
    leg = around.leg()
    out = times((0.0, 1.0, 0.0), -around.side)
    beside = along(blend(leg.hip, leg.knee, 0.94), out, FLESH + 0.02)
    point = along(beside, UP, 0.012)
    return HandRest(point=point, fingers=None, palm=times(out, -1))


def _on_chair(around: Surroundings, front: float, out: float, up: float) -> HandRest:
    point = (front, around.side * out, up)
    return HandRest(point=point, fingers=_FORWARD, palm=DOWN)


def _seat(around: Surroundings, front: float) -> HandRest:
    """Return a hand that holds the edge of the seat from its side."""
    chair = around.chair
    point = (front, around.side * (chair.half_width + 0.022), chair.seat + 0.005)
    inward = (0.0, -1.0 * around.side, 0.0)
    return HandRest(point=point, fingers=_DOWNWARD, palm=inward)


def _armrest(around: Surroundings) -> HandRest:
    chair = around.chair
    height = chair.seat + chair.arm_up + 0.02
    return _on_chair(around, 0.06, chair.half_width + 0.03, height)


def _chair_back(around: Surroundings) -> HandRest:
    chair = around.chair
    out = chair.half_width - 0.02
    return _on_chair(around, -chair.back, out, chair.top + 0.012)


def _back_beside(around: Surroundings) -> HandRest:
    chair = around.chair
    point = (0.12, around.side * (chair.back + 0.012), chair.seat + 0.14)
    return HandRest(point=point, fingers=_FORWARD, palm=DOWN)


def _on_trunk(
    around: Surroundings,
    point: Vector,
    fingers: tuple[float, float, float],
    palm: tuple[float, float, float],
) -> HandRest:
    return HandRest(
        point=point, fingers=around.toward(*fingers), palm=around.toward(*palm)
    )


def _chest(around: Surroundings) -> HandRest:
    point = around.at(around.trunk.neck, 0.085, 0.02, -0.085)
    return _on_trunk(around, point, (0.0, -0.95, 0.3), (-1.0, 0.0, 0.0))


def _belly(around: Surroundings) -> HandRest:
    swell = around.breath / 100
    point = around.at(around.trunk.waist, 0.1 + swell, 0.035, -0.005)
    return _on_trunk(around, point, (0.0, -1.0, -0.15), (-1.0, 0.0, 0.0))


def _hip(around: Surroundings) -> HandRest:
    point = around.at(around.trunk.waist, 0.02, 0.1, -0.045)
    return _on_trunk(around, point, (0.85, -0.3, -0.4), (0.0, -1.0, 0.0))


def _together(
    around: Surroundings, front: float, up: float, apart: float, rise: float
) -> HandRest:
    """Return a hand that meets the other one before the chest."""
    point = around.at(around.trunk.neck, front, apart, up)
    return _on_trunk(around, point, (1.0, 0.0, rise), (0.0, -1.0, 0.0))


def _own_shoulder(around: Surroundings) -> HandRest:
    point = around.at(around.trunk.neck, 0.08, body.SHOULDER_HALF + 0.05, 0.06)
    return _on_trunk(around, point, (-0.8, 0.0, 0.4), (-0.3, 0.0, -1.0))


def _other_shoulder(around: Surroundings) -> HandRest:
    point = around.at(around.trunk.neck, 0.055, -body.SHOULDER_HALF, -0.015)
    return _on_trunk(around, point, (-0.5, -0.75, 0.4), (-0.8, 0.0, -0.5))


def _other_arm(around: Surroundings, part: int, above: float) -> HandRest:
    """Return a joint of the other arm, held from above (1) or from below (-1)."""
    if around.other_arm is None:
        raise ValueError("Both hands cannot rest on each other's arms.")
    joints = around.other_arm
    bone = unit(minus(joints[min(part + 1, 3)], joints[max(part - 1, 0)]))
    over = unit(minus(UP, times(bone, bone[2]))) if abs(bone[2]) < 0.9 else UP
    point = along(joints[part], over, 0.026 * above)
    return HandRest(point=point, fingers=None, palm=times(over, -above))


REST: Final[dict[RestsOn, Callable[[Surroundings], HandRest]]] = {
    RestsOn.THIGH: lambda a: _on_leg(a, 0.62),
    RestsOn.KNEE: lambda a: _on_leg(a, 0.93),
    RestsOn.OTHER_KNEE: lambda a: _on_leg(a, 0.9, other=True),
    RestsOn.INNER_KNEE: _inside_knee,
    RestsOn.SEAT: lambda a: _seat(a, 0.03),
    RestsOn.SEAT_BACK: lambda a: _seat(a, -0.03),
    RestsOn.ARMREST: _armrest,
    RestsOn.CHAIR_BACK: _chair_back,
    RestsOn.BACK_BESIDE: _back_beside,
    RestsOn.CHEST: _chest,
    RestsOn.BELLY: _belly,
    RestsOn.HIP: _hip,
    RestsOn.OWN_SHOULDER: _own_shoulder,
    RestsOn.OTHER_SHOULDER: _other_shoulder,
    RestsOn.OTHER_WRIST: lambda a: _other_arm(a, 2, -1.0),
    RestsOn.OTHER_HAND: lambda a: _other_arm(a, 3, 1.0),
    RestsOn.OTHER_ELBOW: lambda a: _other_arm(a, 1, -1.0),
    RestsOn.EACH_OTHER: lambda a: _together(a, 0.235, -0.1, 0.018, 0.9),
    RestsOn.EACH_OTHER_LOW: lambda a: _together(a, 0.21, -0.2, 0.018, -0.1),
    RestsOn.BALL: lambda a: _together(a, 0.235, -0.1, 0.055, 0.6),
}
"""Each place with the rest it gives."""

ON_OTHER_ARM: Final = frozenset(
    {
        RestsOn.OTHER_WRIST,
        RestsOn.OTHER_HAND,
        RestsOn.OTHER_ELBOW,
    }
)
"""Places that are known only once the other arm is."""

SUPPORTS: Final = frozenset(
    {
        RestsOn.SEAT,
        RestsOn.SEAT_BACK,
        RestsOn.ARMREST,
        RestsOn.CHAIR_BACK,
        RestsOn.BACK_BESIDE,
    }
)
"""Places on the chair, which carry weight."""
