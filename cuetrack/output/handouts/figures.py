"""Drawings of the movements of a class, each drawn once."""

from __future__ import annotations

from typing import TYPE_CHECKING

from cuetrack.movements.figure.sketch import panels_of
from cuetrack.movements.figure.svg import svg_of
from cuetrack.movements.things import motion_as_done
from cuetrack.output.handouts.sheet_text import shown

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from cuetrack.movements.model import Movement


def drawings(movements: Iterable[Movement]) -> Mapping[str, tuple[str, ...]]:
    """Return the positions of each movement as SVG, by its name as it is shown.

    What has no drawing has an empty tuple.
    """
    found: dict[str, tuple[str, ...]] = {}
    for movement in movements:
        name = shown(movement.name)
        if name not in found:
            motion = motion_as_done(movement)
            panels = panels_of(motion) if motion else ()
            found[name] = tuple(map(svg_of, panels))
    return found
