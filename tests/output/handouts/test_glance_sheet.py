"""The sheets that are read at a glance, read back by programs that did not write them.

pdfplumber reads every letter with its size and place, pypdf the structure, and an
XML parser the picture.
"""

from __future__ import annotations

import io
from functools import cache
from itertools import pairwise
from xml.etree import ElementTree as ET

import pdfplumber
import pypdf
import pytest
from PIL import Image

from cuetrack.cues.timeline import lay_out
from cuetrack.movements.library import load_library
from cuetrack.output.handouts.class_picture import class_picture
from cuetrack.output.handouts.glance_rows import glance_parts, movements_at_a_glance
from cuetrack.output.handouts.glance_sheet import glance_sheet_pdf, marks_below
from cuetrack.output.handouts.home_sheet import home_movements, home_sheet_pdf
from cuetrack.plan.reading import parse_plan
from cuetrack.times import clock
from tests.output.sheets import HOSTILE, WORDS, example, hostile_class, run_together

pytestmark = pytest.mark.outside

PAPERS = ("a4", "letter")
LEAST_PT = 14  # Clear Print guidance: 12 to 14 pt at least, as widely published
SHEETS = {"glance": glance_sheet_pdf, "home": home_sheet_pdf}


@cache
def pdf(kind, name, paper="a4"):
    class_, placed = example(name)
    return SHEETS[kind](class_, placed.sheet.timeline, WORDS, paper=paper)


def read(content):
    return pdfplumber.open(io.BytesIO(content))


def in_columns(page):
    """Return the text of a page with two columns, the left one first."""
    middle = page.width / 2
    left = page.crop((0, 0, middle, page.height)).extract_text()
    return left + page.crop((middle, 0, page.width, page.height)).extract_text()


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("name", ["gentle-ten", "hall-twenty", "six-lines"])
def test_twenty_minutes_are_one_page(name, paper):
    """All of a usual class is in sight at once."""
    assert len(pypdf.PdfReader(io.BytesIO(pdf("glance", name, paper))).pages) == 1


@pytest.mark.parametrize("kind", SHEETS)
@pytest.mark.parametrize("paper", PAPERS)
def test_no_letter_is_small_or_off_the_page(kind, paper):
    """14 pt or more, within the margins, heads and feet included."""
    with read(pdf(kind, "hall-twenty-five", paper)) as document:
        for page in document.pages:
            for letter in page.chars:
                assert letter["size"] >= LEAST_PT - 0.01
                assert letter["x0"] >= 20
                assert letter["x1"] <= page.width - 20
                assert letter["bottom"] <= page.height - 10


@pytest.mark.parametrize("kind", SHEETS)
def test_the_pages_are_for_screen_readers_too(kind):
    """Tagged, with a title and a language, and each drawing named in words."""
    reader = pypdf.PdfReader(io.BytesIO(pdf(kind, "hall-twenty")))
    root = reader.trailer["/Root"]
    assert root["/MarkInfo"]["/Marked"]
    assert root["/Lang"] == "en"
    assert "Larkfield" in reader.metadata.title
    assert "pdfuaid" in root["/Metadata"].get_object().get_data().decode("utf-8")


def test_each_movement_has_its_times_of_every_round():
    """Rows and times are those of the timeline, in order; no movement is missing."""
    class_, placed = example("hall-twenty")
    timeline = placed.sheet.timeline
    parts = glance_parts(class_, timeline, WORDS)
    told = {time for part in parts for row in part.rows for time in row.times if time}
    starts = {
        clock(segment.start_ms)
        for segment in timeline.segments
        if segment.kind in {"move", "work"} and segment.side in {None, "right leg"}
    }
    assert told == starts
    assert [len(part.rows) for part in parts] == [0, 6, 4, 5, 0]
    assert parts[2].columns == ("Round 1", "Round 2")
    assert len(movements_at_a_glance(timeline)) == 14


def test_the_rounds_that_have_no_column_stand_in_the_row():
    """Of five rounds two are told in words."""
    text = (
        "title: Five\nintervals: {work: 30 s, rest: 30 s, rounds: 5, "
        "movements: [heel dig, straight punch]}\n"
    )
    class_ = parse_plan(text, "five.yaml", library=load_library)
    timeline = lay_out(class_)
    row = next(r for p in glance_parts(class_, timeline, WORDS) for r in p.rows)
    works = [s for s in timeline.segments if s.kind == "work" and s.position == 1]
    assert row.times == tuple(clock(s.start_ms) for s in works[:3])
    last = " and ".join(clock(s.start_ms) for s in works[3:])
    assert row.notes[-1] == f"and at {last}"


def test_six_movements_stand_on_a_page_to_take_home():
    """With how, how long and when to stop; a blank for the emergency number on each."""
    class_, placed = example("hall-twenty")
    wanted = home_movements(placed.sheet.timeline, class_, WORDS)
    with read(pdf("home", "hall-twenty")) as document:
        pages = [run_together(in_columns(page)) for page in document.pages[1:]]
        first = run_together(document.pages[0].extract_text())
    assert len(pages) == -(-len(wanted) // 6)
    assert all("Emergencynumber" in page for page in [first, *pages])
    for sign in WORDS.sheet_lists["stop sign list"]:
        assert run_together(sign) in first
    for number, movement in enumerate(wanted):
        page = pages[number // 6]
        assert run_together(movement.name) in page
        assert run_together(movement.dose) in page
        assert run_together(movement.how) in page


def test_marks_below_the_strip_keep_apart():
    """No two times touch, and each is the start of a section."""
    _, placed = example("hall-twenty")
    marks = marks_below(placed.sheet.timeline)
    gaps = [b["at"] - a["at"] for a, b in pairwise(marks)]
    assert min(gaps) > 0.08
    assert marks[0] == {"at": 0.0, "time": "0:00"}


@pytest.mark.parametrize("text", HOSTILE.values(), ids=HOSTILE)
def test_no_text_can_break_a_sheet(text):
    """Whatever a leader writes is shown as text."""
    class_, placed = hostile_class(text)
    timeline = placed.sheet.timeline
    for sheet in SHEETS.values():
        assert sheet(class_, timeline, WORDS).startswith(b"%PDF")
    ET.fromstring(class_picture(class_, timeline, WORDS))


def test_the_picture_is_the_same_every_time_and_in_both_forms():
    """SVG and PNG have the same shape; a second SVG the same bytes."""
    class_, placed = example("gentle-ten")
    timeline = placed.sheet.timeline
    svg = class_picture(class_, timeline, WORDS)
    assert svg == class_picture(class_, timeline, WORDS)
    root = ET.fromstring(svg)
    _, _, width, height = map(float, root.attrib["viewBox"].split())
    png = Image.open(io.BytesIO(class_picture(class_, timeline, WORDS, as_="png")))
    assert png.width / png.height == pytest.approx(width / height, rel=0.01)
