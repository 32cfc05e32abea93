"""Pictures of printed pages, kept to see when their look changes.

Drawn anew with ``python -m tests.output.references`` from the project's folder, after
the change was looked at and is wanted.
"""

from __future__ import annotations

import io
from dataclasses import replace
from pathlib import Path

import pypdfium2
from msgspec import structs
from PIL import Image

from cuetrack.output.handouts.picture import timeline_png
from cuetrack.output.handouts.run_sheet import run_sheet_pdf
from cuetrack.output.track.cue_rows import ToneRow
from cuetrack.output.track.cuefile import cue_file_of
from tests.cues.builders import whole_class
from tests.output.cuesheets import JOE, cue
from tests.output.sheets import WORDS, said_by_hand

FOLDER = Path(__file__).parent / "references"
DOTS_PER_INCH = 50
SENTENCES = ("Next: sit tall, with both feet flat.", "Change now.", "Breathe out.")


def pictures():
    """Return each picture by its file name, in shades of grey."""
    class_ = replace(whole_class(), title="A class at Larkfield Hall")
    placed = said_by_hand(
        class_, lambda segment: SENTENCES[segment.start_ms // 1000 % 3]
    )
    found = {}
    for paper, pages in (("a4", (0, 1, 5)), ("letter", (1, 4))):
        document = pypdfium2.PdfDocument(
            run_sheet_pdf(class_, placed, WORDS, paper=paper)
        )
        for page in pages:
            drawn = document[page].render(scale=DOTS_PER_INCH / 72).to_pil()
            found[f"sheet-{paper}-{page + 1}.png"] = drawn.convert("L")
        document.close()
    png = timeline_png(spoken(placed), WORDS, pixels_wide=DOTS_PER_INCH * 12)
    found["timeline.png"] = Image.open(io.BytesIO(png)).convert("L")
    return found


def spoken(placed):
    """Return a cue sheet with a cue of each kind in turn, one every six seconds."""
    file = cue_file_of(
        type(placed)(sheet=placed.sheet, placed=(), left_out=()), {}, JOE
    )
    kinds = ("safety", "preview", "count-in", "form")
    starts = range(1000, file.duration_ms - 3000, 6000)
    cues = tuple(
        cue("Word.", at, at + 2000, kinds[number % 4], segment=file.segments[0].id)
        for number, at in enumerate(starts)
    )
    tones = tuple(
        ToneRow(kind="start", start_ms=row.start_ms, end_ms=row.start_ms + 400)
        for row in file.segments
    )
    return structs.replace(file, cues=cues, tones=tones)


if __name__ == "__main__":
    FOLDER.mkdir(exist_ok=True)
    for name, picture in pictures().items():
        picture.save(FOLDER / name, optimize=True)
