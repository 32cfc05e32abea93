"""The hands of the figure: loose, fist, open and fingers to the thumb."""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING, Final

from cuetrack.movements.figure import looks
from cuetrack.movements.positions.position import HandShape
from cuetrack.movements.positions.vectors import (
    Vector,
    add,
    along,
    cross,
    dot,
    times,
    unit,
)

if TYPE_CHECKING:
    from cuetrack.movements.figure.pencil import Pencil
    from cuetrack.movements.figure.shapes import Hull
    from cuetrack.movements.positions.skeleton import ArmPoints, Skeleton

_SPREAD: Final = (0.5, 0.17, -0.17, -0.5)
"""How far each finger is from the middle of the hand, toward the thumb."""


def hand_hulls(skeleton: Skeleton, pencil: Pencil, side: int) -> tuple[Hull, ...]:
    """Return the hand of the left (1) or right (-1) arm."""
    arm = skeleton.left_arm if side > 0 else skeleton.right_arm
    position = skeleton.position
    shape = (position.left_arm if side > 0 else position.right_arm).hand
    thumb = times(cross(arm.fingers, arm.palm_faces), -side)
    if shape is HandShape.FIST:
        return _fist(arm, thumb, pencil)
    if shape is HandShape.LOOSE:
        return _loose(arm, thumb, pencil)
    skin = pencil.palette.skin
    knuckles = along(arm.wrist, arm.fingers, 0.052)
    back = pencil.around(
        (arm.wrist, 0.02),
        (along(knuckles, thumb, 0.016), 0.018),
        (along(knuckles, thumb, -0.016), 0.018),
        fill=skin,
    )
    if dot(arm.palm_faces, pencil.camera.toward) > 0.25:
        lines = _palm_lines(arm, thumb, pencil)
    else:
        lines = ()
    if shape is HandShape.PINCH:
        fingers = [_finger(arm, thumb, number, pencil) for number in (1, 2, 3)]
        return (back, *fingers, *_ring(arm, thumb, pencil), *lines)
    fingers = [_finger(arm, thumb, number, pencil) for number in range(4)]
    return (back, *fingers, _thumb(arm, thumb, pencil), *lines)


def _palm_lines(arm: ArmPoints, thumb: Vector, pencil: Pencil) -> tuple[Hull, ...]:
    """Return two lines of the palm, which tell it from the back of the hand."""
    ends = [
        (add(arm.wrist, times(arm.fingers, a), times(thumb, b)) for a, b in line)
        for line in (((0.058, -0.022), (0.05, 0.012)), ((0.04, -0.02), (0.034, 0.006)))
    ]
    return tuple(
        pencil.limb((first, last), (0.003, 0.003), pencil.palette.nose)
        for first, last in ends
    )


def _fist(arm: ArmPoints, thumb: Vector, pencil: Pencil) -> tuple[Hull, ...]:
    skin = pencil.palette.skin
    over = add(arm.palm, times(thumb, 0.022), times(arm.palm_faces, 0.012))
    return (
        pencil.limb((arm.wrist, arm.palm), (0.021, 0.033), skin),
        pencil.ball(over, 0.014, skin),
    )


def _loose(arm: ArmPoints, thumb: Vector, pencil: Pencil) -> tuple[Hull, ...]:
    skin = pencil.palette.skin
    knuckles = along(arm.wrist, arm.fingers, 0.052)
    tip = along(arm.wrist, arm.fingers, 0.082)
    base = along(along(arm.wrist, arm.fingers, 0.03), thumb, 0.012)
    thumb_tip = add(base, times(thumb, 0.02), times(arm.fingers, 0.022))
    return (
        pencil.limb((knuckles, tip), (looks.HAND, 0.018), skin),
        pencil.limb((base, thumb_tip), (0.013, 0.011), skin),
        pencil.limb((arm.wrist, knuckles), (0.021, looks.HAND), skin),
    )


def _finger(arm: ArmPoints, thumb: Vector, number: int, pencil: Pencil) -> Hull:
    spread = _SPREAD[number]
    root = add(arm.wrist, times(arm.fingers, 0.056), times(thumb, spread * 0.055))
    tip = along(root, unit(add(arm.fingers, times(thumb, spread * 0.75))), 0.052)
    return pencil.limb((root, tip), (0.0095, 0.0085), pencil.palette.skin)


def _thumb(arm: ArmPoints, thumb: Vector, pencil: Pencil) -> Hull:
    root = add(arm.wrist, times(arm.fingers, 0.028), times(thumb, 0.016))
    tip = along(root, unit(add(times(arm.fingers, 0.55), times(thumb, 0.9))), 0.05)
    return pencil.limb((root, tip), (0.012, 0.009), pencil.palette.skin)


def _ring(arm: ArmPoints, thumb: Vector, pencil: Pencil) -> tuple[Hull, ...]:
    """Return the first finger and the thumb with their tips together."""
    corners = [
        add(arm.wrist, times(arm.fingers, ahead), times(thumb, aside))
        for ahead, aside in _RING
    ]
    skin = pencil.palette.skin
    return tuple(
        pencil.limb(ends, (0.0105, 0.0095), skin) for ends in pairwise(corners)
    )


_RING: Final = (
    (0.058, 0.026),
    (0.102, 0.05),
    (0.078, 0.094),
    (0.04, 0.062),
    (0.026, 0.014),
)
"""Knuckle, bend, meeting tips, bend and root, along the hand and toward the thumb."""
