"""What a form of the page changes in a plan.

Each change has a name and fields as they were typed. It gives the plan as wanted; the
file is then edited so that every other character of the leader's stays.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Final

from cuetrack.desk import movement_forms, part_forms
from cuetrack.desk.fields import lines_in, number_in, time_or_usual, word_in
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
    if "title" in fields:
        plan = replace(plan, title=word_in(fields, "title"))
    if "lasts" in fields:
        plan = replace(plan, lasts_ms=time_or_usual(fields, "lasts"))
    if "voice" in fields:
        plan = replace(plan, voice=word_in(fields, "voice") or None)
    if "pace" in fields:
        plan = replace(plan, pace=Pace(fields["pace"]))
    if "options" in fields:
        plan = replace(plan, options=Options(fields["options"]))
    if "coaching" in fields:
        plan = replace(plan, coaching=Coaching(fields["coaching"]))
    if "counting" in fields:
        plan = replace(plan, counting=Counting(fields["counting"]))
    if "calls" in fields:
        plan = replace(plan, time_calls=TimeCalls(fields["calls"]))
    if "bring" in fields:
        plan = replace(plan, bring=lines_in(fields, "bring"))
    return plan


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
        tempo = number_in(fields, "tempo") if word_in(fields, "tempo") else None
        music = replace(music, tempo_bpm=tempo)
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
