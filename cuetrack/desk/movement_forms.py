"""What the forms of a movement change: its words, its time, its place."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any, Final

from cuetrack.desk.fields import (
    lines_in,
    number_in,
    number_or_none,
    section_in,
    time_or_usual,
    with_section,
    word_in,
)
from cuetrack.errors import UsageError
from cuetrack.movements.library import find, library_entries
from cuetrack.movements.sides import NAMED_SIDES
from cuetrack.plan.lengths import share_out
from cuetrack.plan.model import Movement

if TYPE_CHECKING:
    from collections.abc import Sequence

    from cuetrack.desk.fields import Fields
    from cuetrack.plan.model import Plan, Section

MOVEMENT_TEXTS: Final = (
    "how",
    "how_short",
    "easier",
    "harder",
    "caution",
    "equipment",
    "breathing",
    "between_sides",
    "afterwards",
)
MOVEMENT_NUMBERS: Final = ("tempo_bpm", "repetitions", "effort", "importance")
HELD: Final = "held"
SHORTEST_SHARE_MS: Final = 30_000
"""Less than this no movement has, where all share the time of a section."""


def movement_fields(plan: Plan, fields: Fields) -> Plan:
    """Set the words and the time of one movement."""
    section = section_in(plan, fields)
    index = number_in(fields, "movement")
    movement = section.movements[index]
    for name in MOVEMENT_TEXTS:
        if name in fields:
            movement = _with_value(movement, name, word_in(fields, name) or None)
    for name in MOVEMENT_NUMBERS:
        if name in fields:
            movement = _with_value(movement, name, number_or_none(fields, name))
    if "form" in fields:
        movement = replace(movement, form=lines_in(fields, "form"))
    movement = _timed(movement, fields)
    if fields.get("sides") in NAMED_SIDES:
        movement = replace(movement, sides=NAMED_SIDES[word_in(fields, "sides")])
    if "hold" in fields:
        held = word_in(fields, "hold") == HELD
        movement = replace(movement, hold_ms=0 if held else None)
    return _with_movement(plan, fields, section, index, movement)


def _timed(movement: Movement, fields: Fields) -> Movement:
    """Return a movement with a time and a rest of its own, or the usual ones."""
    if "for" in fields:
        movement = replace(movement, duration_ms=time_or_usual(fields, "for"))
    if "rest" in fields:
        movement = replace(movement, rest_ms=time_or_usual(fields, "rest"))
    return movement


def _with_value(movement: Movement, name: str, value: str | int | None) -> Movement:
    changes: dict[str, Any] = {name: value}
    return replace(movement, **changes)


def _with_movement(
    plan: Plan, fields: Fields, section: Section, index: int, movement: Movement
) -> Plan:
    movements = list(section.movements)
    movements[index] = movement
    return with_section(plan, fields, replace(section, movements=tuple(movements)))


def named_movement(plan: Plan, name: str) -> Movement:
    """Return a movement of the library, or one in the leader's own words."""
    if not name:
        raise UsageError("The movement has no name yet.", "Write what it is called.")
    entry = find(name, library_entries(plan.language))
    return Movement(name=name) if entry is None else entry.movement


def swap(plan: Plan, fields: Fields) -> Plan:
    """Do another movement in the place of one."""
    section = section_in(plan, fields)
    index = number_in(fields, "movement")
    old = section.movements[index]
    new = named_movement(plan, word_in(fields, "name"))
    new = replace(new, duration_ms=old.duration_ms, rest_ms=old.rest_ms)
    return _with_movement(plan, fields, section, index, new)


def add(plan: Plan, fields: Fields) -> Plan:
    """Add a movement, after the one named or at the end."""
    section = section_in(plan, fields)
    movements = list(section.movements)
    after = fields.get("after")
    at = len(movements) if after in {None, ""} else int(str(after)) + 1
    movements.insert(at, named_movement(plan, word_in(fields, "name")))
    if section.intervals is None:
        times = _times_with_one_more(section, at)
        movements = [
            replace(one, duration_ms=each_ms)
            for one, each_ms in zip(movements, times, strict=True)
        ]
    return with_section(plan, fields, replace(section, movements=tuple(movements)))


def _times_with_one_more(section: Section, at: int) -> Sequence[int]:
    """Return the times of the movements of a section, and of a new one among them.

    It lasts as long as they do; where the plan says nothing of their times, all share
    the time that the section has.
    """
    times = [one.duration_ms or 0 for one in section.movements]
    unsaid = not any(one.says_time for one in section.movements)
    shared = share_out(sum(times), len(times) + 1)
    if unsaid and not section.wrote("stated_ms") and shared[-1] >= SHORTEST_SHARE_MS:
        return shared
    return [*times[:at], sorted(times)[len(times) // 2], *times[at:]]


def remove(plan: Plan, fields: Fields) -> Plan:
    """Take a movement out; the last one stays."""
    section = section_in(plan, fields)
    movements = list(section.movements)
    if len(movements) == 1:
        raise UsageError(
            "A part needs a movement.", "Swap this one, or take the whole part out."
        )
    movements.pop(number_in(fields, "movement"))
    return with_section(plan, fields, replace(section, movements=tuple(movements)))


def move(plan: Plan, fields: Fields) -> Plan:
    """Move a movement to another place of its section."""
    section = section_in(plan, fields)
    movements = list(section.movements)
    movement = movements.pop(number_in(fields, "movement"))
    to = min(max(number_in(fields, "to"), 0), len(movements))
    movements.insert(to, movement)
    return with_section(plan, fields, replace(section, movements=tuple(movements)))
