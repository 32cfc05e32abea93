"""Which figure shows a segment: its movement, its pace, and the side it works on."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from cuetrack.movements.positions.cadence import cadence_of
from cuetrack.movements.positions.motion import Sharing
from cuetrack.movements.strains import motion_like

if TYPE_CHECKING:
    from cuetrack.cues.model import Segment, Timeline
    from cuetrack.movements.model import Movement
    from cuetrack.movements.positions.cadence import Cadence
    from cuetrack.movements.positions.motion import Motion


@dataclass(frozen=True, slots=True, kw_only=True)
class SegmentFigure:
    """What is drawn while a segment lasts; ``mirrored`` for the left side."""

    motion: Motion
    cadence: Cadence
    mirrored: bool = False


def figures_of(timeline: Timeline) -> dict[str, SegmentFigure]:
    """Return the figure of each segment by its id, where one is known."""
    found = {segment.id: _figure(segment) for segment in timeline.segments}
    return {id_: figure for id_, figure in found.items() if figure is not None}


def _figure(segment: Segment) -> SegmentFigure | None:
    movement = segment.movement
    motion = motion_like(movement) if movement else None
    if movement is None or motion is None:
        return None
    return figure_of(
        motion, movement, mirrored=_on_the_left(movement.sides, segment.side)
    )


def figure_of(
    motion: Motion, movement: Movement, *, mirrored: bool = False
) -> SegmentFigure:
    """Return the figure of a movement at its own pace."""
    cadence = cadence_of(
        motion,
        tempo_bpm=movement.tempo_bpm,
        repetitions=movement.repetitions,
        hold_ms=movement.hold_ms,
    )
    one_side = motion.sharing is Sharing.ONE_SIDE
    return SegmentFigure(motion=motion, cadence=cadence, mirrored=mirrored and one_side)


def _on_the_left(sides: tuple[str, ...], side: str | None) -> bool:
    """Return whether it is the left side: the second, unless that one is first.

    >>> _on_the_left(("right leg", "left leg"), "left leg")
    True
    >>> _on_the_left(("left", "right"), "right")
    False
    """
    if side not in sides[:2]:
        return False
    left_first = "left" in sides[0].casefold().split()
    return (sides.index(side) == 1) != left_first
