"""How a slot is shared out between the parts of a class, to the second."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final, NamedTuple

from cuetrack.plan.defaults import (
    DEFAULT_CLOSE_MS,
    DEFAULT_WELCOME_MS,
    INTERVALS_OPENING_MS,
    OPENING_MS,
)
from cuetrack.plan.words import Coaching
from cuetrack.review import limits

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from cuetrack.planning.request import ClassRequest

BRIEF_TALK_MS: Final = (60_000, 45_000)
"""A welcome with all of the safety, and a close that promises no minute."""
ALONE_WORDS_MS: Final = 10_000
EQUIPMENT_WORDS_MS: Final = 5_000
"""How much longer a welcome is for the telephone, or for equipment beside the chair."""
PART_OPENING_MS: Final = OPENING_MS
OPENINGS_MS: Final = PART_OPENING_MS + INTERVALS_OPENING_MS + PART_OPENING_MS
"""Those of a plan that says nothing of them: warm-up, intervals, cool-down."""
BREAK_MS: Final = 60_000
FEWEST, MOST = 3, 7
MOST_ROUNDS: Final = 4
MOST_CIRCUITS: Final = 3
_USUAL_MOST_MS: Final = (
    limits.WARM_UP_COMFORTABLE_MS,
    limits.COOL_DOWN_COMFORTABLE_MS,
)
_HEART_MOST_MS: Final = (18 * 60_000, 12 * 60_000)
"""More than the 15 and 10 minutes of Thow 2006, so that a slot can be met."""
_STEP_MS: Final = 5_000
_EASY_SHARE: Final = 0.42
"""Common practice: about two fifths of a class is warm-up and cool-down."""
_LEAST_MAIN_SHARE: Final = 0.24
"""Own threshold: less work than a quarter of the slot is no class of intervals."""
_USUAL_COUNT: Final = 5
_ROUNDS_COST: Final = {1: 1.5, 2: 0.1, 3: 0.0, 4: 0.7}
_TWICE_FROM_MS: Final = 20 * 60_000
_LONG_CIRCUIT_MS: Final = 15 * 60_000
"""Own thresholds: two or three rounds of about five; a second circuit from about
fifteen minutes on, so that nothing is done again and again."""


class RoundTimes(NamedTuple):
    """A round without its last rest, and that rest, ms."""

    round_ms: int
    last_rest_ms: int


@dataclass(frozen=True, slots=True, kw_only=True)
class TimeAllocation:
    """The lengths of a class.

    ``counts`` are the movements of each circuit, ``pause_ms`` the break between two
    rounds (0: an ordinary rest); the other times are those of the parts, ms.
    """

    counts: tuple[int, ...]
    rounds: int
    pause_ms: int
    welcome_ms: int
    warm_up_ms: int
    cool_down_ms: int
    close_ms: int


def shapes(
    wishes: ClassRequest,
    times: Callable[[tuple[int, ...], int], tuple[RoundTimes, ...]],
    jitter: Callable[[], float] = float,
) -> tuple[TimeAllocation, ...]:
    """Return the shapes that end on the slot, the most balanced first.

    ``times`` tells the times of circuits of some movements in some rounds, empty
    where there are none; ``jitter`` is added to what each shape lacks.
    """
    found = [
        (_unbalance(wishes, shape, main_ms) + jitter(), number, shape)
        for number, (shape, main_ms) in enumerate(_all(wishes, times))
    ]
    return tuple(shape for _, _, shape in sorted(found, key=lambda each: each[:2]))


def _all(
    wishes: ClassRequest,
    times: Callable[[tuple[int, ...], int], tuple[RoundTimes, ...]],
) -> Iterator[tuple[TimeAllocation, int]]:
    """Yield the shapes that end on the slot, with the time of their main part."""
    for counts, rounds in _circuits():
        pauses = (BREAK_MS, 0) if wishes.short else (BREAK_MS,)
        circuits = times(counts, rounds) if _may_do(wishes, counts, rounds) else ()
        for pause_ms in pauses if circuits and rounds > 1 else pauses[:1]:
            main_ms = _main_ms(circuits, rounds, pause_ms)
            if main_ms is not None:
                shape = _parted(wishes, counts, rounds, pause_ms, main_ms)
                if shape is not None:
                    yield shape, main_ms


def _circuits() -> Iterator[tuple[tuple[int, ...], int]]:
    for circuits in range(1, MOST_CIRCUITS + 1):
        for count in range(FEWEST * circuits, MOST * circuits + 1):
            each, more = divmod(count, circuits)
            counts = tuple(each + (place < more) for place in range(circuits))
            for rounds in range(1, MOST_ROUNDS + 1):
                yield counts, rounds


def _may_do(wishes: ClassRequest, counts: tuple[int, ...], rounds: int) -> bool:
    """Return whether circuits can lie in the slot, by the usual work and rest.

    What comes once only is for slots that are too short for twice.
    """
    if rounds == 1 and wishes.slot_ms >= _TWICE_FROM_MS:
        return False
    clock = wishes.clock
    least_ms = sum(counts) * rounds * (clock.work_ms + clock.rest_ms)
    return least_ms < 0.75 * wishes.slot_ms


def _main_ms(
    circuits: tuple[RoundTimes, ...], rounds: int, pause_ms: int
) -> int | None:
    """Return how long all circuits take with the breaks and openings between them."""
    if not circuits:
        return None
    total_ms = (len(circuits) - 1) * (BREAK_MS + INTERVALS_OPENING_MS)
    for round_ms, last_rest_ms in circuits:
        between_ms = pause_ms or last_rest_ms
        circuit_ms = rounds * round_ms + (rounds - 1) * between_ms
        unbroken_ms = round_ms if pause_ms else circuit_ms
        if unbroken_ms > limits.LONGEST_WITHOUT_BREAK_MS:
            return None
        total_ms += circuit_ms
    return total_ms


def _parted(
    wishes: ClassRequest,
    counts: tuple[int, ...],
    rounds: int,
    pause_ms: int,
    main_ms: int,
) -> TimeAllocation | None:
    """Return the parts around a main part, None where they are too short or long."""
    welcome_ms, close_ms = _talk_ms(wishes)
    left_ms = wishes.slot_ms - main_ms - welcome_ms - close_ms - OPENINGS_MS
    odd_ms = left_ms % _STEP_MS
    easy_ms = left_ms - odd_ms
    warm_least_ms, cool_least_ms = least_easy_ms(wishes)
    warm_most_ms, cool_most_ms = _HEART_MOST_MS if wishes.heart else _USUAL_MOST_MS
    if not warm_least_ms + cool_least_ms <= easy_ms <= warm_most_ms + cool_most_ms:
        return None
    part = warm_most_ms / (warm_most_ms + cool_most_ms)
    warm_ms = int(easy_ms * part) // _STEP_MS * _STEP_MS
    warm_ms = min(max(warm_ms, warm_least_ms), warm_most_ms)
    cool_ms = max(easy_ms - warm_ms, cool_least_ms)
    return TimeAllocation(
        counts=counts,
        rounds=rounds,
        pause_ms=pause_ms,
        welcome_ms=welcome_ms + odd_ms,
        warm_up_ms=easy_ms - cool_ms,
        cool_down_ms=cool_ms,
        close_ms=close_ms,
    )


def least_easy_ms(wishes: ClassRequest) -> tuple[int, int]:
    """Return the shortest warm-up and cool-down, ms: less in short gentle classes."""
    least_ms = (limits.WARM_UP_LEAST_MS, limits.COOL_DOWN_LEAST_MS)
    if wishes.pressed or wishes.slot_ms > limits.SHORT_CLASS_MS:
        return least_ms
    share_ms = round(wishes.slot_ms * limits.EASY_PART_SHARE)
    stepped_ms = -(-share_ms // _STEP_MS) * _STEP_MS
    return min(least_ms[0], stepped_ms), min(least_ms[1], stepped_ms)


def twice_fits(wishes: ClassRequest) -> bool:
    """Return whether the fewest works come twice in a slot."""
    clock, works = wishes.clock, 2 * FEWEST
    main_ms = works * clock.work_ms + (works - 1) * clock.rest_ms
    around_ms = sum(_talk_ms(wishes)) + OPENINGS_MS + sum(least_easy_ms(wishes))
    return main_ms + around_ms <= wishes.slot_ms


def _talk_ms(wishes: ClassRequest) -> tuple[int, int]:
    """Return the time for welcome and close: the usual where the slot has room."""
    more_ms = _more_words_ms(wishes)
    if wishes.short:
        return BRIEF_TALK_MS[0] + more_ms, BRIEF_TALK_MS[1]
    return DEFAULT_WELCOME_MS[wishes.coaching] + more_ms, DEFAULT_CLOSE_MS


def _more_words_ms(wishes: ClassRequest) -> int:
    """Return the time for what a welcome tells somebody alone, and of equipment."""
    if wishes.tight or wishes.coaching is Coaching.CLOCK:
        return 0
    if "home alone" in wishes.facts:
        return ALONE_WORDS_MS
    return EQUIPMENT_WORDS_MS if wishes.equipment else 0


def _unbalance(wishes: ClassRequest, shape: TimeAllocation, main_ms: int) -> float:
    """Return how far a shape is from what is usual, in points of our own."""
    slot_ms = wishes.slot_ms
    wanted, short_ms = _EASY_SHARE, 0
    if wishes.heart:
        wanted = (limits.WARM_UP_HEART_MS + limits.COOL_DOWN_HEART_MS) / slot_ms
        short_ms = max(limits.WARM_UP_HEART_MS - shape.warm_up_ms, 0)
        short_ms += max(limits.COOL_DOWN_HEART_MS - shape.cool_down_ms, 0)
    easy_share = (shape.warm_up_ms + shape.cool_down_ms) / slot_ms
    too_little = max(_LEAST_MAIN_SHARE - main_ms / slot_ms, 0)
    each_ms = main_ms / len(shape.counts)
    return (
        5 * abs(easy_share - wanted)
        + short_ms / 120_000
        + 25 * too_little
        + _ROUNDS_COST[shape.rounds]
        + 0.3 * abs(sum(shape.counts) / len(shape.counts) - _USUAL_COUNT)
        + 0.3 * max(each_ms - _LONG_CIRCUIT_MS, 0) / 60_000
        + 0.5 * (len(shape.counts) - 1)
    )
