"""What a form of the page changes in a plan.

Each change has a name and fields as they were typed. It gives the plan as wanted; the
file is then edited so that every other character of the leader's stays.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any, Final

from cuetrack.desk import movement_forms, part_forms
from cuetrack.desk.fields import (
    lines_in,
    number_in,
    number_or_none,
    slot_or_none,
    word_in,
)
from cuetrack.desk.remedies import mend
from cuetrack.errors import UsageError
from cuetrack.plan.model import (
    Acknowledgement,
    Coaching,
    Counting,
    Music,
    MusicStyle,
    Options,
    Pace,
    TimeCalls,
)

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping
    from enum import StrEnum

    from cuetrack.desk.fields import Fields
    from cuetrack.plan.model import Plan


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


def _class(plan: Plan, fields: Fields) -> Plan:
    """Set title, length, voice, pace, how much is said, what to bring."""
    values = {
        attribute: read(fields, name)
        for name, (attribute, read) in _OF_THE_CLASS.items()
        if name in fields
    }
    plan = replace(plan, **values)
    if "age" in fields:
        plan = replace(plan, group=replace(plan.group, age=number_in(fields, "age")))
    return plan


def _one_of(kind: type[StrEnum]) -> Callable[[Fields, str], Any]:
    return lambda fields, name: kind(fields[name])


def _voice(fields: Fields, name: str) -> str | None:
    return word_in(fields, name) or None


def _pronunciations(fields: Fields, name: str) -> tuple[tuple[str, str], ...]:
    return tuple(map(_pronounced, lines_in(fields, name)))


def _pronounced(line: str) -> tuple[str, str]:
    word, _, said = (part.strip() for part in line.partition(":"))
    if not (word and said):
        raise UsageError(
            f'"{line}" does not say how a word is said.', "Write Maud: mawd."
        )
    return word, said


_OF_THE_CLASS: Final[Mapping[str, tuple[str, Callable[[Fields, str], Any]]]] = {
    "title": ("title", word_in),
    "lasts": ("lasts_ms", slot_or_none),
    "voice": ("voice", _voice),
    "pace": ("pace", _one_of(Pace)),
    "options": ("options", _one_of(Options)),
    "coaching": ("coaching", _one_of(Coaching)),
    "counting": ("counting", _one_of(Counting)),
    "calls": ("time_calls", _one_of(TimeCalls)),
    "bring": ("bring", lines_in),
    "pronounce": ("pronunciations", _pronunciations),
}
"""What each field of the whole class sets, and how it is read."""


def _music(plan: Plan, fields: Fields) -> Plan:
    """Put music under the whole class, made for it, or none."""
    music = plan.music or Music()
    if "own" in fields:
        style = word_in(fields, "own")
        music = replace(music, own=MusicStyle(style) if style else None)
        music = replace(music, files=()) if style else music
    if "rights" in fields:
        music = replace(music, rights=word_in(fields, "rights") or None)
    if "tempo" in fields:
        music = replace(music, tempo_bpm=number_or_none(fields, "tempo"))
    if "quiet" in fields:
        music = replace(music, well_under_voice=fields["quiet"] == "yes")
    return replace(plan, music=music if music.files or music.own else None)


def _acknowledge(plan: Plan, fields: Fields) -> Plan:
    """Answer a rule of the review with a reason."""
    rule, reason = word_in(fields, "rule"), word_in(fields, "reason")
    if not reason:
        raise UsageError("A rule is answered with a reason.", "Write why it is right.")
    others = tuple(one for one in plan.acknowledged if one.rule != rule)
    answered = Acknowledgement(rule=rule, reason=reason)
    return replace(plan, acknowledged=(*others, answered))


CHANGES: Final[Mapping[str, Callable[[Plan, Fields], Plan]]] = {
    "class": _class,
    "music": _music,
    "section": part_forms.section_fields,
    "rounds": part_forms.rounds_differ,
    "rounds alike": part_forms.rounds_alike,
    "add part": part_forms.add_part,
    "fill": part_forms.fill,
    "remove part": part_forms.remove_part,
    "move part": part_forms.move_part,
    "movement": movement_forms.movement_fields,
    "swap": movement_forms.swap,
    "add": movement_forms.add,
    "remove": movement_forms.remove,
    "move": movement_forms.move,
    "say": part_forms.say,
    "unsay": part_forms.unsay,
    "acknowledge": _acknowledge,
    "mend": mend,
}
"""Every change that a form may ask for, by its name."""
