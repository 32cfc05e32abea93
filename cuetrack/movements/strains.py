"""What a movement asks of a body, as the short words that cautions are written in.

Where a movement has key positions, every word of `DERIVED` comes from them, with how
much of its range may be done before it holds. Where it has none yet, the tags of the
library stand in. Words that no position shows, such as grip or speed, are always
those of the library. What is read in a leader's own words comes on top.
"""

from __future__ import annotations

from dataclasses import replace
from enum import IntEnum
from functools import cache
from types import MappingProxyType
from typing import TYPE_CHECKING, Final, Protocol

from cuetrack.documents.names import movement_key
from cuetrack.movements.joining import names_of_facts
from cuetrack.movements.positions.demands import MIDDLE, SMALL, reach_of
from cuetrack.movements.positions.motion import Seating, at_range
from cuetrack.movements.positions.reading import motions

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from cuetrack.movements.body_reading import BodySaid
    from cuetrack.movements.positions.demands import Reach
    from cuetrack.movements.positions.motion import Motion


class Described(Protocol):
    """A movement as a plan or the library has it."""

    @property
    def name(self) -> str:
        """What it is called."""

    @property
    def tags(self) -> tuple[str, ...]:
        """What it asks, in words of the vocabulary."""

    @property
    def hold(self) -> bool:
        """Whether it is held."""

    @property
    def equipment(self) -> str | None:
        """What it is done with."""

    @property
    def read(self) -> BodySaid:
        """What its own words ask."""


class Extent(IntEnum):
    """How much of its range a movement may have before something holds."""

    NOTHING = 0
    """It holds however little is done."""
    SMALL = 1
    """A third of the range is free of it."""
    MIDDLE = 2
    """Two thirds are."""


_UPRIGHT_DEG: Final = 15.0
_KNEE_RISE: Final = 0.015
_LONG_LEVER: Final = 0.33
_RAISED_DEG: Final = 60.0
"""Own thresholds. A knee higher than its hip by 2.5 cm of 165 is seen by an eye;
heels that lift raise it by less."""

DERIVED: Final[Mapping[str, Callable[[Reach], bool]]] = MappingProxyType(
    {
        "overhead": lambda r: r.overhead,
        "above_shoulder": lambda r: r.above_shoulder,
        "spinal_flexion": lambda r: r.spine_bend > 1 / 3,
        "flexion_end_range": lambda r: r.spine_bend > 2 / 3,
        "rotation": lambda r: r.spine_turn > 1 / 3,
        "rotation_end_range": lambda r: r.spine_turn > 0.8,
        "combined_bend_twist": lambda r: r.spine_bend > 0.08 and r.spine_turn > 0.2,
        "side_bend": lambda r: r.spine_side > 0.4,
        "lean_forward": lambda r: r.lean_forward_deg > _UPRIGHT_DEG,
        "lean_back": lambda r: r.lean_back_deg > 10,
        "hip_flexion_gt90": lambda r: r.knee_above_hip > _KNEE_RISE,
        "crosses_midline_leg": lambda r: r.crosses_middle,
        "hip_int_rotation": lambda r: r.hip_turned_in_deg > 10,
        "head_turn": lambda r: r.neck_turn > 0.4,
        "neck_far": lambda r: (
            max(r.neck_bend, r.neck_side, r.neck_turn) > 0.6 or r.neck_arch > 0.3
        ),
        "head_below_heart": lambda r: r.head_below_heart > 0,
        "standing": lambda r: not r.seated and r.off_seat > 0.05,
        "both_feet_up": lambda r: r.feet_on_floor == 0,
    }
)
"""Words that positions tell, by the least that counts: shares of normal range as in
`positions.ranges`, "near the end" above two thirds for a bend, four fifths for a turn
(own thresholds; the guidelines give no angle)."""

_WITHOUT_RANGE: Final = frozenset(
    {
        "overhead",
        "flexion_end_range",
        "rotation_end_range",
        "combined_bend_twist",
        "crosses_midline_leg",
        "hip_int_rotation",
        "head_below_heart",
        "standing",
        "both_feet_up",
        "hip_extension",
        "seat_edge",
    }
)
"""Typed words that a smaller range does not take away, as far as a tag can tell."""

_SEATS: Final = {
    Seating.FORWARD: "seat_forward",
    Seating.SIDEWAYS: "seat_edge",
    Seating.ARMCHAIR: "chair_arms",
}


def tag_form(tag: str) -> str:
    """Return a tag as the vocabulary spells it.

    >>> tag_form("Above shoulder")
    'above_shoulder'
    """
    return tag.strip().casefold().replace(" ", "_").replace("-", "_")


def motion_of(name: str) -> Motion | None:
    """Return the key positions of a movement, None where it has none.

    Any of its names will do, in any language.

    >>> motion_of("Hamstring stretches").name
    'thigh stretch'
    """
    return motions().get(names_of_facts().get(movement_key(name), name))


def motion_like(movement: Described) -> Motion | None:
    """Return the key positions of a movement or of the one that it is like."""
    return motion_of(movement.name) or motion_of(movement.read.like or "")


def is_known(movement: Described) -> bool:
    """Return whether anything tells what a movement asks of a body."""
    told = bool(movement.tags) or movement.read.understood
    return told or motion_like(movement) is not None


def strains_of(movement: Described) -> Mapping[str, Extent]:
    """Return what a movement asks, each word with what is free of it.

    >>> from cuetrack.movements.library import find
    >>> strains = strains_of(find("knee lift").movement)
    >>> strains["hip_flexion_gt90"].name
    'SMALL'
    """
    typed = {tag_form(tag) for tag in movement.tags}
    if movement.equipment is None:
        typed -= {"loaded"}
    typed |= movement.read.asked
    no_less = _WITHOUT_RANGE | movement.read.whole
    told = {tag: Extent.NOTHING if tag in no_less else Extent.SMALL for tag in typed}
    motion = motion_like(movement)
    shown = _shown(motion, held=movement.hold) if motion else {}
    found = {**told, **shown}
    return MappingProxyType({**found, **_together(found, typed, hold=movement.hold)})


@cache
def _shown(motion: Motion, *, held: bool) -> dict[str, Extent]:
    """Return the words that positions tell, each with what is free of it."""
    small, middle, whole = (_reach(motion, s, held=held) for s in (SMALL, MIDDLE, 1.0))
    found: dict[str, Extent] = {}
    for word, holds in DERIVED.items():
        if holds(small):
            found[word] = Extent.NOTHING
        elif holds(middle):
            found[word] = Extent.SMALL
        elif holds(whole):
            found[word] = Extent.MIDDLE
    if whole.lever_shoulder > _LONG_LEVER and whole.arm_lift_deg > _RAISED_DEG:
        found["long_reach"] = Extent.SMALL
    if whole.spine_bend > _SLIGHT:
        found["slight_bend"] = Extent.NOTHING
    if whole.spine_turn > _SLIGHT:
        found["slight_turn"] = Extent.NOTHING
    if motion.seating in _SEATS:
        found[_SEATS[motion.seating]] = Extent.NOTHING
    return found


_SLIGHT: Final = 0.12


def _reach(motion: Motion, share: float, *, held: bool) -> Reach:
    """Return what is asked on the way, or of a hold what is asked at its end."""
    done = at_range(motion, share)
    if held:
        done = replace(done, start=done.keys[-1], keys=done.keys[-1:])
    return reach_of(done, 1.0)


def _together(
    found: Mapping[str, Extent], typed: set[str], *, hold: bool
) -> dict[str, Extent]:
    """Return what several words amount to: speed, load and holding on the way."""
    both: dict[str, Extent] = {}
    bent = found.keys() & {"spinal_flexion", "slight_bend"}
    turned = found.keys() & {"rotation", "rotation_end_range"}
    quick, loaded = "rapid" in typed, "loaded" in typed
    if bent and (quick or loaded or hold):
        both["stressed_bend"] = Extent.NOTHING
    if turned and (quick or loaded):
        both["stressed_turn"] = Extent.NOTHING
    if "head_turn" in found and quick:
        both["quick_head"] = Extent.NOTHING
    if "knee_load" in typed and quick:
        both["quick_knee"] = Extent.NOTHING
    if "arms_only" in typed and quick:
        both["lively_arms"] = Extent.NOTHING
    if loaded and "long_reach" in found:
        both["loaded_reach"] = Extent.NOTHING
    return both
