"""Movements looked up by name, and what a plan leaves unsaid filled up from them."""

from __future__ import annotations

from dataclasses import dataclass, fields, replace
from typing import TYPE_CHECKING, Any, Final

from cuetrack.documents.names import movement_key
from cuetrack.movements.model import Movement
from cuetrack.movements.sides import NAMED_SIDES

if TYPE_CHECKING:
    from collections.abc import Mapping

    from cuetrack.languages.phrases import EasyMovement

_NEVER_FILLED: Final = frozenset(
    {"name", "place", "said", "duration_ms", "rest_ms", "importance", "read"}
)
"""The plan's own: a library's usual time is advice, not a clock."""

EMPTY_HANDS_LESS: Final = 2
"""How much less effort a lift is without its weight, of ten; our own estimate."""
_OF_A_WEIGHT: Final = frozenset({"loaded", "grip"})


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
        return self.filled(Movement(name=name))

    def filled(self, said: Movement) -> Movement:
        """Return a movement with what was not said of it taken from here.

        A plan's own how-to is never joined by the library's short form of
        another one, and a hold of a stated length is the plan's to state.
        """
        known = self.find(said.name)
        if known is None:
            return said
        new: dict[str, Any] = {
            each.name: getattr(known, each.name)
            for each in fields(Movement)
            if each.name not in _NEVER_FILLED and not said.wrote(each.name)
        }
        if said.wrote("how"):
            new.pop("how_short", None)
        if said.sides == NAMED_SIDES["each"] and known.sides:
            # "each" asks for sides; the library knows what they are called.
            new["sides"] = known.sides
        if said.wrote("equipment") and said.equipment is None:
            new |= _with_empty_hands(known, new)
        return replace(said, **new)


def _with_empty_hands(known: Movement, new: Mapping[str, Any]) -> dict[str, Any]:
    """Return what is new of a movement whose usual weight or band is left away."""
    less: dict[str, Any] = {}
    if known.set_up:
        less |= dict.fromkeys(("set_up", "between_sides", "afterwards"))
    if "loaded" in known.tags:
        less["tags"] = tuple(t for t in known.tags if t not in _OF_A_WEIGHT)
        if known.effort is not None:
            less["effort"] = max(known.effort - EMPTY_HANDS_LESS, 1)
    return {name: value for name, value in less.items() if name in new}


def empty_handed(known: Movement) -> Movement:
    """Return a movement without its usual weight or band, as a plan then has it."""
    everything = {each.name: None for each in fields(Movement)}
    return replace(known, equipment=None, **_with_empty_hands(known, everything))


def easy_movement(words: EasyMovement, library: Library) -> Movement:
    """Return what a recovery is filled with: feet are kept moving, never stillness."""
    known = replace(library.plain(words.name), sides=(), hold_ms=None)
    if words.how is None:
        return known
    return replace(known, how=words.how, how_short=words.how_short)
