"""Movements of a class that nobody is told how to do."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from cuetrack.documents.names import movement_key
from cuetrack.documents.problems import shown
from cuetrack.movements.library import library_entries, near

if TYPE_CHECKING:
    from collections.abc import Iterable

    from cuetrack.documents.keys import Written
    from cuetrack.documents.places import Place
    from cuetrack.movements.model import Movement


@dataclass(frozen=True, slots=True, kw_only=True)
class UnknownMovement:
    """A movement of a plan that has no words of its own and none here."""

    name: str
    place: Place
    near: str | None

    @property
    def what(self) -> str:
        """What was found."""
        return (
            f"{shown(self.name)} has no words in the plan or in the library, so the "
            "voice says no more than its name."
        )

    @property
    def remedy(self) -> str:
        """What to do about it."""
        if self.near is not None:
            return f'Did you mean "{self.near}"?'
        return 'Say how it is done with "how".'

    def __str__(self) -> str:
        """Return what was found and what to do, as one line."""
        return f"{self.what} {self.remedy}"


def unknown_movements(
    movements: Iterable[tuple[Movement, Written]], language: str
) -> tuple[UnknownMovement, ...]:
    """Return the movements that nobody is told how to do, each once.

    With each stands what it belongs to, for the place of one that has none.
    """
    found: dict[str, UnknownMovement] = {}
    for movement, whole in movements:
        name = movement_key(movement.name)
        if movement.how is None and name not in found:
            found[name] = UnknownMovement(
                name=movement.name,
                place=movement.place if movement.place.line else whole.place,
                near=near(movement.name, library_entries(language)),
            )
    return tuple(found.values())
