"""Directions that a part of the body carries with it."""

from __future__ import annotations

from dataclasses import dataclass

from cuetrack.movements.positions.vectors import UP, Vector, add, dot, times, turned


@dataclass(frozen=True, slots=True, kw_only=True)
class Frame:
    """Three directions of length 1, square to each other, that a part carries."""

    front: Vector = (1.0, 0.0, 0.0)
    left: Vector = (0.0, 1.0, 0.0)
    up: Vector = UP

    def turned(self, axis: Vector, angle: float) -> Frame:
        """Return the frame turned about an axis of the room."""
        return Frame(
            front=turned(self.front, axis, angle),
            left=turned(self.left, axis, angle),
            up=turned(self.up, axis, angle),
        )

    def outward(self, side: int) -> Vector:
        """Return away from the middle: ``side`` is 1 for left and -1 for right."""
        return times(self.left, side)

    def of(self, local: Vector, side: int) -> Vector:
        """Return (front, outward, up) of one side as a direction of the room."""
        return add(
            times(self.front, local[0]),
            times(self.outward(side), local[1]),
            times(self.up, local[2]),
        )

    def local(self, direction: Vector, side: int) -> Vector:
        """Return a direction of the room as (front, outward, up) of one side."""
        return (
            dot(direction, self.front),
            dot(direction, self.outward(side)),
            dot(direction, self.up),
        )
