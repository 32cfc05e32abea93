"""What a movement is done with, as it is drawn."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from cuetrack.languages.group_words import words_of
from cuetrack.languages.vocabulary import vocabulary
from cuetrack.movements.positions.motion import Thing, holding
from cuetrack.movements.strains import motion_of

if TYPE_CHECKING:
    from cuetrack.movements.positions.motion import Motion
    from cuetrack.movements.strains import Described

_THINGS: Final = {
    "light hand weights": Thing.WEIGHTS,
    "an exercise band": Thing.BAND,
    "a soft ball": Thing.BALL,
    "a towel": Thing.TOWEL,
    "a cushion": Thing.CUSHION,
}


def thing_named(equipment: str | None, language: str = "en") -> Thing | None:
    """Return the thing that a plan's words for it mean, None for none or another.

    >>> thing_named("two small bottles").value
    'weights'
    """
    said = set(words_of(equipment or ""))
    for name, others in vocabulary(language).equipment.items():
        known = (name, *others)
        if any(said.issuperset(words_of(each)) for each in known):
            return _THINGS.get(name)
    return None


def motion_as_done(movement: Described, language: str = "en") -> Motion | None:
    """Return the key positions of a movement with what it is done with."""
    motion = motion_of(movement.name)
    if motion is None:
        return None
    return holding(motion, thing_named(movement.equipment, language))
