"""Which points of the body show best what moves, and the way they go."""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import pairwise
from typing import TYPE_CHECKING, Final

from cuetrack.movements.positions.position import Contact, Leg
from cuetrack.movements.positions.vectors import (
    UP,
    Vector,
    add,
    along,
    distance,
    minus,
    times,
    unit,
)

if TYPE_CHECKING:
    from cuetrack.movements.positions.motion import Motion
    from cuetrack.movements.positions.position import Arm
    from cuetrack.movements.positions.skeleton import Skeleton

BACKWARD: Final = (-1.0, 0.0, 0.0)
SIDES: Final = ("left", "right")
SEEN: Final = 0.01
"""The least way that is worth an arrow, in shares of height."""

MINOR: Final = 0.3
"""A way shorter than this share of the longest is only carried along."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Trail:
    """The way of one point; ``off`` is how far beside it, 1 as usual, an arrow runs."""

    points: tuple[Vector, ...]
    off: float = 1.0

    @property
    def far(self) -> float:
        """How long the way is."""
        return sum(distance(a, b) for a, b in pairwise(self.points))

    @property
    def rise(self) -> float:
        """How much higher it ends."""
        return self.points[-1][2] - self.points[0][2]


def moving_parts(motion: Motion) -> frozenset[str]:
    """Return the parts that move of themselves, not carried along by others."""
    found: set[str] = set()
    for one, other in pairwise((motion.start, *motion.keys)):
        limbs = [f"{side}_{limb}" for side in SIDES for limb in ("arm", "leg")]
        found |= {
            part for part in limbs if _moves(getattr(one, part), getattr(other, part))
        }
        if one.trunk != other.trunk or one.pelvis != other.pelvis:
            found.add("trunk")
        if one.head != other.head:
            found.add("head")
    return frozenset(found)


def _moves(one: Arm | Leg, other: Arm | Leg) -> bool:
    """Tell a limb that moves from a foot that is only kept where it stands."""
    if isinstance(other, Leg) and other.contact is Contact.PLANTED:
        return other.splay != one.splay  # type: ignore[union-attr]
    return one != other


def trails_of(
    way: tuple[Skeleton, ...], moving: frozenset[str], *, from_side: bool = False
) -> list[Trail]:
    """Return the trails of all that moves, without what is only carried along.

    ``from_side`` leaves out a left limb behind a right one that moves too.
    """
    if _stands_up(way):
        return [_crown(way)]
    trails: list[Trail] = []
    for part in sorted(moving - {"trunk", "head"}):
        side, limb = part.split("_")
        if from_side and side == "left" and f"right_{limb}" in moving:
            continue
        trails.append((_arm_trail if limb == "arm" else _leg_trail)(way, side))
    limbs = tuple(trails)
    if "trunk" in moving:
        trails.append(_trunk_trail(way))
    elif "head" in moving:
        trails.append(_head_trail(way))
    longest = max((trail.far for trail in trails), default=0.0)
    least = max(SEEN, MINOR * longest)
    return [t for t in trails if t.far > (SEEN if t in limbs else least)]


def _crown(way: tuple[Skeleton, ...]) -> Trail:
    return Trail(points=tuple(s.trunk.crown for s in way))


def _stands_up(way: tuple[Skeleton, ...]) -> bool:
    return way[-1].position.pelvis.rise > way[0].position.pelvis.rise + 2


def _leg_trail(way: tuple[Skeleton, ...], side: str) -> Trail:
    legs = [getattr(s, f"{side}_leg") for s in way]
    toe, heel, knee = (
        Trail(points=tuple(getattr(leg, joint) for leg in legs))
        for joint in ("toe", "heel", "knee")
    )
    steps = toe.far > 0.1
    foot = toe if steps else max((toe, heel), key=lambda trail: trail.rise)
    rises = min(knee.rise, toe.rise) > 0.008
    still = foot.far < SEEN
    return knee if still or (rises and knee.far > 0.4 * foot.far) else foot


def _arm_trail(way: tuple[Skeleton, ...], side: str) -> Trail:
    arms = [getattr(s, f"{side}_arm") for s in way]
    told: list[Arm] = [getattr(s.position, f"{side}_arm") for s in way]
    shoulder = Trail(points=tuple(a.shoulder for a in arms))
    if max(abs(a.shoulder_up - told[0].shoulder_up) for a in told) > 2:
        return Trail(points=tuple(along(p, UP, 0.03) for p in shoulder.points))
    if told[-1].shoulder_front - told[0].shoulder_front < -3:
        return _blade_trail(way, shoulder)
    palm = Trail(points=tuple(a.palm for a in arms))
    elbow = Trail(points=tuple(a.elbow for a in arms))
    if elbow.far < SEEN and palm.far < 0.07:
        return Trail(points=tuple(a.tip for a in arms))
    return elbow if elbow.far > palm.far else palm


def _blade_trail(way: tuple[Skeleton, ...], shoulder: Trail) -> Trail:
    """Return the way of a shoulder blade toward the spine, on the back."""
    neck = way[-1].trunk.neck
    inward = unit(minus(neck, shoulder.points[-1]))
    low = add(shoulder.points[-1], times(UP, -0.08), times(BACKWARD, 0.08))
    return Trail(points=(low, along(low, inward, 0.09)), off=0.0)


def _trunk_trail(way: tuple[Skeleton, ...]) -> Trail:
    start, end = way[0].position.trunk, way[-1].position.trunk
    if abs(end.turn - start.turn) > 15:
        return _chest_trail(way)
    waist = Trail(points=tuple(along(s.trunk.waist, BACKWARD, 0.15) for s in way))
    if waist.far > 0.5 * _crown(way).far and end.bend != start.bend:
        return replace(waist, off=0.0)
    if abs(end.breath - start.breath) > 1:
        grow = 0.05 if end.breath > start.breath else -0.05
        front = way[0].trunk.waist_frame.front
        rim = 0.13 + max(start.breath, end.breath) / 100 + abs(grow)
        points = [along(way[0].trunk.waist, front, rim - g) for g in (grow, -grow)]
        return Trail(points=tuple(along(p, UP, 0.04) for p in points), off=0.0)
    return _crown(way)


def _chest_trail(way: tuple[Skeleton, ...]) -> Trail:
    """Return the way of a point well before the chest, which turns with it."""
    points = (along(s.trunk.chest, s.trunk.chest_frame.front, 0.23) for s in way)
    return Trail(points=tuple(points), off=0.0)


def _head_trail(way: tuple[Skeleton, ...]) -> Trail:
    start, end = way[0].position.head, way[-1].position.head
    faces = [s.trunk.head_frame for s in way]
    heads = [s.trunk.head for s in way]
    if abs(end.turn - start.turn) > 3:
        over = [along(h, f.up, 0.17) for h, f in zip(heads, faces, strict=True)]
        around = (along(p, f.front, 0.1) for p, f in zip(over, faces, strict=True))
        return Trail(points=tuple(around), off=0.0)
    if abs(end.tuck - start.tuck) > 0.5:
        low = [add(h, times(f.up, -0.04)) for h, f in zip(heads, faces, strict=True)]
        before = (along(p, f.front, 0.1) for p, f in zip(low, faces, strict=True))
        return Trail(points=tuple(before), off=0.0)
    return _crown(way)
