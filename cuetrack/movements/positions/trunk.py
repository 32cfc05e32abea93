"""Where hips, spine and head of a key position are."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from cuetrack.movements.positions import body
from cuetrack.movements.positions.body import USUAL_CHAIR, Chair
from cuetrack.movements.positions.frames import Frame
from cuetrack.movements.positions.vectors import Vector, along

if TYPE_CHECKING:
    from cuetrack.movements.positions.position import Head, Position, Trunk


@dataclass(frozen=True, slots=True, kw_only=True)
class TrunkPoints:
    """Hips, spine and head; each frame belongs to the part above the point."""

    pelvis: Vector
    waist: Vector
    chest: Vector
    neck: Vector
    head: Vector
    pelvis_frame: Frame
    waist_frame: Frame
    chest_frame: Frame
    head_frame: Frame

    @property
    def heart(self) -> Vector:
        """The middle of the heart: behind the lower breastbone."""
        raised = along(self.chest, self.chest_frame.up, 0.015)
        return along(raised, self.chest_frame.front, 0.02)

    @property
    def crown(self) -> Vector:
        """The top of the head."""
        return along(self.head, self.head_frame.up, body.HEAD_RADIUS)


def trunk_points(position: Position, chair: Chair = USUAL_CHAIR) -> TrunkPoints:
    """Return where hips, spine and head are."""
    pelvis = (
        position.pelvis.forward / 100,
        -position.pelvis.right / 100,
        chair.seat + body.HIP_OVER_SEAT + position.pelvis.rise / 100,
    )
    trunk = position.trunk
    low = Frame().turned((1.0, 0.0, 0.0), trunk.tip)
    low = low.turned((0.0, 1.0, 0.0), trunk.lean)
    middle, high = _curved(low, trunk, 0.5), _curved(low, trunk, 1.0)
    waist = along(pelvis, low.up, body.WAIST_UP)
    chest = along(waist, middle.up, body.CHEST_UP)
    neck = along(chest, high.up, body.TRUNK - body.WAIST_UP - body.CHEST_UP)
    nape = along(neck, high.up, body.NECK_UP)
    face = _head_frame(high, position.head)
    up = body.HEAD_AND_NECK - body.NECK_UP - body.HEAD_RADIUS
    head = along(nape, face.up, up)
    return TrunkPoints(
        pelvis=pelvis,
        waist=waist,
        chest=chest,
        neck=neck,
        head=along(head, face.front, -position.head.tuck / 100),
        pelvis_frame=low,
        waist_frame=middle,
        chest_frame=high,
        head_frame=face,
    )


def _curved(low: Frame, trunk: Trunk, share: float) -> Frame:
    bent = low.turned(low.left, trunk.bend * share)
    bent = bent.turned(bent.front, trunk.side * share)
    return bent.turned(bent.up, -trunk.turn * share)


def _head_frame(high: Frame, head: Head) -> Frame:
    face = high.turned(high.left, head.nod)
    face = face.turned(face.front, head.side)
    return face.turned(face.up, -head.turn)
