"""The rounds of an intervals section, each as it is held."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from cuetrack.movements.model import Movement
    from cuetrack.plan.parts import Intervals
    from cuetrack.plan.words import Coaching

EMPTY_HANDS: Final = "none"


@dataclass(frozen=True, slots=True, kw_only=True)
class Round:
    """One round of an intervals section as it is held.

    ``coaching`` is None where the round is coached as the class is, ``equipment``
    where the movements keep what they say.
    """

    number: int
    work_ms: int
    rest_ms: int
    coaching: Coaching | None
    equipment: str | None

    def work_of(self, movement: Movement) -> int:
        """Return how long a movement is done in it, ms; its own time counts."""
        own_ms = movement.duration_ms
        return self.work_ms if own_ms is None else own_ms

    def rest_after(self, movement: Movement) -> int:
        """Return the rest after a movement, ms; its own rest counts."""
        return self.rest_ms if movement.rest_ms is None else movement.rest_ms

    def done_with(self, movement: Movement) -> Movement:
        """Return a movement with the equipment of the round."""
        if self.equipment is None:
            return movement
        thing = self.equipment
        empty = thing.casefold() == EMPTY_HANDS
        return replace(movement, equipment=None if empty else thing)


def rounds_of(clock: Intervals) -> tuple[Round, ...]:
    """Return the rounds of a section; of two changes of one thing the later counts."""
    rounds = []
    for number in range(1, clock.rounds + 1):
        one = Round(
            number=number,
            work_ms=clock.work_ms,
            rest_ms=clock.rest_ms,
            coaching=None,
            equipment=None,
        )
        for change in clock.in_rounds:
            if change.rounds.covers(number, clock.rounds):
                one = replace(
                    one,
                    work_ms=change.work_ms or one.work_ms,
                    rest_ms=change.rest_ms or one.rest_ms,
                    coaching=change.coaching or one.coaching,
                    equipment=change.equipment or one.equipment,
                )
        rounds.append(one)
    return tuple(rounds)
