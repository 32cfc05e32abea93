"""A picture of the figure as hulls in order, and the window it is seen through."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache
from typing import TYPE_CHECKING, Final

from cuetrack.movements.figure.arrows import arrow_parts, squeeze_parts
from cuetrack.movements.figure.camera import CAMERAS
from cuetrack.movements.figure.figure_parts import figure_parts
from cuetrack.movements.figure.furniture import chair_parts, held_parts
from cuetrack.movements.figure.looks import IN_COLOUR, Palette
from cuetrack.movements.figure.pencil import Pencil
from cuetrack.movements.figure.shapes import BodyPart, Hull, layers
from cuetrack.movements.figure.trails import moving_parts
from cuetrack.movements.positions.motion import (
    Closeness,
    Motion,
    pose_at,
    skeleton_along,
)

if TYPE_CHECKING:
    from cuetrack.movements.positions.skeleton import Skeleton

MARGIN: Final = 0.05
MOST_KEYS: Final = 3
CLOSE_MARGIN: Final = 0.11
_ARROW_STEPS: Final = 10


@dataclass(frozen=True, slots=True, kw_only=True)
class Window:
    """The part of the plane that is shown, in shares of the figure's height."""

    left: float
    low: float
    right: float
    high: float

    @property
    def wide(self) -> float:
        """How wide it is."""
        return self.right - self.left

    @property
    def tall(self) -> float:
        """How tall it is."""
        return self.high - self.low


@dataclass(frozen=True, slots=True, kw_only=True)
class Sketch:
    """One drawing: hulls from the farthest to the nearest, on paper."""

    hulls: tuple[Hull, ...]
    window: Window
    paper: str


def sketch_at(
    motion: Motion, phase: float, *, hold: float = 0.0, palette: Palette = IN_COLOUR
) -> Sketch:
    """Return the figure at a phase of its cycle, as a screen shows it.

    ``phase`` and ``hold`` are those of `motion.pose_at`; `cadence.cadence_of` gives
    them for a time. Every phase has the same window.
    """
    skeleton = pose_at(motion, phase, hold=hold)
    hulls = _hulls(motion, skeleton, palette)
    return Sketch(hulls=hulls, window=window_of(motion), paper=palette.paper)


def panels_of(motion: Motion, *, palette: Palette = IN_COLOUR) -> tuple[Sketch, ...]:
    """Return the start and each key position, an arrow showing the way to it.

    All have one scale; each is only as wide as it has to be. One that goes round
    has its start and the position across from it.
    """
    shown = 0 if motion.rounded else -1
    first = _hulls(motion, skeleton_along(motion, 0.0), palette)
    if motion.rocking:
        back = _way(motion, len(motion.keys), len(motion.keys) + 1.0)
        first += _marks(motion, back, palette)
    drawn = [first]
    for way in _ways(motion):
        figure = _hulls(motion, way[shown], palette)
        drawn.append(figure + _marks(motion, way, palette))
    whole = window_of(motion)
    return tuple(
        Sketch(hulls=hulls, window=_trimmed(hulls, whole, motion), paper=palette.paper)
        for hulls in drawn
    )


def _ways(motion: Motion) -> list[tuple[Skeleton, ...]]:
    """Return the way to each key position, or once around."""
    count = len(motion.keys)
    if motion.rounded:
        across = (count + 1) / 2
        return [_way(motion, across, across + count + 0.4)]
    return [_way(motion, n, n + 1.0) for n in printed_keys(motion)]


def printed_keys(motion: Motion) -> tuple[int, ...]:
    """Return which keys are worth a panel: of many, every other one, none twice.

    >>> from cuetrack.movements.positions.reading import motions
    >>> printed_keys(motions()["sit to stand"])
    (0, 1, 2)
    """
    keys = motion.keys
    step = 1 if len(keys) <= MOST_KEYS else 2
    chosen = range(0, len(keys), step)
    return tuple(n for n in chosen if keys.index(keys[n]) == n)


def _marks(
    motion: Motion, way: tuple[Skeleton, ...], palette: Palette
) -> tuple[Hull, ...]:
    """Return the arrows of one panel."""
    pencil = _pencil(motion, palette)
    looped = motion.rounded
    arrows = arrow_parts(way, pencil.moving, pencil, looped=looped)
    squeezes = squeeze_parts(motion.held, way[-1], pencil)
    return layers(squeezes or arrows, palette.paper)


def _pencil(motion: Motion, palette: Palette) -> Pencil:
    moving = moving_parts(motion)
    return Pencil(camera=CAMERAS[motion.view], palette=palette, moving=moving)


def _trimmed(hulls: tuple[Hull, ...], whole: Window, motion: Motion) -> Window:
    """Return the window of one panel: as high as all, as wide as what is on it."""
    if motion.closeness is not Closeness.WHOLE:
        return whole
    own = _box([p for hull in hulls for p in hull.points()], MARGIN / 2)
    return replace(whole, left=own.left, right=own.right)


def _way(motion: Motion, start: float, end: float) -> tuple[Skeleton, ...]:
    steps = round(_ARROW_STEPS * max(1.0, end - start))
    return tuple(
        skeleton_along(motion, start + (end - start) * i / steps)
        for i in range(steps + 1)
    )


def _hulls(motion: Motion, skeleton: Skeleton, palette: Palette) -> tuple[Hull, ...]:
    return layers(figure_and_chair(motion, skeleton, palette), palette.paper)


def figure_and_chair(
    motion: Motion, skeleton: Skeleton, palette: Palette
) -> tuple[BodyPart, ...]:
    """Return the parts of the figure, its chair and what it holds, in no order."""
    pencil = _pencil(motion, palette)
    return (
        *chair_parts(skeleton.chair, motion.seating, pencil),
        *figure_parts(skeleton, pencil),
        *held_parts(motion.held, skeleton, pencil),
    )


@lru_cache(maxsize=256)
def window_of(motion: Motion) -> Window:
    """Return what has to be seen of a movement over its whole cycle, and its arrows."""
    whole = [_extent(motion, pose_at(motion, i / 8)) for i in range(8)]
    marks = [h for way in _ways(motion) for h in _marks(motion, way, IN_COLOUR)]
    if marks:
        whole.append(_box([p for mark in marks for p in mark.points()], MARGIN / 2))
    return Window(
        left=min(w.left for w in whole),
        low=min(w.low for w in whole),
        right=max(w.right for w in whole),
        high=max(w.high for w in whole),
    )


def _extent(motion: Motion, skeleton: Skeleton) -> Window:
    camera, trunk = CAMERAS[motion.view], skeleton.trunk
    arms, legs = skeleton.arms, skeleton.legs
    match motion.closeness:
        case Closeness.FEET:
            points = [p for g in legs for p in (g.ankle, g.heel, g.toe, g.knee)]
        case Closeness.HANDS:
            points = [skeleton.right_arm.wrist, skeleton.right_arm.tip]
        case Closeness.UPPER:
            points = [p for a in arms for p in (a.elbow, a.tip, a.shoulder)]
            points += [trunk.crown, trunk.waist]
        case _:
            hulls = _hulls(motion, skeleton, IN_COLOUR)
            return _box([p for hull in hulls for p in hull.points()], MARGIN)
    return _box([camera.seen(p) for p in points], CLOSE_MARGIN)


def _box(points: list[tuple[float, float]], more: float) -> Window:
    return Window(
        left=min(x for x, _ in points) - more,
        low=min(y for _, y in points) - more,
        right=max(x for x, _ in points) + more,
        high=max(y for _, y in points) + more,
    )
