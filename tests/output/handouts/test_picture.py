"""Promises of the timeline picture: in scale, legible, without colour, only text."""

from __future__ import annotations

import io
import re
from functools import cache
from itertools import combinations, pairwise
from pathlib import Path
from xml.etree import ElementTree as ET

import fontpkg_noto_sans
import pytest
from hypothesis import given, settings
from PIL import Image, ImageFont

from cuetrack.cues.timeline import lay_out
from cuetrack.movements.library import load_library
from cuetrack.output.handouts.picture import MOST_PIXELS, timeline_png, timeline_svg
from cuetrack.output.handouts.picture_layout import (
    HEIGHTS,
    LANES,
    TALK_HEIGHT,
    drawing_of,
)
from cuetrack.output.handouts.picture_text import cut_to, fitted, width_of
from cuetrack.output.handouts.sheet_text import shown
from cuetrack.output.track.cue_rows import CueRow, ToneRow
from cuetrack.output.track.cuefile import CueFile, cue_file_of
from tests.cues.builders import HEEL_DIG, intervals, plan, whole_class
from tests.cues.strategies import plans
from tests.output.cuesheets import JOE, cue, cue_file, segment
from tests.output.sheets import HOSTILE, WORDS, example, said_by_hand

SVG = "{http://www.w3.org/2000/svg}"


def timeline_file(class_):
    """Return the cue sheet of a class in which nothing is said."""
    placed = said_by_hand(class_, lambda _: "")
    silent = type(placed)(sheet=placed.sheet, placed=(), left_out=())
    return cue_file_of(silent, {}, JOE)


def spoken_file(name):
    """Return the cue sheet of an example, its times estimated."""
    _, placed = example(name)
    sheet = placed.sheet
    silent = cue_file_of(type(placed)(sheet=sheet, placed=(), left_out=()), {}, JOE)
    cues = tuple(
        cue(
            said.wording.text,
            said.start_ms,
            said.end_ms,
            said.cue.kind.name,
            id_=said.cue.id,
            segment=said.cue.segment,
        )
        for said in placed.placed
    )
    return CueFile(
        title=silent.title,
        language=silent.language,
        sample_rate=silent.sample_rate,
        duration_ms=silent.duration_ms,
        voice=silent.voice,
        segments=silent.segments,
        cues=cues,
        tones=silent.tones,
        left_out=(),
    )


@cache
def face(size):
    path = Path(fontpkg_noto_sans.ROOT) / "files" / "NotoSans[wdth,wght].ttf"
    return ImageFont.truetype(str(path), size * 4)


@cache
def width_in_face(text, size):
    return face(size).getlength(text) / 4


def box_of(label):
    """Return the corners of a label as Noto Sans draws it: left, top, right, bottom."""
    wide = width_in_face(label.text, label.size)
    up, down = label.size * 0.72, label.size * 0.22
    if label.turned:
        assert label.anchor == "start"
        return label.x - up, label.y - wide, label.x + down, label.y
    left = label.x - {"start": 0, "middle": wide / 2, "end": wide}[label.anchor]
    return left, label.y - up, left + wide, label.y + down


def overlap(one, other):
    return (
        one[0] < other[2]
        and other[0] < one[2]
        and one[1] < other[3]
        and other[1] < one[3]
    )


def assert_labels_have_room(drawing):
    placed = sorted(
        (box_of(label), label.text) for label in drawing.labels if label.text
    )
    for (one, text), (other, other_text) in combinations(placed, 2):
        if other[0] < one[2]:
            assert not overlap(one, other), (text, other_text)
    for (left, top, right, bottom), text in placed:
        assert left >= 0, text
        assert right <= drawing.width, text
        assert top >= 0, text
        assert bottom <= drawing.height, text


@pytest.mark.parametrize("name", ["gentle-ten", "hall-twenty", "hall-twenty-five"])
def test_labels_of_an_example_never_overlap(name):
    """Measured with the letters of the face they are drawn in."""
    assert_labels_have_room(drawing_of(spoken_file(name), WORDS))


@settings(max_examples=15, deadline=None)
@given(plans())
def test_labels_never_overlap(class_):
    """Of whatever class."""
    assert_labels_have_room(drawing_of(timeline_file(class_), WORDS))


def test_every_name_of_an_example_is_read_in_full():
    """The scale is chosen so that no name of a movement is cut."""
    for name in ("gentle-ten", "hall-twenty-five", "six-lines"):
        labels = drawing_of(spoken_file(name), WORDS).labels
        assert not [label.text for label in labels if "…" in label.text]


def test_marks_stand_at_their_time():
    """Between two minutes of the scale a cue lies in proportion."""
    file = spoken_file("hall-twenty")
    drawing = drawing_of(file, WORDS)
    ticks = {
        (round(label.y), label.text): label.x
        for label in drawing.labels
        if re.fullmatch(r"\d+:\d\d", label.text)
    }
    rows = sorted({y for y, _ in ticks})
    scale = [{text: x for (y, text), x in ticks.items() if y == row} for row in rows]
    tones = sorted(drawing.marks, key=lambda mark: (mark.y, mark.x))
    tones = [mark for mark in tones if mark.kind == "tones"]
    assert len(tones) == len(file.tones)
    per_row = [[mark.x for mark in tones if row < mark.y < row + 60] for row in rows]
    found = []
    for marks, minutes in zip(per_row, scale, strict=True):
        (first, x0), (last, x1) = min_and_max(minutes)
        found += [first + (x - x0) * (last - first) / (x1 - x0) for x in marks]
    wanted = [tone.start_ms / 1000 for tone in file.tones]
    assert found == pytest.approx(wanted, abs=0.05)


def min_and_max(minutes):
    def seconds(text):
        whole, part = text.split(":")
        return int(whole) * 60 + int(part)

    times = sorted((seconds(text), x) for text, x in minutes.items())
    return times[0], times[-1]


def test_every_cue_has_a_mark_in_its_lane():
    """None is lost, and a lane holds marks of one shape on one height."""
    file = spoken_file("gentle-ten")
    drawing = drawing_of(file, WORDS)
    assert len(drawing.marks) == len(file.cues) + len(file.tones)
    assert {mark.kind for mark in drawing.marks} == set(LANES)
    systems = len({m.y for m in drawing.marks if m.kind == "clock"})
    for lane in LANES:
        assert len({m.y for m in drawing.marks if m.kind == lane}) <= systems


def test_segments_fill_the_whole_time():
    """Boxes of one system touch, from its start to its end."""
    drawing = drawing_of(timeline_file(whole_class()), WORDS)
    boxes = [box for box in drawing.boxes if box.kind != "section" and box.told]
    floors = {round(box.y + box.height, 3) for box in boxes}
    for floor in floors:
        row = sorted(
            (b for b in boxes if round(b.y + b.height, 3) == floor),
            key=lambda box: box.x,
        )
        for one, after in pairwise(row):
            assert one.x + one.width == pytest.approx(after.x, abs=0.001)


def test_more_effort_stands_taller():
    """Work over easy movement over recovery over talk over rest: told by height."""
    heights = [HEIGHTS["work"], HEIGHTS["move"], HEIGHTS["recovery"], TALK_HEIGHT]
    assert [*heights, HEIGHTS["rest"]] == sorted(
        [*heights, HEIGHTS["rest"]], reverse=True
    )
    assert len(set(heights)) == 4


def test_there_is_no_colour():
    """Each colour named in the file is a grey."""
    svg = timeline_svg(cue_file(), WORDS)
    colours = re.findall(r"#([0-9a-f]{3,6})\b", svg)
    assert colours
    for colour in colours:
        step = len(colour) // 3
        assert len({colour[at : at + step] for at in range(0, len(colour), step)}) == 1
    assert not re.search(r'(fill|stroke)="(?!#|none|url\(#stripes\))', svg)


def test_the_picture_tells_what_it_shows():
    """Title and description for those who cannot see it; each box has its time."""
    root = ET.fromstring(timeline_svg(cue_file(), WORDS))
    assert root.get("role") == "img"
    assert root.find(f"{SVG}title").text == "Ten gentle minutes: timeline"
    told = root.find(f"{SVG}desc").text
    assert "6 min" in told
    assert "heel dig" in told
    titles = [node.text for node in root.iterfind(f".//{SVG}g/{SVG}title")]
    assert "1:20 ankle circle, right, left" in titles


@pytest.mark.parametrize("name", HOSTILE)
def test_hostile_text_is_only_text(name):
    """The file stays well-formed and has no element it should not have."""
    text = HOSTILE[name]
    segments = (
        segment("intervals.m1", "work", 0, 60, text, section=text, side=text),
        segment("intervals.m2", "rest", 60, 90, None, section=text),
    )
    row = cue(text, 1000, 2000, segment="intervals.m1")
    file = cue_file((row,), segments, title=text, duration_ms=90_000)
    svg = timeline_svg(file, WORDS)
    root = ET.fromstring(svg.encode("utf-8"))
    assert {node.tag for node in root.iter()} <= {
        f"{SVG}{tag}"
        for tag in (
            *("svg", "title", "desc", "defs", "pattern", "rect", "g"),
            *("polyline", "path", "text"),
        )
    }
    assert shown(text) in root.find(f"{SVG}title").text
    drawn = [node.text or "" for node in root.iter(f"{SVG}text")]
    assert max(map(len, drawn)) < 400
    assert timeline_png(file, WORDS, pixels_wide=400).startswith(b"\x89PNG")


def test_png_shows_the_labels():
    """As wide as asked, grey, and with ink where each label stands."""
    file = spoken_file("gentle-ten")
    picture = Image.open(io.BytesIO(timeline_png(file, WORDS, pixels_wide=1600)))
    assert picture.width == 1600
    bands = picture.convert("RGB").split()
    assert bands[0].tobytes() == bands[1].tobytes() == bands[2].tobytes()
    for label in drawing_of(file, WORDS).labels:
        if label.text:
            darkest, _ = bands[0].crop(tuple(map(round, box_of(label)))).getextrema()
            assert darkest < 60, label


def test_a_day_of_class_still_gives_a_picture():
    """Its PNG is coarser, so that a program can open it."""
    class_ = plan(intervals(HEEL_DIG, rounds=180, between=None))
    file = timeline_file(class_)
    assert lay_out(class_).end_ms > 3 * 60 * 60 * 1000 - 30_000
    size = Image.open(io.BytesIO(timeline_png(file, WORDS, pixels_wide=6000))).size
    assert size[0] * size[1] <= MOST_PIXELS * 1.01
    assert size[0] < 6000


def test_a_file_without_segments_gives_a_picture():
    """Nothing to draw is no fault."""
    empty = cue_file((), (), duration_ms=0, tones=(), left_out=())
    assert ET.fromstring(timeline_svg(empty, WORDS)) is not None


@pytest.mark.outside
def test_widths_are_not_too_narrow():
    """Of the names of the library, against the letters of Noto Sans itself."""
    for name in load_library():
        real = width_in_face(name, 19)
        assert width_of(name, 19) >= real, name


def test_texts_are_fitted_upright_first_then_turned_then_cut():
    """A wide room holds lines, a narrow one turned lines, a small one a part."""
    upright = fitted("toe tap side", 120, 100, 20)
    assert upright
    assert (upright.lines, upright.turned) == (("toe tap", "side"), False)
    turned = fitted("shoulder", 30, 120, 20)
    assert turned
    assert (turned.lines, turned.turned) == (("shoulder",), True)
    cut = fitted("shoulder", 30, 60, 20)
    assert cut
    assert cut.is_cut
    assert fitted("shoulder", 10, 10, 20) is None
    assert cut_to("shoulder", 5, 20) == ""


def test_unknown_kinds_of_cue_are_shown_too():
    """A cue sheet may hold kinds that this version does not know."""
    row = CueRow(
        id="new",
        kind="weather",
        segment="welcome",
        text="Rain",
        spoken="rain",
        clip="0" * 64,
        start_ms=100.0,
        end_ms=400.0,
        anchor_ms=None,
        beat_ms=None,
    )
    tones = (ToneRow(kind="gong", start_ms=0, end_ms=10),)
    marks = drawing_of(cue_file((row,), tones=tones), WORDS).marks
    assert sorted(mark.kind for mark in marks) == ["other", "tones"]
