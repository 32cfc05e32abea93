"""How a slot is shared out between the parts of a class, to the second."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from cuetrack.plan.defaults import (
    DEFAULT_CLOSE_MS,
    DEFAULT_WELCOME_MS,
    INTERVALS_OPENING_MS,
    OPENING_MS,
)
from cuetrack.planning.request import LONGEST_SLOT_MS, SHORTEST_SLOT_MS
from cuetrack.review import limits

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from cuetrack.planning.request import ClassRequest

BRIEF_TALK_MS: Final = (60_000, 45_000)
"""A welcome with all of the safety, and a close that promises no minute."""
PART_OPENING_MS: Final = OPENING_MS
OPENINGS_MS: Final = PART_OPENING_MS + INTERVALS_OPENING_MS + PART_OPENING_MS
"""Those of a plan that says nothing of them: warm-up, intervals, cool-down."""
BREAK_MS: Final = 60_000
FEWEST, MOST = 3, 9
MOST_ROUNDS: Final = 5
_USUAL_MOST_MS: Final = (
    limits.WARM_UP_COMFORTABLE_MS,
    limits.COOL_DOWN_COMFORTABLE_MS,
)
_HEART_MOST_MS: Final = (18 * 60_000, 12 * 60_000)
"""More than the 15 and 10 minutes of Thow 2006, so that a slot can be met."""
_STEP_MS: Final = 5_000
_EASY_SHARE: Final = 0.42
"""Common practice: about two fifths of a class is warm-up and cool-down."""
_USUAL_COUNT: Final = 6
_USUAL_ROUNDS: Final = 2.5


@dataclass(frozen=True, slots=True, kw_only=True)
class TimeAllocation:
    """The lengths of a class: how many movements, rounds, and ms of each part."""

    count: int
    rounds: int
    welcome_ms: int
    warm_up_ms: int
    cool_down_ms: int
    close_ms: int


def shapes(
    wishes: ClassRequest, round_ms: Callable[[int], int]
) -> tuple[TimeAllocation, ...]:
    """Return the shapes that end on the slot, the most balanced first.

    ``round_ms`` tells how long a round of some movements takes, its last rest not
    counted. Empty when the slot is too short or too long.
    """
    if not SHORTEST_SLOT_MS <= wishes.slot_ms <= LONGEST_SLOT_MS:
        return ()
    found = [(_unbalance(wishes, s), s) for s in _all(wishes, round_ms)]
    return tuple(shape for _, shape in sorted(found, key=lambda pair: pair[0]))


def _all(
    wishes: ClassRequest, round_ms: Callable[[int], int]
) -> Iterator[TimeAllocation]:
    warm_most_ms, cool_most_ms = _HEART_MOST_MS if wishes.heart else _USUAL_MOST_MS
    for count in range(FEWEST, MOST + 1):
        if round_ms(count) > limits.LONGEST_WITHOUT_BREAK_MS:
            return
        for rounds in range(1, MOST_ROUNDS + 1):
            work_ms = rounds * round_ms(count) + (rounds - 1) * BREAK_MS
            welcome_ms, close_ms = _talk_ms(wishes)
            talk_ms = welcome_ms + close_ms + OPENINGS_MS
            left_ms = wishes.slot_ms - work_ms - talk_ms
            odd_ms = left_ms % _STEP_MS
            easy_ms = left_ms - odd_ms
            least_ms = limits.WARM_UP_LEAST_MS + limits.COOL_DOWN_LEAST_MS
            if not least_ms <= easy_ms <= warm_most_ms + cool_most_ms:
                continue
            part = warm_most_ms / (warm_most_ms + cool_most_ms)
            warm_ms = int(easy_ms * part) // _STEP_MS * _STEP_MS
            warm_ms = min(max(warm_ms, limits.WARM_UP_LEAST_MS), warm_most_ms)
            cool_ms = max(easy_ms - warm_ms, limits.COOL_DOWN_LEAST_MS)
            warm_ms = easy_ms - cool_ms
            yield TimeAllocation(
                count=count,
                rounds=rounds,
                welcome_ms=welcome_ms + odd_ms,
                warm_up_ms=warm_ms,
                cool_down_ms=cool_ms,
                close_ms=close_ms,
            )


def _talk_ms(wishes: ClassRequest) -> tuple[int, int]:
    """Return the time for welcome and close: the usual where the slot has room."""
    if wishes.tight:
        return BRIEF_TALK_MS
    return DEFAULT_WELCOME_MS[wishes.coaching], DEFAULT_CLOSE_MS


def _unbalance(wishes: ClassRequest, shape: TimeAllocation) -> float:
    easy_ms = shape.warm_up_ms + shape.cool_down_ms
    share = easy_ms / wishes.slot_ms
    wanted = _EASY_SHARE
    short_ms = 0
    if wishes.heart:
        wanted = (limits.WARM_UP_HEART_MS + limits.COOL_DOWN_HEART_MS) / wishes.slot_ms
        short_ms = max(limits.WARM_UP_HEART_MS - shape.warm_up_ms, 0)
        short_ms += max(limits.COOL_DOWN_HEART_MS - shape.cool_down_ms, 0)
    return (
        6 * abs(share - wanted)
        + short_ms / 10_000
        + 0.15 * abs(shape.count - _USUAL_COUNT)
        + 0.25 * abs(shape.rounds - _USUAL_ROUNDS)
    )
