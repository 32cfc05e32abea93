"""Movements put together: what the plan says, filled up from the library."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any, Final

from cuetrack.documents.names import movement_key
from cuetrack.documents.problems import shown
from cuetrack.plan.defaults import SHORTEST_WORK_MS
from cuetrack.plan.model import Movement
from cuetrack.plan.parts import NAMED_SIDES
from cuetrack.times import duration

if TYPE_CHECKING:
    from collections.abc import Mapping

    from cuetrack.documents.problems import Problems
    from cuetrack.languages.phrases import Phrases
    from cuetrack.plan.blocks import BlockValue

_ATTRIBUTE: Final = {
    "for": "duration_ms",
    "rest": "rest_ms",
    "sides": "sides",
    "hold": "hold",
    "how": "how",
    "in short": "how_short",
    "form": "form",
    "easier": "easier",
    "harder": "harder",
    "equipment": "equipment",
    "breathing": "breathing",
    "caution": "caution",
    "tempo": "tempo_bpm",
    "repetitions": "repetitions",
    "effort": "effort",
    "importance": "importance",
    "role": "role",
    "regions": "regions",
    "tags": "tags",
}
"""Which attribute of a `Movement` each key of a movement fills."""

_NEVER_FILLED: Final = frozenset({"for", "rest", "importance"})
"""The plan's own: a library's usual time is advice, not a clock."""


@dataclass(frozen=True, slots=True)
class Library:
    """Movements to fill up from, found under any spelling of their names."""

    entries: Mapping[str, Movement]

    @classmethod
    def of(cls, movements: Mapping[str, Movement] | None) -> Library:
        """Return a library of movements by name or by `movement_key`."""
        named = dict(movements or {})
        keyed = {movement_key(name): movement for name, movement in named.items()}
        return cls({**keyed, **named})

    def find(self, name: str) -> Movement | None:
        """Return the movement of that name, if there is one."""
        return self.entries.get(movement_key(name))

    def plain(self, name: str) -> Movement:
        """Return a movement of which the plan says no more than its name."""
        known = self.find(name)
        if known is None:
            return Movement(name=name)
        return replace(known, name=name, duration_ms=None, rest_ms=None)


def easy_movement(words: Phrases, library: Library) -> Movement:
    """Return what a recovery is filled with: feet are kept moving, never stillness."""
    easy = words.easy_movement
    known = replace(library.plain(easy.name), sides=(), hold=False)
    if easy.how is None:
        return known
    return replace(known, how=easy.how, how_short=easy.how_short)


def build_movement(value: BlockValue, library: Library) -> Movement | None:
    """Return the movement that a plan describes, None without a readable name.

    Whatever the plan writes wins; the rest comes from the library. A plan's
    own how-to is never joined by the library's short form of another one.
    """
    name = value.get("movement")
    if name is None:
        return None
    said: dict[str, Any] = {
        attribute: value.said[key]
        for key, attribute in _ATTRIBUTE.items()
        if key in value.said
    }
    known = library.find(name)
    if known is not None:
        if said.get("sides") == NAMED_SIDES["each"] and known.sides:
            # "each" asks for sides; the library knows what they are called.
            said["sides"] = known.sides
        skipped = set(_NEVER_FILLED) | ({"in short"} if value.wrote("how") else set())
        for key, attribute in _ATTRIBUTE.items():
            if key not in skipped and not value.wrote(key):
                said[attribute] = getattr(known, attribute)
    return Movement(name=name, place=value.place, **said)


def check_sides(
    movement: Movement, length_ms: int, value: BlockValue, problems: Problems
) -> None:
    """Tell when a side of a movement is too short for its own countdown."""
    sides = len(movement.sides)
    if sides and length_ms < sides * SHORTEST_WORK_MS:
        what = f"{shown(movement.name)} has {duration(length_ms)} for two sides"
        what += ": each side needs its own countdown."
        remedy = f"Give it at least {duration(sides * SHORTEST_WORK_MS)}"
        remedy += ", or write sides: both."
        problems.add(value.place_of("for"), what, remedy)
