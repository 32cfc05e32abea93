"""What the sides of a movement are called in the language of the class."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Mapping

    from cuetrack.plan.model import Movement, Section


def with_side_names(section: Section, names: Mapping[str, str]) -> Section:
    """Return a section whose sides have the names of a language; own names stay."""
    movements = tuple(_named(movement, names) for movement in section.movements)
    intervals = section.intervals
    if intervals is not None and intervals.between_rounds is not None:
        pause = intervals.between_rounds
        pause = replace(pause, movement=_named(pause.movement, names))
        intervals = replace(intervals, between_rounds=pause)
    return replace(section, movements=movements, intervals=intervals)


def _named(movement: Movement, names: Mapping[str, str]) -> Movement:
    sides = tuple(names.get(side, side) for side in movement.sides)
    return movement if sides == movement.sides else replace(movement, sides=sides)
