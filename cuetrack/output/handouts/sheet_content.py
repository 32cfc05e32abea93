"""What stands on a run sheet, as frozen values: one content for PDF and HTML.

Every text is ready to be shown, in the order it is read. Nothing here knows of
paper or of markup.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from cuetrack.languages.folders import is_right_to_left
from cuetrack.movements.positions.motion import Thing
from cuetrack.movements.things import thing_named
from cuetrack.output.handouts.sheet_rows import SheetRow, rows_of, things_used
from cuetrack.output.handouts.sheet_text import (
    apart,
    short_length,
    shown,
)
from cuetrack.plan.model import Coaching
from cuetrack.times import clock

if TYPE_CHECKING:
    from cuetrack.cues.model import PlacedSheet, Segment
    from cuetrack.languages.phrases import Phrases
    from cuetrack.plan.model import Plan


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetFact:
    """A label and what it says; an empty text is a blank to be filled in by hand."""

    label: str
    text: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class RowGroup:
    """Rows under one heading: a round. ``title`` is None where there are none."""

    title: str | None
    rows: tuple[SheetRow, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetSection:
    """One section of the class, on pages of its own."""

    title: str
    start: str
    span: str
    length: str
    end: str
    groups: tuple[RowGroup, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Words:
    """The fixed words a template sets; those of a page have ``{...}`` in them."""

    parts: str
    part: str
    starts: str
    lasts: str
    before: str
    when_to_stop: str
    stop_signs: str
    what_to_do: str
    other_rules: str
    venue: str
    time_column: str
    what_column: str
    page: str
    time_so_far: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetContent:
    """A whole run sheet."""

    title: str
    language: str
    right_to_left: bool
    words: Words
    facts: tuple[SheetFact, ...]
    before: tuple[str, ...]
    stop_signs: tuple[str, ...]
    steps: tuple[str, ...]
    blanks: tuple[SheetFact, ...]
    parts: tuple[SheetSection, ...]


def sheet_content(plan: Plan, placed: PlacedSheet, phrases: Phrases) -> SheetContent:
    """Return everything a run sheet says of a class."""
    segments = placed.sheet.timeline.segments
    end_ms = placed.sheet.timeline.end_ms
    return SheetContent(
        title=apart(shown(plan.title)),
        language=phrases.language,
        right_to_left=is_right_to_left(phrases.language),
        words=_words(phrases),
        facts=_facts(plan, segments, phrases, end_ms),
        before=_before(plan, phrases),
        stop_signs=phrases.sheet_lists["stop sign list"],
        steps=phrases.sheet_lists["what to do list"],
        blanks=tuple(
            SheetFact(label=label) for label in phrases.sheet_lists["venue blanks"]
        ),
        parts=_parts(plan, placed, phrases),
    )


def _before(plan: Plan, phrases: Phrases) -> tuple[str, ...]:
    """Return what is seen to before a class; a torn band snaps into a face."""
    used = (movement.equipment for movement, _ in plan.movements())
    bands = any(thing_named(thing, plan.language) is Thing.BAND for thing in used)
    torn = (phrases.on_sheet("before bands"),) if bands else ()
    return (*phrases.sheet_lists["before list"], *torn)


def _words(phrases: Phrases) -> Words:
    sheet = phrases.sheet
    return Words(
        **{name: sheet[name.replace("_", " ")] for name in Words.__dataclass_fields__}
    )


def _facts(
    plan: Plan, segments: tuple[Segment, ...], phrases: Phrases, end_ms: int
) -> tuple[SheetFact, ...]:
    sheet = phrases.sheet
    leads = "voice leads" if plan.coaching is Coaching.EVERYTHING else "leader leads"
    facts = [
        SheetFact(label=sheet["length"], text=short_length(end_ms, phrases)),
        SheetFact(label=sheet["who leads"], text=sheet[leads]),
    ]
    things = things_used(plan.bring, segments, phrases)
    if things:
        text = phrases.listed(tuple(apart(shown(thing)) for thing in things))
        facts.append(SheetFact(label=sheet["bring"], text=text))
    return tuple(facts)


def _parts(
    plan: Plan, placed: PlacedSheet, phrases: Phrases
) -> tuple[SheetSection, ...]:
    segments = placed.sheet.timeline.segments
    rows = rows_of(plan, placed, phrases)
    parts = []
    for index in dict.fromkeys(segment.section for segment in segments):
        own = [segment for segment in segments if segment.section == index]
        start_ms, end_ms = own[0].start_ms, own[-1].end_ms
        parts.append(
            SheetSection(
                title=apart(shown(own[0].section_title)),
                start=clock(start_ms),
                span=phrases.on_sheet(
                    "from to", start=clock(start_ms), end=clock(end_ms)
                ),
                length=short_length(end_ms - start_ms, phrases),
                end=clock(end_ms),
                groups=_groups([row for row in rows if row.section == index]),
            )
        )
    return tuple(parts)


def _groups(rows: list[SheetRow]) -> tuple[RowGroup, ...]:
    """Put rows of one round together; a part without rounds is one group."""
    titles = list(dict.fromkeys(row.round_title for row in rows))
    return tuple(
        RowGroup(
            title=title, rows=tuple(row for row in rows if row.round_title == title)
        )
        for title in titles
    )
