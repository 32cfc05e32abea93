"""The run sheet: a class on paper, for whoever leads it from a music stand.

One content becomes two files. The PDF is large print (18 pt or more) on A4 or US
Letter, black on white, its text real and tagged for screen readers. The HTML says
the same in a browser and prints alike, but no browser can set the time so far at
the foot of each page: there it stands at the end of each part.
"""

from __future__ import annotations

import json
from dataclasses import asdict
from typing import TYPE_CHECKING, Any

from cuetrack.output.handouts.printing import (
    TYPST_PAPERS,
    all_breakable,
    html_template,
)
from cuetrack.output.handouts.sheet_content import SheetContent, sheet_content
from cuetrack.output.handouts.sheet_text import shortened
from cuetrack.output.handouts.sheet_typesetting import FACE, pdf_of, template
from cuetrack.times import clock

if TYPE_CHECKING:
    from cuetrack.cues.model import PlacedSheet
    from cuetrack.languages.phrases import Phrases
    from cuetrack.output.handouts.printing import Paper
    from cuetrack.plan.model import Plan

_RUNNING_TITLE = 40
_RUNNING_PART = 18


def run_sheet_pdf(
    plan: Plan, placed: PlacedSheet, phrases: Phrases, *, paper: Paper = "a4"
) -> bytes:
    """Return the run sheet of a class as a PDF.

    The same class gives the same bytes.
    """
    content = sheet_content(plan, placed, phrases)
    return pdf_of(template("run_sheet.typ"), json.dumps(_for_paper(content, paper)))


def _for_paper(content: SheetContent, paper: Paper) -> dict[str, Any]:
    """Return what the page template reads."""
    values: dict[str, Any] = all_breakable(asdict(content))
    values["paper"] = TYPST_PAPERS[paper]
    values["face"] = FACE
    values["language_code"] = content.language.partition("-")[0]
    values["running_title"] = shortened(content.title, _RUNNING_TITLE)
    values["begin"] = clock(0)
    for part, values_of_part in zip(content.parts, values["parts"], strict=True):
        values_of_part["running_title"] = shortened(part.title, _RUNNING_PART)
        rows = [row for group in part.groups for row in group.rows]
        row_values = [
            row for group in values_of_part["groups"] for row in group["rows"]
        ]
        for row, values_of_row in zip(rows, row_values, strict=True):
            values_of_row["breakable"] = row.is_long
    return values


def run_sheet_html(
    plan: Plan, placed: PlacedSheet, phrases: Phrases, *, paper: Paper = "a4"
) -> str:
    """Return the run sheet of a class as one HTML file that needs no other."""
    content = sheet_content(plan, placed, phrases)
    before, between, after = _page_pattern(content.words.page)
    return html_template("run_sheet.html.j2").render(
        sheet=content,
        words=content.words,
        paper=paper,
        page_before=_css_text(before),
        page_between=_css_text(between),
        page_after=_css_text(after),
    )


def _page_pattern(pattern: str) -> tuple[str, str, str]:
    """Return what stands before, between and after the two numbers of a page."""
    before, _, rest = pattern.partition("{page}")
    between, _, after = rest.partition("{pages}")
    return before, between, after


def _css_text(text: str) -> str:
    r"""Return a text as a CSS string, every letter but plain ones escaped.

    >>> _css_text('of "x"')
    '"of \\22 x\\22 "'
    """
    letters = (c if c.isalnum() or c == " " else f"\\{ord(c):x} " for c in text)
    return f'"{"".join(letters)}"'
