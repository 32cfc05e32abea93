"""The answer sheet of a listening test: four sentences to each number, in large print.

There is no place for a name: nothing of a person is kept. PDF and HTML say the same.
"""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

from cuetrack.output.handouts.printing import (
    TYPST_PAPERS,
    all_breakable,
    html_template,
)
from cuetrack.output.handouts.sheet_typesetting import FACE, pdf_of, template
from cuetrack.planning.listening_test import LETTERS

if TYPE_CHECKING:
    from collections.abc import Sequence

    from cuetrack.output.handouts.printing import Paper
    from cuetrack.planning.listening_test import Question

HEAD = "Listening test"
HOW = (
    "You hear a number, then a sentence. Tick which of the four it was.",
    "If you are not sure, tick the likeliest.",
    "Then tick yes if you could hear it easily, no if not.",
    "It is the sound that is tried, not you. Please write no name.",
)
FOOT = (
    "This is no hearing test. If you find that you miss much here or elsewhere, speak "
    "with your doctor or a hearing professional."
)
EASY = ("Easily?", "yes", "no")


def answer_sheet_pdf(
    title: str, questions: Sequence[Question], *, paper: Paper = "a4"
) -> bytes:
    """Return the sheet as a tagged PDF; the same test gives the same bytes."""
    content = {
        "title": title,
        "head": HEAD,
        "how": HOW,
        "foot": FOOT,
        "easy": EASY,
        "paper": TYPST_PAPERS[paper],
        "face": FACE,
        "questions": [
            {"number": str(one.number), "choices": one.choices} for one in questions
        ],
    }
    return pdf_of(template("answer_sheet.typ"), json.dumps(all_breakable(content)))


def answer_sheet_html(title: str, questions: Sequence[Question]) -> str:
    """Return the sheet as one HTML file to print; it needs no other."""
    return html_template("answer_sheet.html.j2").render(
        title=title,
        head=HEAD,
        how=HOW,
        foot=FOOT,
        easy=EASY,
        letters=LETTERS,
        questions=questions,
    )
