"""The reading script on paper: numbered lines in large print, a breath each."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Final

from cuetrack.output.handouts.printing import TYPST_PAPERS, all_breakable
from cuetrack.output.handouts.sheet_typesetting import FACE, pdf_of, template
from cuetrack.takes.reading_script import ReadingPart

if TYPE_CHECKING:
    from cuetrack.output.handouts.printing import Paper
    from cuetrack.takes.reading_script import ReadingScript

HOW: Final = (
    "Choose a quiet room with curtains or a bed.",
    "Keep the phone a hand's length from your mouth, a little to its side.",
    "Start the recorder and wait three seconds. Say each line as you would in class.",
    "Pause for a breath after each line.",
    "A slip? Breathe, and say the whole line again. The last one counts.",
    "Stop when you like. Another day, go on at any line.",
)
"""Common practice of reading aloud for a recording."""

_CLICK: Final = (
    "Say one word at each loud click, crisp and even. Hear the click by one ear, not "
    "from the phone that records. Or say a word at every other second of a clock."
)
PARTS: Final = {
    ReadingPart.COUNTS: ("Count words", _CLICK),
    ReadingPart.ENOUGH: (
        "What every class needs",
        "When you have read this part, your voice can speak a whole class.",
    ),
    ReadingPart.FULL: ("The full words", "What matters most comes first."),
    ReadingPart.SHORTER: (
        "Shorter words",
        "Said where time is short. They may be left for another day.",
    ),
}


def reading_sheet_pdf(
    script: ReadingScript, title: str, *, paper: Paper = "a4"
) -> bytes:
    """Return a script as a tagged PDF; the same script gives the same bytes."""
    numbered = list(enumerate(script.lines, start=1))
    content = {
        "head": "Read aloud",
        "title": title,
        "language_code": script.language.partition("-")[0],
        "how": HOW,
        "paper": TYPST_PAPERS[paper],
        "face": FACE,
        "parts": [
            {
                "head": head,
                "told": told,
                "lines": [
                    {"number": str(number), "text": line.text}
                    for number, line in numbered
                    if line.part is part
                ],
            }
            for part, (head, told) in PARTS.items()
            if any(line.part is part for line in script.lines)
        ],
    }
    return pdf_of(template("reading_sheet.typ"), json.dumps(all_breakable(content)))
