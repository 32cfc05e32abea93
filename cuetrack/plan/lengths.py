"""How long things take, by the rules of the trade, and time shared out fairly."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from cuetrack.plan.model import Intervals, Movement, Section


def share_out(total_ms: int, count: int) -> tuple[int, ...]:
    """Return ``count`` whole-second parts of a time; the first ones get the rest.

    What is less than a second goes to the very first.

    >>> share_out(100_000, 3)
    (34000, 33000, 33000)
    """
    seconds, odd_ms = divmod(total_ms, 1000)
    each, left = divmod(seconds, count)
    parts = [1000 * (each + (position < left)) for position in range(count)]
    parts[0] += odd_ms
    return tuple(parts)


def _round_ms(movements: tuple[Movement, ...], intervals: Intervals) -> tuple[int, int]:
    """Return a round up to the end of its last work, and the rest after that."""
    works = [
        intervals.work_ms if m.duration_ms is None else m.duration_ms for m in movements
    ]
    rests = [intervals.rest_ms if m.rest_ms is None else m.rest_ms for m in movements]
    return sum(works) + sum(rests[:-1]), rests[-1]


def section_length_ms(section: Section) -> int:
    """Return the length of a section, its opening included.

    Rounds are parted by the recovery break or, without one, by an ordinary
    rest; nothing follows the last round unless asked for.
    """
    length_ms = section.opening_ms + (section.duration_ms or 0)
    clock = section.intervals
    if clock is None or not section.movements:
        return length_ms + sum(m.duration_ms or 0 for m in section.movements)
    round_ms, last_rest_ms = _round_ms(section.movements, clock)
    length_ms += clock.rounds * round_ms
    pause = clock.between_rounds
    if pause is None:
        return length_ms + (clock.rounds - 1) * last_rest_ms
    return length_ms + (clock.rounds - 1 + clock.break_after_last) * pause.duration_ms
