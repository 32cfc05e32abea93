"""A moving figure as key frames, for a screen that draws it by itself.

Between two frames of the same make-up every number goes in a straight line; frames
lie so close that this is as smooth as the movement. What is drawn, and in which
order, is the same as in a `sketch.Sketch`: parts from the farthest to the nearest,
each with its line around and a strip of paper around that.
"""

from __future__ import annotations

from dataclasses import astuple, dataclass, fields
from typing import TYPE_CHECKING, Final

from cuetrack.movements.figure.looks import IN_COLOUR, Palette
from cuetrack.movements.figure.sketch import figure_and_chair, window_of
from cuetrack.movements.positions.motion import Sharing, pose_at

if TYPE_CHECKING:
    from collections.abc import Iterator

    from cuetrack.movements.figure.shapes import BodyPart
    from cuetrack.movements.figure.sketch import Window
    from cuetrack.movements.positions.motion import Motion

STEPS: Final = 5
"""Frames on the way between two positions, which starts and ends slowly."""

ROUND_STEPS: Final = 12
"""Frames once around."""

UNIT: Final = 1000
"""Of these one height of the figure has; whole numbers are small to write."""

ROLES: Final = tuple(field.name for field in fields(Palette))
_NUMBERS: Final = {colour: at for at, colour in enumerate(astuple(IN_COLOUR))}

MakeUp = tuple[tuple[int | None, bool, tuple[tuple[int, int], ...]], ...]
"""Of each part its line's colour, whether a strip goes around, and of each hull its
colour and how many discs it has. Colours are numbers of `ROLES`."""


@dataclass(frozen=True, slots=True, kw_only=True)
class KeyFrame:
    """The figure at a phase from 0 to 1.

    ``numbers`` are the depth of each part, then x, y and radius of each disc, all in
    thousandths of the figure's height. ``make_up`` counts those of the movement.
    """

    phase: float
    make_up: int
    numbers: tuple[int, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class MovingFigure:
    """One cycle of a movement; after the last frame comes the first again."""

    window: Window
    make_ups: tuple[MakeUp, ...]
    frames: tuple[KeyFrame, ...]


def moving_figure(motion: Motion, *, hold: float = 0.0) -> MovingFigure:
    """Return the key frames of a movement whose positions are held that long.

    ``hold`` is that of `motion.pose_at`.
    """
    make_ups: dict[MakeUp, int] = {}
    frames = []
    for phase in phases(motion, hold):
        parts = figure_and_chair(motion, pose_at(motion, phase, hold=hold), IN_COLOUR)
        make_up = make_ups.setdefault(_make_up(parts), len(make_ups))
        numbers = tuple(_numbers(parts))
        frames.append(KeyFrame(phase=phase, make_up=make_up, numbers=numbers))
    return MovingFigure(
        window=window_of(motion), make_ups=tuple(make_ups), frames=tuple(frames)
    )


def phases(motion: Motion, hold: float) -> tuple[float, ...]:
    """Return where in the cycle a frame is needed: often on the way, twice a hold.

    >>> from cuetrack.movements.positions.reading import motions
    >>> len(phases(motions()["easy march"], 0.0))
    20
    """
    turn = tuple(_turn(motion, hold))
    if motion.sharing is not Sharing.BY_TURNS:
        return turn
    return tuple((at + side) / 2 for side in (0, 1) for at in turn)


def _turn(motion: Motion, hold: float) -> Iterator[float]:
    if motion.rounded:
        yield from (step / ROUND_STEPS for step in range(ROUND_STEPS))
        return
    stretches = len(motion.stations)
    moving, held = (1.0 - hold) / stretches, hold / (stretches - 1)
    for number in range(stretches):
        start = number * (moving + held)
        yield from (start + moving * step / STEPS for step in range(STEPS))
        if held and number < stretches - 1:
            yield start + moving


def _make_up(parts: tuple[BodyPart, ...]) -> MakeUp:
    return tuple(
        (
            None if part.edge is None else _NUMBERS[part.edge],
            part.halo,
            tuple((_NUMBERS[hull.fill], len(hull.discs)) for hull in part.hulls),
        )
        for part in parts
    )


def _numbers(parts: tuple[BodyPart, ...]) -> Iterator[int]:
    yield from (round(part.depth * UNIT) for part in parts)
    discs = (disc for part in parts for hull in part.hulls for disc in hull.discs)
    yield from (round(value * UNIT) for disc in discs for value in disc)
