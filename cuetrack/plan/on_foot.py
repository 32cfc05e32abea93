"""Movements that leave the seat: who stays seated, and the way down again.

People who may not stand are told so before it starts, and all sit again before
anything else is asked of them: nobody reaches for a band, or taps their toes, on foot.
What a plan or a library says itself stays as it is; ``none`` leaves it out.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any, Final

from cuetrack.movements.strains import strains_of

if TYPE_CHECKING:
    from cuetrack.languages.phrases import Phrases
    from cuetrack.movements.model import Movement

STANDING: Final = "standing"

_PIECES: Final = {
    "caution": "stay seated unless safe",
    "afterwards": "sit down again",
}


def is_on_foot(movement: Movement) -> bool:
    """Return whether a movement leaves the seat."""
    return STANDING in strains_of(movement)


def with_way_down(movement: Movement, phrases: Phrases) -> Movement:
    """Return a movement that says how it is done safely on foot, where nobody does."""
    if not is_on_foot(movement):
        return movement
    keys = _PIECES | (
        {"between_sides": "change legs on foot"} if movement.sides else {}
    )
    unsaid: dict[str, Any] = {
        name: phrases.piece(key)
        for name, key in keys.items()
        if getattr(movement, name) is None and not movement.wrote(name)
    }
    return replace(movement, **unsaid)
