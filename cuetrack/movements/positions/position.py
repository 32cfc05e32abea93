"""One key position of the figure, as a trainer would state it.

Convention. Zero: sitting tall on the chair, arms hanging, head straight; legs as
sitting. Angles are degrees, lengths hundredths of the standing height.

Trunk: ``lean`` forward at the hips with the back straight (negative: back), ``tip``
to one side over one hip, ``bend`` forward of the spine (negative: arch), ``side``
bend and ``turn``. Sideways and turning values are positive to the right. The spine
takes half of bend, side and turn at the waist and the whole at the chest. Order of
rotation, from the inside: turn, side, bend, tip, lean.

Head: ``nod`` forward, ``side``, ``turn``, and ``tuck`` straight back.

Arm: the upper arm is a direction in the frame of the chest (front, outward, up);
the elbow then bends by ``elbow`` from straight, toward ``bend``. A hand may rest ``on``
a place instead: then both are solved, with the elbow toward ``bend``.

Leg: ``thigh`` 90 is level and 0 straight down, ``knee`` 90 is sitting and 0 straight,
``out`` turns the whole leg to the side (negative: in), ``splay`` opens the knee to the
side while the foot stays, ``toes`` lifts the front of the foot (negative: the heel)
against the floor, or against a right angle when the foot is free, ``toe_out`` turns
the foot. On the floor the thigh is solved from the knee.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from enum import StrEnum
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from cuetrack.movements.positions.vectors import Vector


class Contact(StrEnum):
    """What carries a foot."""

    FLOOR = "floor"
    PLANTED = "planted"
    """On the floor where it stood at the start, whatever the hips do."""
    FREE = "free"


class RestsOn(StrEnum):
    """Where a hand can be."""

    THIGH = "thigh"
    KNEE = "knee"
    INNER_KNEE = "inner knee"
    OTHER_KNEE = "other knee"
    SEAT = "seat"
    SEAT_BACK = "seat back"
    ARMREST = "armrest"
    CHAIR_BACK = "chair back"
    BACK_BESIDE = "back beside"
    """On the back of the chair of somebody who sits sideways."""
    CHEST = "chest"
    BELLY = "belly"
    HIP = "hip"
    OWN_SHOULDER = "own shoulder"
    OTHER_SHOULDER = "other shoulder"
    OTHER_WRIST = "other wrist"
    OTHER_HAND = "other hand"
    OTHER_ELBOW = "other elbow"
    EACH_OTHER = "each other"
    EACH_OTHER_LOW = "each other low"
    BALL = "ball"


class HandShape(StrEnum):
    """How a hand is held."""

    LOOSE = "loose"
    OPEN = "open"
    FIST = "fist"
    PINCH = "pinch"


@dataclass(frozen=True, slots=True, kw_only=True)
class Trunk:
    """Lean, tip, bend, side and turn of the trunk in degrees.

    ``breath`` is how far the belly comes forward, in hundredths of height.
    """

    lean: float = 0.0
    tip: float = 0.0
    bend: float = 0.0
    side: float = 0.0
    turn: float = 0.0
    breath: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Head:
    """Nod, side and turn of the head in degrees; tuck in hundredths of height."""

    nod: float = 0.0
    side: float = 0.0
    turn: float = 0.0
    tuck: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Pelvis:
    """How far the hips are from where they sit, in hundredths of height."""

    rise: float = 0.0
    forward: float = 0.0
    right: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Arm:
    """One arm, in the frame of the chest: (front, outward, up) of that side.

    ``shoulder_up`` and ``shoulder_front`` move the shoulder itself, in hundredths of
    height. ``wrist`` bends the hand toward the palm. ``palm`` is where the palm
    faces, None when nobody said. ``fingers`` is where a hand points that was found
    on something, in place of ``wrist``.
    """

    upper: Vector = (0.0, 0.0, -1.0)
    elbow: float = 5.0
    bend: Vector = (1.0, 0.0, 0.0)
    on: RestsOn | None = None
    palm: Vector | None = None
    wrist: float = 0.0
    fingers: Vector | None = None
    hand: HandShape = HandShape.LOOSE
    shoulder_up: float = 0.0
    shoulder_front: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Leg:
    """One leg; ``thigh`` is None when it is solved from the knee."""

    contact: Contact = Contact.FLOOR
    thigh: float | None = None
    knee: float = 90.0
    out: float = 4.0
    splay: float = 0.0
    toes: float = 0.0
    toe_out: float = 5.0

    def __post_init__(self) -> None:
        """Refuse a thigh that is both told and solved, or neither."""
        if (self.contact is Contact.FREE) != (self.thigh is not None):
            raise ValueError("A free leg, and no other, has the angle of its thigh.")


ELBOW_REST: Final[Vector] = (-0.45, 0.6, -0.6)
"""Where an elbow points when its hand rests on something: back, out and down."""

RESTING_ARM: Final = Arm(on=RestsOn.THIGH, bend=ELBOW_REST)


@dataclass(frozen=True, slots=True, kw_only=True)
class Position:
    """One key position of the whole figure; unsaid, it sits tall, hands on thighs."""

    trunk: Trunk = field(default_factory=Trunk)
    head: Head = field(default_factory=Head)
    pelvis: Pelvis = field(default_factory=Pelvis)
    right_arm: Arm = RESTING_ARM
    left_arm: Arm = RESTING_ARM
    right_leg: Leg = field(default_factory=Leg)
    left_leg: Leg = field(default_factory=Leg)


SITTING_TALL: Final = Position()


def mirrored(position: Position) -> Position:
    """Return the same position with left and right exchanged.

    >>> mirrored(Position(trunk=Trunk(turn=30))).trunk.turn
    -30
    """
    trunk, head, pelvis = position.trunk, position.head, position.pelvis
    return Position(
        trunk=replace(trunk, tip=-trunk.tip, side=-trunk.side, turn=-trunk.turn),
        head=replace(head, side=-head.side, turn=-head.turn),
        pelvis=replace(pelvis, right=-pelvis.right),
        right_arm=position.left_arm,
        left_arm=position.right_arm,
        right_leg=position.left_leg,
        left_leg=position.right_leg,
    )
