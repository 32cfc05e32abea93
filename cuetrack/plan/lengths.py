"""How long things take, by the rules of the trade, and time shared out fairly."""

from __future__ import annotations

from typing import TYPE_CHECKING

from cuetrack.plan.rounds import rounds_of

if TYPE_CHECKING:
    from cuetrack.plan.parts import Section


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


def section_length_ms(section: Section) -> int:
    """Return the length of a section, its opening included.

    Rounds are parted by the recovery break or, without one, by an ordinary
    rest; nothing follows the last round unless asked for.
    """
    length_ms = section.opening_ms + (section.duration_ms or 0)
    clock, movements = section.intervals, section.movements
    if clock is None or not movements:
        return length_ms + sum(m.duration_ms or 0 for m in movements)
    pause, rounds = clock.between_rounds, rounds_of(clock)
    for one in rounds:
        length_ms += sum(map(one.work_of, movements))
        length_ms += sum(map(one.rest_after, movements[:-1]))
        if pause is None and one is not rounds[-1]:
            length_ms += one.rest_after(movements[-1])
    if pause is None:
        return length_ms
    return length_ms + (len(rounds) - 1 + clock.break_after_last) * pause.duration_ms
