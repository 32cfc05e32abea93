"""Drawings of the movements of a class, each drawn once."""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING, Final

from cuetrack.movements.figure.sketch import panels_of
from cuetrack.movements.figure.svg import svg_of
from cuetrack.movements.things import motion_as_done
from cuetrack.output.handouts.sheet_text import shown

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from cuetrack.movements.model import Movement
    from cuetrack.movements.positions.motion import Motion

MOST_KEPT: Final = 128


def drawings(movements: Iterable[Movement]) -> Mapping[str, tuple[str, ...]]:
    """Return the positions of each movement as SVG, by its name as it is shown.

    What has no drawing has an empty tuple.
    """
    found: dict[str, tuple[str, ...]] = {}
    for movement in movements:
        name = shown(movement.name)
        if name not in found:
            motion = motion_as_done(movement)
            found[name] = _drawn(motion) if motion else ()
    return found


@lru_cache(maxsize=MOST_KEPT)
def _drawn(motion: Motion) -> tuple[str, ...]:
    """Return the panels of a motion; sheets of a class share most of theirs."""
    return tuple(map(svg_of, panels_of(motion)))
