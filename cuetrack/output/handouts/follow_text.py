"""The class as text, for a device that shows the page without running its script."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from cuetrack.output.handouts.follow_data import NOTHING_MORE
from cuetrack.output.track.chapters import plain_line
from cuetrack.times import clock

if TYPE_CHECKING:
    from collections.abc import Mapping

    from cuetrack.languages.phrases import Phrases
    from cuetrack.output.handouts.follow_data import SegmentDetails
    from cuetrack.output.handouts.follow_figures import PageFigures
    from cuetrack.output.track.cue_rows import SegmentRow
    from cuetrack.output.track.cuefile import CueFile


@dataclass(frozen=True, slots=True, kw_only=True)
class TextPart:
    """A movement, when it comes, and what is said of it where it comes first.

    ``drawing`` is the number of its drawing, None after the first time.
    """

    clock: str
    name: str
    length: str
    texts: tuple[str, ...]
    drawing: int | None


@dataclass(frozen=True, slots=True, kw_only=True)
class TextSection:
    """The movements of a section, or of one of its rounds."""

    head: str
    parts: tuple[TextPart, ...]


def text_sections(
    cue_file: CueFile,
    details: Mapping[str, SegmentDetails],
    figures: PageFigures,
    phrases: Phrases,
) -> tuple[TextSection, ...]:
    """Return all movements of a class in order, each explained once."""
    sections: dict[str, list[TextPart]] = {}
    told: set[str] = set()
    for row in cue_file.segments:
        if row.movement is None:
            continue
        parts = sections.setdefault(_head(row, phrases), [])
        name = plain_line(row.movement)
        first = name not in told
        told.add(name)
        side = plain_line(phrases.side(row.side)) if row.side else None
        number = figures.numbers.get(row.id) if first else None
        parts.append(
            TextPart(
                clock=clock(row.start_ms),
                name=phrases.page["with side"].format(movement=name, side=side)
                if side
                else name,
                length=phrases.length(row.end_ms - row.start_ms),
                texts=_texts(details.get(row.id, NOTHING_MORE), phrases)
                if first
                else (),
                drawing=None if number is None else figures.figures[number]["drawing"],
            )
        )
    return tuple(
        TextSection(head=head, parts=tuple(parts)) for head, parts in sections.items()
    )


def _head(row: SegmentRow, phrases: Phrases) -> str:
    section = plain_line(row.section)
    if row.round is None:
        return section
    return phrases.page["part"].format(movement=section, round=row.round)


def _texts(details: SegmentDetails, phrases: Phrases) -> tuple[str, ...]:
    labelled = (
        ("need", details.equipment),
        ("easier", details.easier),
        ("care", details.caution),
    )
    said = [f"{phrases.page[label]}: {text}" for label, text in labelled if text]
    return tuple(map(plain_line, [*([details.how] if details.how else []), *said]))
