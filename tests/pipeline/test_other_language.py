"""A class in a language that came as one folder says and prints no other language."""

import json
import re
from html import unescape

import pytest
from fakes import ToneSpeaker
from languages.invented import CODE, english_words, turned, words_in, write_language

from cuetrack.languages.pack import load_language
from cuetrack.movements.unknown import unknown_movements
from cuetrack.output.handouts.follow_data import details_of
from cuetrack.output.handouts.follow_page import PageSound, follow_page
from cuetrack.output.handouts.notice import notice
from cuetrack.output.handouts.picture import timeline_svg
from cuetrack.output.handouts.run_sheet import run_sheet_html
from cuetrack.output.track.captions import captions
from cuetrack.output.track.chapters import chapters_of
from cuetrack.output.track.cuefile import cue_file_of
from cuetrack.pipeline.checking import placed_unspoken, read_plan, voice_of
from cuetrack.review.reviewing import failing, review

PLAN = f"""\
title: {turned("Thursday on chairs")}
language: {CODE}
group: {{facts: [screened, emergency plan]}}
warm-up: [{turned("easy march")}, {turned("shoulder roll")}, {turned("ankle pump")}]
intervals:
  work: 40 s
  rest: 30 s
  rounds: 2
  movements:
    - {turned("heel dig")}
    - {turned("leg extension")}
    - movement: {turned("biceps curl")}
      sides: each arm
recovery: 1 min
cool-down:
  - {turned("slow march")}: 3 min
  - {turned("calf stretch")}: 2 min
"""

ENGLISH = english_words()
CODES = frozenset({"kind", "url", "type", "role", "name"})
"""Keys of the page's data whose values its script reads and nobody sees."""


@pytest.fixture
def language(tmp_path, monkeypatch):
    """The language, in a folder that no code knows of."""
    write_language(tmp_path / "languages")
    monkeypatch.setenv("CUETRACK_LANGUAGES", str(tmp_path / "languages"))
    return load_language(CODE)


@pytest.fixture
def plan(tmp_path, language):
    assert language.code == CODE
    path = tmp_path / "class.yaml"
    path.write_text(PLAN, "utf-8")
    return read_plan(path)


@pytest.fixture
def placed(plan):
    return placed_unspoken(plan, lambda _: None)


@pytest.fixture
def cue_file(plan, placed):
    clips = ToneSpeaker().speak({cue.wording.spoken for cue in placed.placed})
    return cue_file_of(placed, clips, voice_of(plan))


def english_in(*texts):
    """Return the English words that came out, which should be none."""
    return {word for text in texts for word in words_in(text) & ENGLISH}


def shown_in(page):
    """Return what a page shows, and what it tells those who do not see it."""
    shown = re.sub(r"<(script|style)\b.*?</\1>|<[^>]*>", " ", page, flags=re.DOTALL)
    told = re.findall(r'\b(?:aria-label|title|alt|placeholder)="([^"]*)"', page)
    return unescape(" ".join((shown, *told)))


def values_in(data):
    """Yield the words within data that people see."""
    if isinstance(data, str):
        yield re.sub(r"\{\w+\}", "", data)
    elif isinstance(data, list):
        for each in data:
            yield from values_in(each)
    elif isinstance(data, dict):
        for key, value in data.items():
            if key not in CODES:
                yield from values_in(value)


def test_the_judge_knows_english():
    """It finds English in an English text, and none in the same text turned."""
    said = "Chest pain, dizzy, sick? Ease off, stop, and tell someone."
    assert {"chest", "dizzy", "stop", "someone"} <= english_in(said)
    assert english_in(turned(said)) == set()


def test_all_that_is_said_is_of_the_language(placed):
    """Every wording of every cue, as shown and as spoken, numbers among them."""
    wordings = [
        wording
        for cue in placed.sheet.cues
        for variant in cue.variants
        for wording in variant
    ]
    assert len(wordings) > 200
    assert (
        english_in(*(w.text for w in wordings), *(w.spoken for w in wordings)) == set()
    )


def test_the_plan_has_titles_sides_and_movements_of_the_language(plan):
    """Where it says nothing of its own; the recovery is known and told by nobody."""
    assert [section.title for section in plan.sections] == [
        turned(title)
        for title in (
            "Welcome",
            "Warm-up",
            "Intervals",
            "Recovery",
            "Cool-down",
            "Close",
        )
    ]
    works = plan.sections[2]
    assert works.movements[2].sides == (turned("right arm"), turned("left arm"))
    assert works.intervals.between_rounds.movement.name == turned("easy march")
    assert unknown_movements(plan.movements(), plan.language) == ()


def test_the_review_reads_the_language(plan, placed):
    """It finds the safety words, and misses nothing that the folder would say."""
    found = review(plan, placed.sheet.timeline, placed)
    assert {f.rule.id for f in found} & {"S01", "S02", "S03", "S04", "X03"} == set()
    assert failing(found) == ()


def test_what_is_printed_is_of_the_language(plan, placed, language):
    """Run sheet and notice."""
    sheet = run_sheet_html(plan, placed, language.phrases, paper="a4")
    assert turned("biceps curl") in shown_in(sheet).lower()
    assert english_in(shown_in(sheet)) == set()
    assert english_in(notice(plan, placed.sheet.timeline, language.phrases)) == set()


def test_the_page_is_of_the_language(plan, placed, cue_file):
    """What it shows at once, and what its script shows later."""
    page = follow_page(
        cue_file,
        PageSound(track="class.m4a"),
        details=details_of(placed.sheet.timeline),
        bring=plan.bring,
    )
    (data,) = re.findall(r'id="class-data">(.*?)</script>', page, re.DOTALL)
    later = list(values_in(json.loads(data)))
    assert len(later) > 200
    assert english_in(shown_in(page)) == set()
    assert english_in(*later) == set()


def test_captions_chapters_and_picture_are_of_the_language(cue_file, language):
    """Tones and rounds too, which no voice says."""
    shown = [line for each in captions(cue_file) for line in each.lines]
    titles = [chapter.title for chapter in chapters_of(cue_file)]
    assert english_in(*shown, *titles) == set()
    picture = timeline_svg(cue_file, language.phrases)
    assert english_in(shown_in(picture)) == set()
