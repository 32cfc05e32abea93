"""The class as one picture to pin up: the strip, and every movement drawn."""

from __future__ import annotations

import json
from dataclasses import asdict
from typing import TYPE_CHECKING, Any

from cuetrack.languages.folders import is_right_to_left
from cuetrack.output.handouts.figures import drawings
from cuetrack.output.handouts.glance_rows import glance_parts, movements_at_a_glance
from cuetrack.output.handouts.glance_sheet import marks_below, strip_values
from cuetrack.output.handouts.printing import all_breakable
from cuetrack.output.handouts.sheet_text import apart, short_length, shown
from cuetrack.output.handouts.sheet_typesetting import (
    FACE,
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
            "language_code": phrases.language.partition("-")[0],
            "right_to_left": is_right_to_left(phrases.language),
            "whole": short_length(timeline.end_ms, phrases),
            "strip": strip_values(timeline),
            "marks": marks_below(timeline),
            "parts": [asdict(part) for part in glance_parts(plan, timeline, phrases)],
        }
    )
    values |= {"face": FACE, "figures": drawings(movements_at_a_glance(timeline))}
    return picture_of(template("class_picture.typ"), json.dumps(values), as_)
