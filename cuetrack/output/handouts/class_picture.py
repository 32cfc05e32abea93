"""The class as one picture to pin up: the strip, and every movement drawn."""

from __future__ import annotations

import json
from dataclasses import asdict
from typing import TYPE_CHECKING, Any

from cuetrack.output.handouts.glance_rows import glance_parts
from cuetrack.output.handouts.glance_sheet import marks_below, strip_values
from cuetrack.output.handouts.printing import all_breakable, drawn_page
from cuetrack.output.handouts.sheet_text import apart, short_length, shown
from cuetrack.output.handouts.sheet_typesetting import (
    picture_of,
    template,
)

if TYPE_CHECKING:
    from cuetrack.cues.model import Timeline
    from cuetrack.languages.phrases import Phrases
    from cuetrack.output.handouts.sheet_typesetting import PictureFormat
    from cuetrack.plan.model import Plan


def class_picture(
    plan: Plan, timeline: Timeline, phrases: Phrases, *, as_: PictureFormat = "svg"
) -> bytes:
    """Return the picture of a class as SVG or PNG; the same class, the same bytes."""
    values: dict[str, Any] = all_breakable(
        {
            "title": apart(shown(plan.title)),
            "whole": short_length(timeline.end_ms, phrases),
            "strip": strip_values(timeline),
            "marks": marks_below(timeline),
            "parts": [asdict(part) for part in glance_parts(plan, timeline, phrases)],
        }
    )
    values |= drawn_page(timeline, phrases)
    return picture_of(template("class_picture.typ"), json.dumps(values), as_)
