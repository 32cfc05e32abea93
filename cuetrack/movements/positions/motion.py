"""A movement as key positions in time: from the start to its end and back.

The way goes from the start through each key position and back to the start, straight
or, ``retraced``, through the same keys. A movement done by turns then does the same
with left and right exchanged; one that is ``rounded`` passes its keys without a stop.
One that is ``rocking`` has no rest at its start: both ways are worth an arrow.
How fast it goes is said elsewhere: a phase from 0 to 1 is one whole cycle.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from enum import StrEnum
from functools import lru_cache
from typing import TYPE_CHECKING, Final

from cuetrack.movements.positions.blending import between
from cuetrack.movements.positions.body import USUAL_CHAIR
from cuetrack.movements.positions.position import Position, mirrored
from cuetrack.movements.positions.skeleton import Skeleton, skeleton_of

if TYPE_CHECKING:
    from cuetrack.movements.positions.body import Chair


class Sharing(StrEnum):
    """How the two sides share the work."""

    BOTH = "both"
    BY_TURNS = "by turns"
    ONE_SIDE = "one side"
    """The right side is shown; the left one has its own stretch of time."""


class Thing(StrEnum):
    """What is held or put somewhere."""

    WEIGHTS = "weights"
    BAND = "band"
    BALL = "ball"
    TOWEL = "towel"
    CUSHION = "cushion"
    BREATH = "breath"
    """Nothing held: the breath out, drawn."""
    SQUEEZE = "squeeze"
    """Nothing held: muscles that tighten, drawn where nothing moves."""


class Line(StrEnum):
    """Where the thing is, and for a band the line along which it pulls."""

    IN_HANDS = "in hands"
    IN_RIGHT_HAND = "in right hand"
    BETWEEN_HANDS = "between hands"
    BETWEEN_KNEES = "between knees"
    AROUND_KNEES = "around knees"
    AT_MOUTH = "at mouth"
    AT_SEAT = "at seat"
    AT_HANDS = "at hands"
    AT_PALMS = "at palms"
    FEET_TO_HANDS = "from feet to hands"
    RIGHT_FOOT_TO_HANDS = "from right foot to hands"
    BEHIND_BACK_TO_HANDS = "from behind back to hands"


@dataclass(frozen=True, slots=True, kw_only=True)
class Held:
    """A thing and its line, or a breath or a squeeze that is drawn."""

    thing: Thing
    line: Line = Line.IN_HANDS


class View(StrEnum):
    """From where a movement is seen best."""

    SIDE = "side"
    QUARTER = "quarter"
    FRONT = "front"
    HIGH = "high"
    BACK = "back"


class Closeness(StrEnum):
    """How much of the figure is shown."""

    WHOLE = "whole"
    UPPER = "upper"
    FEET = "feet"
    HANDS = "hands"


class Seating(StrEnum):
    """How the figure sits on its chair."""

    USUAL = "usual"
    FORWARD = "forward"
    """Away from the back of the chair."""
    SIDEWAYS = "sideways"
    """The back of the chair at its left, the right thigh past the seat's edge."""
    ARMCHAIR = "armchair"


@dataclass(frozen=True, slots=True, kw_only=True)
class Motion:
    """The key positions of one movement, and how they are seen."""

    name: str
    start: Position
    keys: tuple[Position, ...]
    sharing: Sharing = Sharing.BOTH
    held: Held | None = None
    or_held: Held | None = None
    view: View = View.QUARTER
    closeness: Closeness = Closeness.WHOLE
    seating: Seating = Seating.USUAL
    straight_hands: bool = False
    stepping: bool = False
    rounded: bool = False
    retraced: bool = False
    rocking: bool = False

    def __post_init__(self) -> None:
        """Refuse a movement that does not move on."""
        if not self.keys:
            raise ValueError(f"{self.name} has no position after its start.")

    @property
    def stations(self) -> tuple[Position, ...]:
        """The start and every key, and those passed again on the way back."""
        again = self.keys[-2::-1] if self.retraced else ()
        return (self.start, *self.keys, *again)


_IN_HAND: Final = {Thing.WEIGHTS: Line.IN_HANDS, Thing.BALL: Line.IN_RIGHT_HAND}


def holding(motion: Motion, thing: Thing | None) -> Motion:
    """Return a movement with another thing, or with empty hands, as it is drawn.

    What it is not done with leaves it as it is; what lies in a hand goes with any.

    >>> from cuetrack.movements.positions.reading import motions
    >>> holding(motions()["inner thigh squeeze"], Thing.CUSHION).held.line.value
    'between knees'
    """
    ways = {held.thing: held for held in (motion.held, motion.or_held) if held}
    if thing in ways:
        return replace(motion, held=ways[thing])
    if thing in _IN_HAND:
        return replace(motion, held=Held(thing=thing, line=_IN_HAND[thing]))
    if thing is None and ways.keys() <= {Thing.WEIGHTS, Thing.TOWEL, Thing.BAND}:
        return replace(motion, held=None)
    return motion


@lru_cache(maxsize=1024)
def skeletons(motion: Motion, chair: Chair = USUAL_CHAIR) -> tuple[Skeleton, ...]:
    """Return the joints at each station, one side of the movement."""
    return tuple(
        skeleton_of(position, start=motion.start, chair=chair)
        for position in motion.stations
    )


def at_range(motion: Motion, share: float, chair: Chair = USUAL_CHAIR) -> Motion:
    """Return the movement done only so far: 1 is the whole way, 0 none of it."""
    if share == 1.0:
        return motion
    joints = skeletons(motion, chair)
    keys = tuple(
        between(joints[0], key, share, straight_hands=motion.straight_hands)
        for key in joints[1 : len(motion.keys) + 1]
    )
    return replace(motion, keys=keys)


def way(motion: Motion, steps: int, chair: Chair = USUAL_CHAIR) -> tuple[Skeleton, ...]:
    """Return the joints from the start out through every key, in even steps."""
    places = range(len(motion.keys) * steps + 1)
    return tuple(skeleton_along(motion, at / steps, chair=chair) for at in places)


def skeleton_along(
    motion: Motion, place: float, *, chair: Chair = USUAL_CHAIR
) -> Skeleton:
    """Return the joints at ``place``: 0 the start, 1 the first key, and so on.

    After the last key the way leads back to the start.
    """
    joints = skeletons(motion, chair)
    count = len(joints)
    first = math.floor(place) % count
    share = place - math.floor(place)
    if share == 0.0:
        return joints[first]
    if motion.rounded:
        position = _round(motion, joints, first, share)
    else:
        position = between(
            joints[first],
            joints[(first + 1) % count],
            share,
            straight_hands=motion.straight_hands,
            stepping=motion.stepping,
        )
    return skeleton_of(position, start=motion.start, chair=chair)


def _round(
    motion: Motion, joints: tuple[Skeleton, ...], first: int, share: float
) -> Position:
    """Return a position on the smooth closed way through all keys.

    The pyramid of Barry and Goldman (1988) for a Catmull-Rom curve with even knots:
    it needs nothing but ways between two positions, gone beyond their ends.
    """
    count = len(joints)
    four = [joints[(first + offset) % count] for offset in (-1, 0, 1, 2)]

    def on(a: Skeleton, b: Skeleton, part: float) -> Skeleton:
        return skeleton_of(between(a, b, part), start=motion.start, chair=a.chair)

    low = [on(four[i], four[i + 1], share + 1 - i) for i in range(3)]
    middle = [
        on(low[0], low[1], (share + 1) / 2),
        on(low[1], low[2], share / 2),
    ]
    return between(middle[0], middle[1], share)


def pose_at(
    motion: Motion, phase: float, *, hold: float = 0.0, chair: Chair = USUAL_CHAIR
) -> Skeleton:
    """Return the figure at a phase of its cycle.

    Parameters
    ----------
    phase
        0 is the start; whole numbers are whole cycles.
    hold
        Which share of the time each key position is held, 0 to 0.9.

    A movement by turns has its left side in the second half of the cycle.
    """
    within = phase - math.floor(phase)
    if motion.sharing is Sharing.BY_TURNS:
        turn = _eased(motion, (within * 2) % 1.0, hold)
        found = skeleton_along(motion, turn, chair=chair)
        if within < 0.5:
            return found
        start = mirrored(motion.start)
        return skeleton_of(mirrored(found.position), start=start, chair=chair)
    return skeleton_along(motion, _eased(motion, within, hold), chair=chair)


def _eased(motion: Motion, within: float, hold: float) -> float:
    """Return the place on the way: slow near each key, still while it is held."""
    stretches = len(motion.stations)
    if motion.rounded:
        return within * stretches
    moving = (1.0 - hold) / stretches
    held = hold / (stretches - 1)
    place = 0.0
    for number in range(stretches):
        if within < moving:
            share = within / moving
            return place + (1 - math.cos(math.pi * share)) / 2
        within -= moving
        place += 1.0
        if number < stretches - 1:
            if within < held:
                return place
            within -= held
    return 0.0
