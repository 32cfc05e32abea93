"""The PDF of the run sheet, read back by programs that did not write it.

pypdf reads its structure, pdfplumber every letter with its size, place and colour,
PDFium its text and the look of its pages.
"""

from __future__ import annotations

import io
import re
from collections import Counter
from functools import cache

import pdfplumber
import pypdf
import pytest

from cuetrack.output.handouts.run_sheet import run_sheet_pdf
from cuetrack.output.handouts.sheet_content import sheet_content
from cuetrack.times import clock
from tests.output.sheets import WORDS, example, hostile_class, pages_of, run_together

pytestmark = pytest.mark.outside

NAMES = ("gentle-ten", "hall-twenty", "hall-twenty-five")
POINTS_PER_MM = 72 / 25.4
PAPERS = {
    "a4": (210 * POINTS_PER_MM, 297 * POINTS_PER_MM),  # ISO 216
    "letter": (8.5 * 72, 11 * 72),  # ANSI/ASME Y14.1, size A
}
LARGE_PRINT_PT = 18  # American Printing House, "most large print"
CHECKED_PAGES = 6

each_sheet = pytest.mark.parametrize(
    ("name", "paper"), [(name, paper) for name in NAMES for paper in PAPERS]
)


@cache
def sheet(name, paper):
    class_, placed = example(name)
    return run_sheet_pdf(class_, placed, WORDS, paper=paper)


@cache
def letters(name, paper):
    """Return every letter of the first pages as pdfplumber sees it."""
    with pdfplumber.open(io.BytesIO(sheet(name, paper))) as document:
        return [c for page in document.pages[:CHECKED_PAGES] for c in page.chars]


def structure(pdf):
    """Return every element of the structure tree: its kind and its dictionary."""
    root = pypdf.PdfReader(io.BytesIO(pdf)).trailer["/Root"]["/StructTreeRoot"]
    found = []

    def walk(node):
        node = node.get_object()
        if isinstance(node, pypdf.generic.ArrayObject):
            for kid in node:
                walk(kid)
        elif isinstance(node, pypdf.generic.DictionaryObject):
            if "/S" in node:
                found.append((node["/S"], node))
            if "/K" in node:
                walk(node["/K"])

    walk(root["/K"])
    return found


def attribute(node, key):
    """Return an attribute of a structure element, None if it has none."""
    held = node.get("/A", [])
    owners = held if isinstance(held, list) else [held]
    return next((o.get_object()[key] for o in owners if key in o.get_object()), None)


@each_sheet
def test_pages_have_the_size_of_their_paper(name, paper):
    """Within a hundredth of a point, upright."""
    for page in pypdf.PdfReader(io.BytesIO(sheet(name, paper))).pages:
        size = (float(page.mediabox.width), float(page.mediabox.height))
        assert size == pytest.approx(PAPERS[paper], abs=0.01)
        assert page.rotation == 0


@each_sheet
def test_every_letter_is_large_print(name, paper):
    """18 pt or more, head and foot of the page included."""
    smallest = min(letter["size"] for letter in letters(name, paper))
    assert smallest >= LARGE_PRINT_PT - 0.01


@each_sheet
def test_start_times_are_large_and_bold(name, paper):
    """26 pt, in another weight than the text, one for each row of the pages read."""
    class_, placed = example(name)
    found = letters(name, paper)
    ((text_font, _),) = Counter(c["fontname"] for c in found).most_common(1)
    large = [c for c in found if c["size"] == pytest.approx(26) and c["x0"] < 130]
    times = [c for c in large if c["text"] in "0123456789:"]
    assert text_font not in {c["fontname"] for c in times}
    content = sheet_content(class_, placed, WORDS)
    rows = [r for p in content.parts for group in p.groups for r in group.rows]
    assert "".join(c["text"] for c in times).startswith(
        "".join(row.start for row in rows[:8])
    )


@each_sheet
def test_letters_are_black_and_on_the_page(name, paper):
    """No colour, no grey; nothing runs over the edge or into the margin."""
    width, height = PAPERS[paper]
    for letter in letters(name, paper):
        assert letter["non_stroking_color"] in {0, (0,), None}
        assert letter["x0"] >= 30
        assert letter["x1"] <= width - 30
        assert letter["top"] >= 10
        assert letter["bottom"] <= height - 10


@pytest.mark.parametrize("paper", PAPERS)
def test_lines_are_black_too(paper):
    """What a photocopier could lose is not on the sheet."""
    with pdfplumber.open(io.BytesIO(sheet("hall-twenty", paper))) as document:
        for page in document.pages:
            for line in (*page.rects, *page.lines, *page.curves):
                assert line["stroking_color"] in {0, (0,), None}
                assert line["non_stroking_color"] in {0, (0,), None}


def test_fonts_are_inside_the_file():
    """One plain face in two weights, embedded, with a map back to text."""
    names = set()
    for page in pypdf.PdfReader(io.BytesIO(sheet("gentle-ten", "a4"))).pages:
        for entry in page["/Resources"]["/Font"].values():
            font = entry.get_object()
            assert "/ToUnicode" in font
            (inner,) = font["/DescendantFonts"]
            descriptor = inner.get_object()["/FontDescriptor"]
            assert {"/FontFile2", "/FontFile3"} & set(descriptor)
            names.add(font["/BaseFont"].split("+")[-1])
    assert names
    assert all(name.startswith("NotoSans") for name in names)


@each_sheet
def test_each_page_has_its_number_and_the_time_so_far(name, paper):
    """Page x of y; the time so far is when the first row of the next page starts."""
    pages = pages_of(sheet(name, paper))
    row_start = re.compile(r"(?:What happens|What happens Round \d of \d) (\d+:\d\d)")
    checked = 0
    for number, text in enumerate(pages, start=1):
        assert f"Page {number} of {len(pages)}" in text
        (so_far,) = re.findall(r"Time so far: ([\d:]+)", text)
        following = row_start.search(pages[number]) if number < len(pages) else None
        if following:
            assert so_far == following.group(1)
            checked += 1
    class_, placed = example(name)
    assert f"Time so far: {clock(placed.sheet.timeline.end_ms)}" in pages[-1]
    assert checked >= len(class_.sections)


@each_sheet
def test_each_part_begins_a_page(name, paper):
    """Its heading and span stand on top, and on no other page."""
    class_, placed = example(name)
    pages = pages_of(sheet(name, paper))
    for part in sheet_content(class_, placed, WORDS).parts:
        (page,) = (text for text in pages if part.span in text)
        head = page[: page.index(part.span)]
        assert head.split() == [*class_.title.split(), *part.title.split()]


@each_sheet
def test_what_is_needed_in_an_emergency_is_one_page(name, paper):
    """Signs, what to do and the venue's blanks are seen at once."""
    page = run_together(pages_of(sheet(name, paper))[1])
    lists = WORDS.sheet_lists
    for line in (
        *lists["stop sign list"],
        *lists["what to do list"],
        *lists["venue blanks"],
    ):
        assert run_together(line) in page


@each_sheet
def test_no_row_is_parted_between_pages(name, paper):
    """All that is said of a movement is seen without turning the page."""
    class_, placed = example(name)
    pages = [run_together(page) for page in pages_of(sheet(name, paper))]
    for part in sheet_content(class_, placed, WORDS).parts:
        for row in (row for group in part.groups for row in group.rows):
            words = [row.start, row.name, *(note.text for note in row.notes)]
            joined = [run_together(word) for word in words]
            assert any(all(word in page for word in joined) for page in pages)


def test_the_file_is_tagged_and_says_so():
    """Marked, with language and title to be shown, and it claims PDF/UA-1.

    ISO 14289-1, 5 (identification), 7.1 (marked, title shown), 7.2 (language).
    """
    reader = pypdf.PdfReader(io.BytesIO(sheet("hall-twenty", "a4")))
    root = reader.trailer["/Root"]
    assert root["/MarkInfo"]["/Marked"]
    assert root["/Lang"] == "en"
    assert root["/ViewerPreferences"]["/DisplayDocTitle"]
    assert reader.metadata.title == "Twenty minutes at Larkfield Hall"
    assert b"<pdfuaid:part>1</pdfuaid:part>" in root["/Metadata"].get_data()


def test_headings_lists_and_tables_are_what_they_seem():
    """A screen reader meets a title, headings, lists, and tables with headers.

    ISO 14289-1, 7.4 (headings), 7.5 (tables), 7.6 (lists).
    """
    class_, _ = example("hall-twenty")
    elements = structure(sheet("hall-twenty", "a4"))
    kinds = Counter(kind for kind, _ in elements)
    assert kinds["/H1"] == 3 + len(class_.sections)
    assert kinds["/H2"] == 2
    assert kinds["/L"] == 3
    assert kinds["/LI"] == sum(
        len(WORDS.sheet_lists[key])
        for key in ("before list", "stop sign list", "what to do list")
    )
    assert kinds["/Table"] == 1 + len(class_.sections)
    headers = [node for kind, node in elements if kind == "/TH"]
    assert len(headers) >= 2 * kinds["/Table"]
    assert {attribute(node, "/Scope") for node in headers} <= {"/Column", "/Both"}


def test_a_letter_no_font_has_leaves_the_file_tagged():
    """PDF/UA forbids the box shown for it, so the claim goes and the tags stay."""
    text = "wave \U000f0000"  # of private use: in no font
    pdf = run_sheet_pdf(*hostile_class(text), WORDS)
    root = pypdf.PdfReader(io.BytesIO(pdf)).trailer["/Root"]
    assert root["/MarkInfo"]["/Marked"]
    assert b"pdfuaid" not in root["/Metadata"].get_data()
    assert Counter(kind for kind, _ in structure(pdf))["/Table"] == 4
    assert "wave" in pages_of(pdf)[0]
