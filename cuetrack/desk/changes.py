"""What a form of the page changes in a plan.

Each change has a name and fields as they were typed. It gives the plan as wanted; the
file is then edited so that every other character of the leader's stays.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any, Final

from cuetrack.documents.durations import parse_duration
from cuetrack.errors import UsageError
from cuetrack.movements.group_reading import read_group
from cuetrack.movements.library import find, library_entries
from cuetrack.plan.model import (
    Acknowledgement,
    Coaching,
    FreeCue,
    Movement,
    Music,
    MusicStyle,
    Options,
    Pace,
    RecoveryBreak,
)
from cuetrack.plan.moments import parse_moment

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from cuetrack.plan.model import Intervals, Plan, Section

    Fields = Mapping[str, Any]

MOVEMENT_TEXTS: Final = ("how", "easier", "harder", "caution", "equipment")


def changed(plan: Plan, name: str, fields: Fields) -> Plan:
    """Return a plan as a form wants it.

    Raises UsageError when there is no such change, or a field makes no sense.
    """
    change = CHANGES.get(name)
    if change is None:
        raise UsageError(f'There is no change "{name}".')
    try:
        return change(plan, fields)
    except (KeyError, IndexError, TypeError, ValueError) as error:
        raise UsageError(
            "The class is no longer as this form saw it.", "Look again, and repeat it."
        ) from error


def _time(fields: Fields, name: str) -> int:
    text = str(fields[name]).strip()
    try:
        return parse_duration(text)
    except ValueError as error:
        raise UsageError(
            f'"{text}" {error}.', 'Write a time such as "40 s".'
        ) from error


def _number(fields: Fields, name: str) -> int:
    try:
        return int(str(fields[name]).strip())
    except ValueError as error:
        raise UsageError(f'"{fields[name]}" is no whole number.') from error


def _word(fields: Fields, name: str) -> str:
    return " ".join(str(fields[name]).split())


def _lines(fields: Fields, name: str) -> tuple[str, ...]:
    lines = (" ".join(line.split()) for line in str(fields[name]).splitlines())
    return tuple(filter(None, lines))


def facts_in(fields: Fields, name: str) -> tuple[str, ...]:
    """Return facts of a group written in everyday words, a line each."""
    said = read_group(", ".join(_lines(fields, name)))
    if said.unknown:
        unknown = ", ".join(said.unknown)
        raise UsageError(f'"{unknown}" is not understood.', "Write it in other words.")
    return tuple(map(str, said.facts))


def _with_section(plan: Plan, fields: Fields, section: Section) -> Plan:
    index = _number(fields, "section")
    sections = list(plan.sections)
    sections[index] = section
    return replace(plan, sections=tuple(sections))


def _section(plan: Plan, fields: Fields) -> Section:
    index = _number(fields, "section")
    if index < 0:
        raise IndexError(index)
    return plan.sections[index]


def _class(plan: Plan, fields: Fields) -> Plan:
    """Set title, voice, pace, how much is said, what to bring."""
    if "title" in fields:
        plan = replace(plan, title=_word(fields, "title"))
    if "voice" in fields:
        plan = replace(plan, voice=_word(fields, "voice") or None)
    if "pace" in fields:
        plan = replace(plan, pace=Pace(fields["pace"]))
    if "options" in fields:
        plan = replace(plan, options=Options(fields["options"]))
    if "coaching" in fields:
        plan = replace(plan, coaching=Coaching(fields["coaching"]))
    if "bring" in fields:
        plan = replace(plan, bring=_lines(fields, "bring"))
    return plan


def _music(plan: Plan, fields: Fields) -> Plan:
    """Put music of our own under the whole class, or none."""
    style = _word(fields, "own")
    if not style:
        return replace(plan, music=None)
    return replace(plan, music=replace(plan.music or Music(), own=MusicStyle(style)))


def _section_fields(plan: Plan, fields: Fields) -> Plan:
    """Set title and clock of a section, and the words of a welcome or close."""
    section = _section(plan, fields)
    if "title" in fields:
        section = replace(section, title=_word(fields, "title"))
    if "says" in fields:
        section = replace(section, says=_lines(fields, "says"))
    if "for" in fields and section.duration_ms is not None:
        section = replace(section, duration_ms=_time(fields, "for"))
    if section.intervals is not None:
        section = replace(section, intervals=_clock(section.intervals, fields))
    return _with_section(plan, fields, section)


def _clock(clock: Intervals, fields: Fields) -> Intervals:
    if "work" in fields:
        clock = replace(clock, work_ms=_time(fields, "work"))
    if "rest" in fields:
        clock = replace(clock, rest_ms=_time(fields, "rest"))
    if "rounds" in fields:
        clock = replace(clock, rounds=_number(fields, "rounds"))
    if "break" in fields:
        pause = clock.between_rounds or RecoveryBreak()
        pause = replace(pause, duration_ms=_time(fields, "break"))
        clock = replace(clock, between_rounds=pause)
    return clock


def _movement_fields(plan: Plan, fields: Fields) -> Plan:
    """Set the words and the time of one movement."""
    section = _section(plan, fields)
    index = _number(fields, "movement")
    movement = section.movements[index]
    for name in MOVEMENT_TEXTS:
        if name in fields:
            movement = _reworded(movement, name, _word(fields, name) or None)
    if "form" in fields:
        movement = replace(movement, form=_lines(fields, "form"))
    if fields.get("for"):
        movement = replace(movement, duration_ms=_time(fields, "for"))
    return _with_movement(plan, fields, section, index, movement)


def _reworded(movement: Movement, name: str, text: str | None) -> Movement:
    changes: dict[str, Any] = {name: text}
    return replace(movement, **changes)


def _with_movement(
    plan: Plan, fields: Fields, section: Section, index: int, movement: Movement
) -> Plan:
    movements = list(section.movements)
    movements[index] = movement
    return _with_section(plan, fields, replace(section, movements=tuple(movements)))


def _taken_from_library(plan: Plan, name: str) -> Movement:
    entry = find(name, library_entries(plan.language))
    return Movement(name=name) if entry is None else entry.movement


def _swap(plan: Plan, fields: Fields) -> Plan:
    """Do another movement in the place of one."""
    section = _section(plan, fields)
    index = _number(fields, "movement")
    old = section.movements[index]
    new = _taken_from_library(plan, _word(fields, "name"))
    new = replace(new, duration_ms=old.duration_ms, rest_ms=old.rest_ms)
    return _with_movement(plan, fields, section, index, new)


def _add(plan: Plan, fields: Fields) -> Plan:
    """Add a movement, after the one named or at the end."""
    section = _section(plan, fields)
    movement = _taken_from_library(plan, _word(fields, "name"))
    others = [one.duration_ms for one in section.movements if one.duration_ms]
    if section.intervals is None and others and section.stated_ms is None:
        movement = replace(movement, duration_ms=sorted(others)[len(others) // 2])
    movements = list(section.movements)
    after = fields.get("after")
    at = len(movements) if after in {None, ""} else int(str(after)) + 1
    movements.insert(at, movement)
    return _with_section(plan, fields, replace(section, movements=tuple(movements)))


def _remove(plan: Plan, fields: Fields) -> Plan:
    """Take a movement out."""
    section = _section(plan, fields)
    movements = list(section.movements)
    movements.pop(_number(fields, "movement"))
    return _with_section(plan, fields, replace(section, movements=tuple(movements)))


def _move(plan: Plan, fields: Fields) -> Plan:
    """Move a movement to another place of its section."""
    section = _section(plan, fields)
    movements = list(section.movements)
    movement = movements.pop(_number(fields, "movement"))
    to = min(max(_number(fields, "to"), 0), len(movements))
    movements.insert(to, movement)
    return _with_section(plan, fields, replace(section, movements=tuple(movements)))


def _say(plan: Plan, fields: Fields) -> Plan:
    """Say a sentence of the leader's own at a time of a section."""
    section = _section(plan, fields)
    text = _word(fields, "text")
    if not text:
        raise UsageError("There is nothing to say yet.", "Write the sentence.")
    try:
        at = parse_moment(_word(fields, "at"))
    except ValueError as error:
        raise UsageError(
            f'"{fields["at"]}" {error}.', "Write 20 s, or halfway."
        ) from error
    cues = (*section.free_cues, FreeCue(text=text, at=at))
    return _with_section(plan, fields, replace(section, free_cues=cues))


def _unsay(plan: Plan, fields: Fields) -> Plan:
    """Take one of the leader's own sentences out."""
    section = _section(plan, fields)
    cues = list(section.free_cues)
    cues.pop(_number(fields, "cue"))
    return _with_section(plan, fields, replace(section, free_cues=tuple(cues)))


def _acknowledge(plan: Plan, fields: Fields) -> Plan:
    """Answer a rule of the review with a reason."""
    rule, reason = _word(fields, "rule"), _word(fields, "reason")
    if not reason:
        raise UsageError("A rule is answered with a reason.", "Write why it is right.")
    others = tuple(one for one in plan.acknowledged if one.rule != rule)
    answered = Acknowledgement(rule=rule, reason=reason)
    return replace(plan, acknowledged=(*others, answered))


CHANGES: Final[Mapping[str, Callable[[Plan, Fields], Plan]]] = {
    "class": _class,
    "music": _music,
    "section": _section_fields,
    "movement": _movement_fields,
    "swap": _swap,
    "add": _add,
    "remove": _remove,
    "move": _move,
    "say": _say,
    "unsay": _unsay,
    "acknowledge": _acknowledge,
}
"""Every change that a form may ask for, by its name."""
