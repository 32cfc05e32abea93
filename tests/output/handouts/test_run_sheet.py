"""Promises of the run sheet: what it says, in which order, on paper and on screen."""

from __future__ import annotations

import re
from dataclasses import replace
from itertools import pairwise

import pytest
from hypothesis import given

from cuetrack import cuekinds
from cuetrack.cues.model import MOVING
from cuetrack.cues.timeline import activities, lay_out
from cuetrack.output.handouts.run_sheet import run_sheet_html, run_sheet_pdf
from cuetrack.output.handouts.sheet_content import sheet_content
from cuetrack.output.handouts.sheet_rows import Weight, rows_of
from cuetrack.output.handouts.sheet_text import breakable, shown
from cuetrack.plan.model import Coaching
from cuetrack.times import clock
from tests.cues.builders import (
    ANKLE_CIRCLE,
    EASY_MARCH,
    HEEL_DIG,
    PUNCH,
    close,
    intervals,
    plain,
    plan,
    timed,
    welcome,
    whole_class,
)
from tests.cues.strategies import few, plans
from tests.output.sheets import (
    HOSTILE,
    WORDS,
    Page,
    example,
    hostile_class,
    pages_of,
    placed_with_estimates,
    run_together,
    said_by_hand,
)


def silent(class_):
    """Return a class placed with a single word said in each segment."""
    return said_by_hand(class_, lambda _: "Next")


def rows(class_, placed=None):
    return rows_of(class_, placed or silent(class_), WORDS)


def labelled(row, key):
    """Return the texts of a row under a label."""
    label = WORDS.sheet[key]
    return [note.text for note in row.notes if note.label == label]


def test_each_activity_is_a_row_with_its_time():
    """Nothing of the class is missing: rows start where activities start."""
    class_ = whole_class()
    runs = activities(lay_out(class_).segments)
    assert [row.start for row in rows(class_)] == [clock(r[0].start_ms) for r in runs]
    assert [row.end for row in rows(class_)] == [clock(r[-1].end_ms) for r in runs]


def test_a_movement_is_explained_with_all_it_needs():
    """How, options, caution and what is in the hands."""
    class_ = plan(intervals(HEEL_DIG, PUNCH, rounds=1))
    row = next(r for r in rows(class_) if r.name == "Straight punch")
    assert row.weight is Weight.MOVE
    assert row.length == "40 s"
    assert PUNCH.how in [note.text for note in row.notes]
    assert labelled(row, "easier") == ["Leave the weights in your lap."]
    assert labelled(row, "take care") == ["Stop short of locking the elbow."]
    assert labelled(row, "in hands") == ["light hand weights"]


def test_a_movement_that_comes_again_is_explained_in_brief():
    """The second round gives the short how and leaves out the harder way."""
    class_ = plan(intervals(HEEL_DIG, rounds=2))
    first, again = (r for r in rows(class_) if r.name == "Heel dig")
    assert HEEL_DIG.how in [note.text for note in first.notes]
    assert HEEL_DIG.how_short in [note.text for note in again.notes]
    assert labelled(first, "harder")
    assert not labelled(again, "harder")
    assert labelled(again, "easier")


def test_sides_stand_in_one_row_with_the_time_of_each():
    """The leader sees when to change."""
    class_ = plan(intervals(ANKLE_CIRCLE, rounds=1, opening=20))
    (row,) = (r for r in rows(class_) if r.name == "Ankle circle")
    assert labelled(row, "sides") == ["Right at 0:20, left at 0:40"]


def test_equipment_is_picked_up_in_the_pause_and_put_down_at_once():
    """The rest before says pick up, the rest after says put down."""
    class_ = plan(intervals(HEEL_DIG, PUNCH, ANKLE_CIRCLE, rounds=1))
    named = {row.name: row for row in rows(class_) if row.weight is Weight.MOVE}
    rests = [row for row in rows(class_) if row.name == "Rest"]
    assert labelled(rests[0], "pick up") == ["light hand weights"]
    assert labelled(rests[1], "put down") == ["light hand weights"]
    assert not labelled(named["Straight punch"], "pick up")
    assert not labelled(named["Ankle circle"], "in hands")


def test_equipment_in_a_part_without_pauses_is_picked_up_in_its_row():
    """There is no other row to say it in; nor is it said twice there."""
    class_ = plan(plain(timed(HEEL_DIG, 40), timed(PUNCH, 40), timed(EASY_MARCH, 40)))
    _, heel, punch, march = rows(class_)
    assert not labelled(heel, "pick up")
    assert labelled(punch, "pick up") == ["light hand weights"]
    assert not labelled(punch, "in hands")
    assert labelled(march, "put down") == ["light hand weights"]


@few
@given(plans())
def test_hands_hold_what_a_movement_needs(class_):
    """Followed row by row, pick-ups and put-downs give each movement its equipment."""
    held = None
    runs = activities(lay_out(class_).segments)
    for run, row in zip(runs, rows(class_), strict=True):
        is_moving = run[0].kind in MOVING
        downs, ups = labelled(row, "put down"), labelled(row, "pick up")
        if downs:
            assert downs == [WORDS.without_article(held)]
            held = None
        if ups:
            assert held is None
            (held,) = ups
        needed = run[0].movement.equipment if is_moving else None
        if is_moving:
            assert held == (WORDS.without_article(needed) if needed else None)
    assert held is None


@pytest.mark.parametrize("name", ["gentle-ten", "hall-twenty", "six-lines"])
def test_what_the_voice_says_at_a_change_stands_in_its_row(name):
    """Word for word as placed, in the row in whose time it is said."""
    class_, placed = example(name)
    runs = activities(placed.sheet.timeline.segments)
    row_of = {s.id: index for index, run in enumerate(runs) for s in run}
    written = rows(class_, placed)
    changes = {
        cuekinds.PREVIEW,
        cuekinds.EQUIPMENT,
        cuekinds.SIDE_CHANGE,
        cuekinds.SAFETY,
    }
    for cue in placed.placed:
        if cue.cue.kind in changes:
            row = written[row_of[cue.cue.segment]]
            assert any(cue.wording.text in note.text for note in row.notes)


def test_rounds_have_a_heading_where_there_are_several():
    """A single round needs none."""
    several = plan(intervals(HEEL_DIG, PUNCH, rounds=2))
    (part,) = sheet_content(several, silent(several), WORDS).parts
    titles = [group.title for group in part.groups]
    assert titles == [None, "Round 1 of 2", "Round 2 of 2"]
    single = plan(intervals(HEEL_DIG, PUNCH, rounds=1))
    (part,) = sheet_content(single, silent(single), WORDS).parts
    assert [group.title for group in part.groups] == [None]


def test_a_leader_who_coaches_finds_her_own_part():
    """Her words where the plan has them, else that they are hers to find."""
    class_ = plan(
        welcome(90, says=("Good to see you",)),
        intervals(HEEL_DIG),
        close(),
        coaching=Coaching.CLOCK,
    )
    first, *_, last = rows(class_, placed_with_estimates(class_))
    assert labelled(first, "you") == ["“Good to see you.”"]
    assert labelled(last, "you") == [WORDS.sheet["own close"]]
    assert any("Chest pain" in note.text for note in first.notes)


def test_things_to_bring_are_named_once():
    """What the plan names, then equipment it uses without naming it."""
    class_ = replace(plan(intervals(HEEL_DIG, PUNCH)), bring=("a cushion",))
    facts = sheet_content(class_, silent(class_), WORDS).facts
    assert facts[-1].text == "a cushion and light hand weights"


def test_who_lays_out_bands_looks_them_over():
    """A torn band snaps into a face (common practice); without one nothing is said."""
    banded = plan(intervals(replace(HEEL_DIG, equipment="stretch bands")))
    looked = WORDS.sheet["before bands"]
    assert looked in sheet_content(banded, silent(banded), WORDS).before
    plain = plan(intervals(HEEL_DIG, PUNCH))
    assert looked not in sheet_content(plain, silent(plain), WORDS).before


@pytest.mark.outside
@pytest.mark.parametrize(
    "sign",
    [
        *("chest", "jaw", "neck", "arm", "back", "breath", "Dizzy", "faint"),
        *("confused", "heartbeat", "sick", "cold sweat", "weakness", "numbness"),
        *("speech", "seeing", "headache", "joint"),
    ],
)
def test_every_stop_sign_is_on_the_sheet(sign):
    """Union of the stop lists of two hospitals and of NHS stroke advice.

    Northern Care Alliance NHS (home exercise advice), a heart-rehabilitation
    safety page, and NHS "Symptoms of a stroke"; gathered from them, not quoted.
    """
    class_ = whole_class()
    text = " ".join(sheet_content(class_, silent(class_), WORDS).stop_signs)
    assert sign in text


def test_the_sheet_has_blanks_for_what_only_the_venue_knows():
    """Number, address, defibrillator and first aider, with room to write."""
    class_ = whole_class()
    blanks = sheet_content(class_, silent(class_), WORDS).blanks
    assert [blank.text for blank in blanks] == [""] * 4
    labels = " ".join(blank.label for blank in blanks)
    for word in ("Emergency number", "Address", "Defibrillator", "First aider"):
        assert word in labels


def test_page_and_paper_say_the_same():
    """Every text of the content is in the HTML and, in the same order, in the PDF."""
    class_, placed = example("hall-twenty")
    content = sheet_content(class_, placed, WORDS)
    html = Page(run_sheet_html(class_, placed, WORDS)).text
    paper = run_together(" ".join(pages_of(run_sheet_pdf(class_, placed, WORDS))))
    at_html = at_paper = 0
    wanted = [content.title, *content.before, *content.stop_signs, *content.steps]
    for part in content.parts:
        wanted.append(part.span)
        for group in part.groups:
            for row in group.rows:
                wanted += [row.start, row.name, *(note.text for note in row.notes)]
    for text in wanted:
        at_html = html.index(text, at_html)
        at_paper = paper.index(run_together(text), at_paper)


def test_html_is_whole_and_has_its_structure():
    """Language, title, one main heading, no level left out, tables with headers."""
    class_, placed = example("gentle-ten")
    page = Page(run_sheet_html(class_, placed, WORDS, paper="letter"))
    assert page.all("html") == [{"lang": "en", "dir": "ltr"}]
    levels = [int(tag[1]) for tag, _ in page.elements if re.fullmatch(r"h\d", tag)]
    assert levels[0] == 1
    assert levels.count(1) == 1
    assert all(b - a <= 1 for a, b in pairwise(levels))
    assert all("scope" in attrs for attrs in page.all("th"))
    ids = [attrs["id"] for _, attrs in page.elements if "id" in attrs]
    named_by = [a["aria-labelledby"] for a in page.all("table") if len(a) > 1]
    assert named_by == ids
    assert "size: letter portrait" in run_sheet_html(
        class_, placed, WORDS, paper="letter"
    )


def test_html_needs_no_other_file():
    """No script, no picture, no link, nothing from elsewhere."""
    class_, placed = example("six-lines")
    html = run_sheet_html(class_, placed, WORDS)
    page = Page(html)
    for tag in ("script", "img", "link", "iframe"):
        assert not page.all(tag)
    assert "http" not in html
    assert "url(" not in html


@pytest.mark.parametrize("name", HOSTILE)
def test_hostile_text_in_html_is_only_text(name):
    """It is shown as written, and the elements of the page are not changed by it."""
    text = HOSTILE[name]
    class_, placed = hostile_class(text)
    html = run_sheet_html(class_, placed, WORDS)
    html.encode("utf-8")
    page = Page(html)
    assert shown(text) in page.text
    assert not page.all("script")
    plain_class, plain_placed = hostile_class("plain")
    plain_page = Page(run_sheet_html(plain_class, plain_placed, WORDS))
    tags = [tag for tag, _ in page.elements]
    assert tags == [tag for tag, _ in plain_page.elements]


@pytest.mark.parametrize("name", HOSTILE)
def test_hostile_text_in_the_pdf_is_only_text(name):
    """It is printed, and what follows it on the sheet is still there."""
    text = HOSTILE[name]
    class_, placed = hostile_class(text)
    paper = " ".join(pages_of(run_sheet_pdf(class_, placed, WORDS)))
    if name in {"markup", "templates", "many words"}:
        assert shown(text)[:60] in paper
    if name == "one word":
        assert paper.replace(" ", "").count("x") > 10_000
    assert "Heel dig" in paper
    assert WORDS.sheet_lists["venue blanks"][-1] in paper
    assert "Time so far: 7:20" in paper


@pytest.mark.parametrize("name", HOSTILE)
def test_marks_of_direction_end_with_their_text(name):
    """As many closed as opened, none closed that was not opened (UAX 9)."""
    depth: list[str] = []
    for letter in shown(HOSTILE[name]):
        if letter in "\u202a\u202b\u202d\u202e":
            depth.append("\u202c")
        elif letter in "\u2066\u2067\u2068":
            depth.append("\u2069")
        elif letter in "\u202c\u2069":
            assert depth.pop() == letter
    assert not depth


def test_words_are_only_broken_where_they_are_endless():
    """Ordinary words, and addresses of ordinary length, stay whole."""
    assert breakable("shoulder-blade squeeze") == "shoulder-blade squeeze"
    pieces = breakable("x" * 100).split("\u200b")
    assert "".join(pieces) == "x" * 100
    assert max(map(len, pieces)) <= 24


def test_the_same_class_gives_the_same_bytes():
    """Nothing of the time or the machine is in the file."""
    class_, placed = example("six-lines")
    one = run_sheet_pdf(class_, placed, WORDS)
    assert one == run_sheet_pdf(class_, placed, WORDS)
    assert run_sheet_html(class_, placed, WORDS) == run_sheet_html(
        class_, placed, WORDS
    )
