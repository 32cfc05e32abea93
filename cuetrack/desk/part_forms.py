"""What the forms of a part of the class change: its clock, its words, its place."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Final

from cuetrack.cues.timeline import lay_out
from cuetrack.desk.fields import (
    lines_in,
    number_in,
    section_in,
    time_in,
    time_or_usual,
    with_section,
    word_in,
)
from cuetrack.desk.movement_forms import named_movement
from cuetrack.documents.places import Place
from cuetrack.errors import UsageError
from cuetrack.movements.model import SHORTEST_REST_MS
from cuetrack.pipeline.checking import plan_from_text
from cuetrack.plan.lengths import share_out
from cuetrack.plan.model import (
    Coaching,
    FreeCue,
    Music,
    MusicStyle,
    SectionKind,
)
from cuetrack.plan.moments import parse_moment
from cuetrack.plan.parts import RoundChange
from cuetrack.plan.reading import words_of
from cuetrack.plan.round_spans import parse_rounds
from cuetrack.plan.words import TALKS
from cuetrack.planning.alternatives import usual_break

if TYPE_CHECKING:
    from cuetrack.desk.fields import Fields
    from cuetrack.plan.model import Intervals, Moment, Plan, Section

NO_BREAK: Final = frozenset({"", "0", "0 s", "no", "none"})
NEW_PARTS: Final = {
    SectionKind.WELCOME: "1 min",
    SectionKind.WARM_UP: "[easy march, shoulder roll, ankle pump]",
    SectionKind.INTERVALS: "{movements: [heel dig]}",
    SectionKind.RECOVERY: "[easy march]",
    SectionKind.COOL_DOWN: "[slow march]",
    SectionKind.CLOSE: "80 s",
}
"""What a new part of each kind begins with."""


def section_fields(plan: Plan, fields: Fields) -> Plan:
    """Set title and times of a section, and the words of a welcome or close."""
    section = section_in(plan, fields)
    if "title" in fields:
        usual = words_of(plan.language).sections[section.kind]
        section = replace(section, title=word_in(fields, "title") or usual)
    if "says" in fields:
        section = replace(section, says=lines_in(fields, "says"))
    if "for" in fields and section.duration_ms is not None:
        section = replace(section, duration_ms=time_in(fields, "for"))
    if "opening" in fields:
        section = replace(section, opening_ms=time_in(fields, "opening"))
    if "music" in fields:
        style = word_in(fields, "music")
        music = Music(own=MusicStyle(style)) if style else None
        section = replace(section, music=music)
    if "each" in fields:
        section = _each_lasting(section, time_in(fields, "each"))
    if section.intervals is not None:
        section = replace(section, intervals=_clock(plan, section.intervals, fields))
    return with_section(plan, fields, section)


def _each_lasting(section: Section, each_ms: int) -> Section:
    """Return a section whose movements all last so long."""
    movements = tuple(replace(m, duration_ms=each_ms) for m in section.movements)
    return replace(section, movements=movements)


def fill(plan: Plan, fields: Fields) -> Plan:
    """Make a part as long or short as the stated length of the class asks."""
    section = section_in(plan, fields)
    apart_ms = (plan.lasts_ms or 0) - lay_out(plan).end_ms
    return with_section(plan, fields, longer_by(section, apart_ms))


def longer_by(section: Section, by_ms: int) -> Section:
    """Return a section without intervals longer, or shorter, by some time.

    Movements of one length stay so, as far as whole seconds allow. Raises UsageError
    when too little would be left of one.
    """
    times = [movement.duration_ms or 0 for movement in section.movements]
    shares = share_out(sum(times) + by_ms, len(times))
    if len(set(times)) > 1:
        parts = share_out(abs(by_ms), len(times))
        sign = 1 if by_ms > 0 else -1
        shares = tuple(a + sign * b for a, b in zip(times, parts, strict=True))
    if min(shares) < SHORTEST_REST_MS or section.intervals is not None:
        raise UsageError("There is too little in this part to take it from.")
    movements = tuple(
        replace(movement, duration_ms=each_ms)
        for movement, each_ms in zip(section.movements, shares, strict=True)
    )
    return replace(section, movements=movements)


def _clock(plan: Plan, clock: Intervals, fields: Fields) -> Intervals:
    if "work" in fields:
        clock = replace(clock, work_ms=time_in(fields, "work"))
    if "rest" in fields:
        clock = replace(clock, rest_ms=time_in(fields, "rest"))
    if "rounds" in fields:
        rounds = number_in(fields, "rounds")
        first_break = clock.rounds == 1 < rounds and clock.between_rounds is None
        pause = usual_break(plan.language) if first_break else clock.between_rounds
        clock = replace(clock, rounds=rounds, between_rounds=pause)
    if "after last" in fields:
        clock = replace(clock, break_after_last=fields["after last"] == "yes")
    return _with_break(plan, clock, fields)


def _with_break(plan: Plan, clock: Intervals, fields: Fields) -> Intervals:
    """Return a clock with the break between its rounds as wanted, or none."""
    if "break" in fields and word_in(fields, "break").casefold() in NO_BREAK:
        return replace(clock, between_rounds=None)
    pause = clock.between_rounds or usual_break(plan.language)
    before = pause
    if "break" in fields:
        pause = replace(pause, duration_ms=time_in(fields, "break"))
    if "break with" in fields:
        doing = named_movement(plan, word_in(fields, "break with"))
        pause = replace(pause, movement=doing)
    if "break says" in fields:
        pause = replace(pause, says=lines_in(fields, "break says"))
    if pause == before:
        return clock
    return replace(clock, between_rounds=pause)


def rounds_differ(plan: Plan, fields: Fields) -> Plan:
    """Set what differs in some rounds; a new line where none is numbered."""
    section = section_in(plan, fields)
    if section.intervals is None:
        raise IndexError(section.kind)
    lines = list(section.intervals.in_rounds)
    number = fields.get("line")
    if number in {None, ""}:
        lines.append(_round_line(None, fields))
    else:
        lines[int(str(number))] = _round_line(lines[int(str(number))], fields)
    return _with_rounds(plan, fields, section, lines)


def rounds_alike(plan: Plan, fields: Fields) -> Plan:
    """Take out a line of what differs in some rounds."""
    section = section_in(plan, fields)
    lines = list(section.intervals.in_rounds if section.intervals else ())
    lines.pop(number_in(fields, "line"))
    return _with_rounds(plan, fields, section, lines)


def _with_rounds(
    plan: Plan, fields: Fields, section: Section, lines: list[RoundChange]
) -> Plan:
    clock = section.intervals
    assert clock is not None  # noqa: S101 - its lines were read from it
    clock = replace(clock, in_rounds=tuple(lines))
    return with_section(plan, fields, replace(section, intervals=clock))


def _round_line(before: RoundChange | None, fields: Fields) -> RoundChange:
    """Return what differs in some rounds, as a form says it."""
    if before is None or "rounds" in fields:
        typed = word_in(fields, "rounds")
        try:
            rounds = parse_rounds(typed)
        except ValueError as error:
            raise UsageError(
                f'"{typed}" {error}.', "Write 2, or 2-3, or from 2, or last."
            ) from error
        before = (
            replace(before, rounds=rounds) if before else RoundChange(rounds=rounds)
        )
    if "work" in fields:
        before = replace(before, work_ms=time_or_usual(fields, "work"))
    if "rest" in fields:
        before = replace(before, rest_ms=time_or_usual(fields, "rest"))
    if "equipment" in fields:
        before = replace(before, equipment=word_in(fields, "equipment") or None)
    if "coaching" in fields:
        said = word_in(fields, "coaching")
        before = replace(before, coaching=Coaching(said) if said else None)
    if (before.work_ms, before.rest_ms, before.equipment, before.coaching) == (
        None,
        None,
        None,
        None,
    ):
        raise UsageError(
            "Nothing differs in these rounds yet.",
            "Write what is in the hands, or a time.",
        )
    return before


def add_part(plan: Plan, fields: Fields) -> Plan:
    """Add a part of a kind after another one."""
    kind = SectionKind(word_in(fields, "kind"))
    if kind in TALKS and any(one.kind is kind for one in plan.sections):
        raise UsageError("The class has one already.", "Change that one.")
    sections = list(plan.sections)
    at = (
        number_in(fields, "after") + 1 if fields.get("after") else _usual_at(plan, kind)
    )
    sections.insert(at, _new_part(plan, kind))
    return replace(plan, sections=tuple(sections))


def _usual_at(plan: Plan, kind: SectionKind) -> int:
    """Return where a part of a kind usually stands: before those that follow it."""
    order = list(SectionKind)
    later = (
        number
        for number, one in enumerate(plan.sections)
        if order.index(one.kind) > order.index(kind)
    )
    return next(later, len(plan.sections))


def _new_part(plan: Plan, kind: SectionKind) -> Section:
    """Return a new part as the reader would read it."""
    text = f"title: new\nlanguage: {plan.language}\n{kind}: {NEW_PARTS[kind]}\n"
    if kind in TALKS:
        text += f"{SectionKind.WARM_UP}: {NEW_PARTS[SectionKind.WARM_UP]}\n"
    read = plan_from_text(text, Path("new.yaml"))
    section = next(one for one in read.sections if one.kind is kind)
    movements = tuple(replace(one, place=Place()) for one in section.movements)
    return replace(section, place=Place(), movements=movements)


def remove_part(plan: Plan, fields: Fields) -> Plan:
    """Take a whole part out; in the close it is told how to stand up safely."""
    sections = list(plan.sections)
    gone = section_in(plan, fields)
    if gone.kind is SectionKind.CLOSE:
        raise UsageError(
            "The close tells people how to stand up safely.", "Make it shorter instead."
        )
    if gone.kind not in TALKS and sum(s.kind not in TALKS for s in sections) == 1:
        raise UsageError("A class needs a part with movements.", "Add another first.")
    sections.pop(number_in(fields, "section"))
    return replace(plan, sections=tuple(sections))


def move_part(plan: Plan, fields: Fields) -> Plan:
    """Move a part earlier or later, between the welcome and the close."""
    sections = list(plan.sections)
    index = number_in(fields, "section")
    to = number_in(fields, "to")
    ends = {index, min(max(to, 0), len(sections) - 1)}
    if any(sections[one].kind in TALKS for one in ends):
        raise UsageError("The welcome comes first, and the close last.")
    sections.insert(to, sections.pop(index))
    return replace(plan, sections=tuple(sections))


def say(plan: Plan, fields: Fields) -> Plan:
    """Say a sentence at a time of a section: a new one, or one that is numbered."""
    section = section_in(plan, fields)
    cues = list(section.free_cues)
    number = number_in(fields, "cue") if "cue" in fields else None
    old = None if number is None else cues[number]
    text = word_in(fields, "text") if "text" in fields or old is None else old.text
    if not text:
        raise UsageError("There is nothing to say yet.", "Write the sentence.")
    at = _moment_in(fields) if "at" in fields or old is None else old.at
    if number is None or old is None:
        cues.append(FreeCue(text=text, at=at))
    else:
        cues[number] = replace(old, text=text, at=at)
    return with_section(plan, fields, replace(section, free_cues=tuple(cues)))


def _moment_in(fields: Fields) -> Moment:
    typed = word_in(fields, "at")
    try:
        return parse_moment(typed)
    except ValueError as error:
        raise UsageError(f'"{typed}" {error}.', "Write 20 s, or halfway.") from error


def unsay(plan: Plan, fields: Fields) -> Plan:
    """Take one of the leader's own sentences out."""
    section = section_in(plan, fields)
    cues = list(section.free_cues)
    cues.pop(number_in(fields, "cue"))
    return with_section(plan, fields, replace(section, free_cues=tuple(cues)))
