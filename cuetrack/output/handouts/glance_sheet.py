"""The class on one page, for whoever leads it: strip, figures, times.

Type is never under 14 pt; a class with more rows than a page takes goes on over.
"""

from __future__ import annotations

import json
from dataclasses import asdict
from types import MappingProxyType
from typing import TYPE_CHECKING, Any, Final

from cuetrack.output.handouts.glance_rows import glance_parts
from cuetrack.output.handouts.printing import TYPST_PAPERS, all_breakable, drawn_page
from cuetrack.output.handouts.sheet_rows import things_used
from cuetrack.output.handouts.sheet_text import apart, short_length, shown
from cuetrack.output.handouts.sheet_typesetting import pdf_of, template
from cuetrack.output.handouts.strip import strip_of
from cuetrack.times import clock

if TYPE_CHECKING:
    from collections.abc import Mapping

    from cuetrack.cues.model import Timeline
    from cuetrack.languages.phrases import Phrases
    from cuetrack.output.handouts.printing import Paper
    from cuetrack.plan.model import Plan

FIGURE_MM: Final[Mapping[Paper, float]] = MappingProxyType({"a4": 11.2, "letter": 9.4})
FIGURES_MM: Final = 27.0
MARKS_APART: Final = 0.085
"""The least share of the strip between two times below it."""


def glance_sheet_pdf(
    plan: Plan, timeline: Timeline, phrases: Phrases, *, paper: Paper = "a4"
) -> bytes:
    """Return the class at a glance as a PDF; the same class gives the same bytes."""
    values = all_breakable(_values(plan, timeline, phrases))
    values |= {
        **drawn_page(timeline, phrases),
        "paper": TYPST_PAPERS[paper],
        "figure_mm": FIGURE_MM[paper],
        "figures_mm": FIGURES_MM,
    }
    return pdf_of(template("glance.typ"), json.dumps(values))


def _values(plan: Plan, timeline: Timeline, phrases: Phrases) -> dict[str, Any]:
    sheet = phrases.sheet
    return {
        "title": apart(shown(plan.title)),
        "whole": phrases.on_sheet(
            "glance whole", length=short_length(timeline.end_ms, phrases)
        ),
        "stop": sheet["glance stop"],
        "emergency": sheet["glance emergency"],
        "facts": _facts(plan, timeline, phrases),
        "strip": strip_values(timeline),
        "marks": marks_below(timeline),
        "parts": [asdict(part) for part in glance_parts(plan, timeline, phrases)],
    }


def _facts(plan: Plan, timeline: Timeline, phrases: Phrases) -> list[str]:
    facts = [phrases.sheet["glance track"]]
    things = things_used(plan.bring, timeline.segments, phrases)
    if things:
        listed = phrases.listed(tuple(apart(shown(thing)) for thing in things))
        facts.append(f"{phrases.sheet['bring']} {listed}")
    return facts


def strip_values(timeline: Timeline) -> list[dict[str, Any]]:
    """Return the blocks of a strip with their kinds, as a template reads them."""
    segments = timeline.segments
    blocks = strip_of(segments, [segment.section for segment in segments])
    return [
        asdict(block) | {"kind": str(segment.kind)}
        for block, segment in zip(blocks, segments, strict=True)
    ]


def marks_below(timeline: Timeline) -> list[dict[str, Any]]:
    """Return the starts of the sections, as far as they have room below the strip."""
    marks: list[dict[str, Any]] = []
    segments = timeline.segments
    blocks = strip_of(segments, [segment.section for segment in segments])
    section = None
    for block, segment in zip(blocks, segments, strict=True):
        new = segment.section != section
        section = segment.section
        if new and (not marks or block.start - marks[-1]["at"] >= MARKS_APART):
            marks.append({"at": block.start, "time": clock(segment.start_ms)})
    return marks
