"""What was typed into the fields of a form, read as times, numbers and words."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

from cuetrack.documents.durations import parse_duration
from cuetrack.errors import UsageError
from cuetrack.movements.group_reading import read_group

if TYPE_CHECKING:
    from collections.abc import Mapping

    from cuetrack.plan.model import Plan, Section

    Fields = Mapping[str, Any]


def time_in(fields: Fields, name: str) -> int:
    """Return a time as it was typed, in ms. Raises UsageError when it is none."""
    text = str(fields[name]).strip()
    try:
        return parse_duration(text)
    except ValueError as error:
        raise UsageError(
            f'"{text}" {error}.', 'Write a time such as "40 s".'
        ) from error


def time_or_usual(fields: Fields, name: str) -> int | None:
    """Return a time as it was typed, None where the field was left empty."""
    return time_in(fields, name) if word_in(fields, name) else None


def slot_in(fields: Fields, name: str) -> int:
    """Return how long a class is to last, ms; a bare number counts minutes."""
    text = word_in(fields, name)
    minutes = text.replace(",", ".").replace(".", "", 1).isdigit()
    return time_in({name: f"{text} min" if minutes else text}, name)


def slot_or_none(fields: Fields, name: str) -> int | None:
    """Return how long a class is to last, None where the field was left empty."""
    return slot_in(fields, name) if word_in(fields, name) else None


def number_in(fields: Fields, name: str) -> int:
    """Return a whole number as it was typed. Raises UsageError when it is none."""
    try:
        return int(str(fields[name]).strip())
    except ValueError as error:
        raise UsageError(f'"{fields[name]}" is no whole number.') from error


def number_or_none(fields: Fields, name: str) -> int | None:
    """Return a whole number as it was typed, None where the field was left empty."""
    return number_in(fields, name) if word_in(fields, name) else None


def whole_number(text: str) -> int:
    """Return a number that is no name, sign or fraction. Raises UsageError else."""
    if not (text.isascii() and text.isdigit() and len(text) <= 9):
        raise UsageError(f'"{text}" is no whole number.')
    return int(text)


def word_in(fields: Fields, name: str) -> str:
    """Return a line of words, with single spaces."""
    return " ".join(str(fields[name]).split())


def lines_in(fields: Fields, name: str) -> tuple[str, ...]:
    """Return the lines of a larger field that are not empty."""
    lines = (" ".join(line.split()) for line in str(fields[name]).splitlines())
    return tuple(filter(None, lines))


def facts_in(fields: Fields, name: str) -> tuple[str, ...]:
    """Return facts of a group written in everyday words, a line each."""
    said = read_group(", ".join(lines_in(fields, name)))
    if said.unknown:
        unknown = ", ".join(said.unknown)
        raise UsageError(f'"{unknown}" is not understood.', "Write it in other words.")
    return tuple(map(str, said.facts))


def section_in(plan: Plan, fields: Fields) -> Section:
    """Return the section of a plan that a form is about."""
    index = number_in(fields, "section")
    if index < 0:
        raise IndexError(index)
    return plan.sections[index]


def with_section(plan: Plan, fields: Fields, section: Section) -> Plan:
    """Return a plan with the section that a form is about as wanted."""
    index = number_in(fields, "section")
    sections = list(plan.sections)
    sections[index] = section
    return replace(plan, sections=tuple(sections))
