"""The figure itself: from joints to parts that can be drawn."""

from __future__ import annotations

from typing import TYPE_CHECKING

from cuetrack.movements.figure import looks
from cuetrack.movements.figure.hand_shapes import hand_hulls
from cuetrack.movements.figure.shapes import BodyPart
from cuetrack.movements.positions.position import HandShape
from cuetrack.movements.positions.vectors import (
    Vector,
    add,
    along,
    blend,
    dot,
    minus,
    times,
    unit,
)

if TYPE_CHECKING:
    from cuetrack.movements.figure.pencil import Pencil
    from cuetrack.movements.positions.legs import LegPoints
    from cuetrack.movements.positions.skeleton import ArmPoints, Skeleton
    from cuetrack.movements.positions.trunk import TrunkPoints


def figure_parts(skeleton: Skeleton, pencil: Pencil) -> tuple[BodyPart, ...]:
    """Return the parts of the whole figure, in no order."""
    return (
        _trunk(skeleton, pencil),
        _head(skeleton, pencil),
        _leg(skeleton, pencil, 1),
        _leg(skeleton, pencil, -1),
        *_arm(skeleton, pencil, 1),
        *_arm(skeleton, pencil, -1),
    )


def _trunk(skeleton: Skeleton, pencil: Pencil) -> BodyPart:
    trunk, palette = skeleton.trunk, pencil.palette
    top = pencil.cloth("trunk", palette.top)
    low, middle, high = trunk.pelvis_frame, trunk.waist_frame, trunk.chest_frame
    hips = [(leg.hip, 0.052) for leg in skeleton.legs]
    belt = _pair(along(trunk.pelvis, low.up, 0.045), low.left, 0.045, 0.06)
    swell = 0.006 + skeleton.position.trunk.breath / 100
    waist = _pair(along(trunk.waist, middle.front, swell), middle.left, 0.04, 0.06)
    chest = _pair(along(trunk.chest, high.front, 0.006), high.left, 0.05, 0.062)
    shoulders = [(along(a.shoulder, high.up, -0.012), 0.034) for a in skeleton.arms]
    hulls = (
        pencil.around(*hips, *belt, fill=palette.trousers),
        pencil.around(*belt, *waist, fill=top),
        pencil.around(*waist, *chest, fill=top),
        pencil.around(*chest, *shoulders, fill=top),
    )
    depth = pencil.camera.depth(trunk.chest)
    return BodyPart(hulls=hulls, depth=depth, edge=palette.edge)


def _pair(
    middle: Vector, left: Vector, apart: float, radius: float
) -> tuple[tuple[Vector, float], tuple[Vector, float]]:
    return (along(middle, left, apart), radius), (along(middle, left, -apart), radius)


def _head(skeleton: Skeleton, pencil: Pencil) -> BodyPart:
    trunk, palette = skeleton.trunk, pencil.palette
    face = trunk.head_frame
    head = trunk.head
    neck = along(trunk.neck, trunk.chest_frame.up, -0.005)
    hair_at = add(head, times(face.up, 0.016), times(face.front, -0.011))
    face_at = add(head, times(face.up, -0.012), times(face.front, 0.014))
    chin = add(head, times(face.up, -0.038), times(face.front, 0.016))
    hair = pencil.ball(hair_at, looks.HEAD, palette.hair)
    skin = pencil.around((face_at, looks.HEAD - 0.012), (chin, 0.03), fill=palette.skin)
    nose_at = add(head, times(face.front, looks.HEAD + 0.004), times(face.up, -0.02))
    nose = pencil.ball(nose_at, 0.0135, palette.nose)
    throat = pencil.limb((neck, head), (looks.NECK, looks.NECK), palette.skin)
    away = dot(face.front, pencil.camera.toward) < 0
    order = (throat, nose, skin, hair) if away else (throat, hair, skin, nose)
    ears = {s: pencil.ball(_ear(trunk, s), 0.0135, palette.nose) for s in (1, -1)}
    near = 1 if dot(face.left, pencil.camera.toward) > 0 else -1
    depth = pencil.camera.depth(head) + 0.01
    return BodyPart(
        hulls=(ears[-near], *order, ears[near]), depth=depth, edge=palette.edge
    )


def _ear(trunk: TrunkPoints, side: int) -> Vector:
    face = trunk.head_frame
    return add(
        trunk.head,
        times(face.left, side * (looks.HEAD - 0.004)),
        times(face.up, -0.012),
        times(face.front, -0.008),
    )


def _leg(skeleton: Skeleton, pencil: Pencil, side: int) -> BodyPart:
    leg: LegPoints = skeleton.left_leg if side > 0 else skeleton.right_leg
    part = "left_leg" if side > 0 else "right_leg"
    palette = pencil.palette
    depth = pencil.camera.depth(blend(leg.knee, leg.ankle, 0.3))
    cloth = pencil.cloth(part, palette.trousers)
    shoe = palette.shoes
    heel, ball, toe = (_raised(p, leg) for p in (leg.heel, leg.ball, leg.toe))
    ankle = blend(leg.ankle, leg.heel, 0.12)
    hulls = (
        pencil.limb((leg.hip, leg.knee), looks.THIGH, cloth),
        pencil.limb((leg.knee, leg.ankle), looks.SHANK, cloth),
        pencil.around((heel, 0.022), (ankle, 0.026), (ball, 0.022), fill=shoe),
        pencil.limb((ball, _short(ball, toe)), (0.022, 0.019), shoe),
    )
    return BodyPart(hulls=hulls, depth=depth, edge=palette.edge)


def _raised(point: Vector, leg: LegPoints) -> Vector:
    """Return a point of the sole moved into the foot by its thickness."""
    into = unit(minus(leg.ankle, blend(leg.heel, leg.ball, 0.37)))
    return along(point, into, 0.02)


def _short(ball: Vector, toe: Vector) -> Vector:
    return blend(ball, toe, 0.6)


def _arm(skeleton: Skeleton, pencil: Pencil, side: int) -> tuple[BodyPart, ...]:
    arm: ArmPoints = skeleton.left_arm if side > 0 else skeleton.right_arm
    part = "left_arm" if side > 0 else "right_arm"
    palette = pencil.palette
    sleeve = pencil.cloth(part, palette.top)
    cuff = blend(arm.elbow, arm.wrist, 0.58)
    hulls = (
        pencil.limb((arm.shoulder, arm.elbow), looks.UPPER_ARM, sleeve),
        pencil.limb((arm.elbow, cuff), (looks.FOREARM[0], 0.0265), sleeve),
        pencil.limb((cuff, arm.wrist), (0.023, 0.02), palette.skin),
    )
    hand = hand_hulls(skeleton, pencil, side)
    depth = pencil.camera.depth(blend(arm.elbow, arm.wrist, 0.5)) + 0.035
    position = skeleton.position
    shape = (position.left_arm if side > 0 else position.right_arm).hand
    if shape in {HandShape.OPEN, HandShape.PINCH}:
        fingers = BodyPart(
            hulls=hand, depth=depth + 0.03, edge=palette.edge, halo=False
        )
        return BodyPart(hulls=hulls, depth=depth, edge=palette.edge), fingers
    return (BodyPart(hulls=(*hulls, *hand), depth=depth, edge=palette.edge),)
