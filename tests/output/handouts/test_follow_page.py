"""The follow page is whole in itself, and knows where to go on from."""

from __future__ import annotations

import base64
import json
import re
from html import unescape
from importlib.resources import files

import numpy as np
import pytest
import soundfile
from hypothesis import given
from hypothesis import strategies as st

from cuetrack.cues.model import MOVING
from cuetrack.cues.timeline import lay_out
from cuetrack.languages.phrase_keys import PAGE_FIELDS
from cuetrack.languages.phrases import load_phrases
from cuetrack.output.handouts import follow_page as follow_page_module
from cuetrack.output.handouts.follow_data import (
    BREATH_MS,
    LEAD_IN_MS,
    details_of,
    landing_ms,
    page_data,
    soundings,
)
from cuetrack.output.handouts.follow_figures import page_figures
from cuetrack.output.handouts.follow_page import (
    CHOICES,
    SCRIPTS,
    PageSound,
    as_script_data,
    embedded_sound,
    follow_page,
)
from cuetrack.output.handouts.page_sound import small_sound
from cuetrack.output.track.cue_rows import ToneRow
from cuetrack.output.track.metadata import Tags
from tests.cues.builders import whole_class
from tests.output.cuesheets import SEGMENTS, cue, cue_file

TEMPLATES = files("cuetrack.output.handouts").joinpath("templates", "follow")
SOUND = PageSound(track="class.m4a")
TAGS = Tags(title="Two seconds", language="en")


@pytest.fixture(scope="module")
def track(tmp_path_factory):
    """A track of two seconds of a hum."""
    path = tmp_path_factory.mktemp("sound") / "hum.wav"
    soundfile.write(path, 0.1 * np.sin(np.arange(96_000) / 20), 48_000)
    return path


def parts() -> str:
    names = ("page.html", "page.css", "first.js", *SCRIPTS)
    return "\n".join(TEMPLATES.joinpath(name).read_text("utf-8") for name in names)


def row(id_):
    return next(row for row in SEGMENTS if row.id == id_)


def landing(id_, sheet):
    return landing_ms(row(id_), soundings(sheet))


def test_nothing_is_fetched_from_anywhere():
    """The page names no address, and its policy allows no connection."""
    page = follow_page(cue_file(), SOUND)
    assert re.findall(r"(?:https?:)?//[a-z]", page) == []
    assert "connect-src 'none'" in page
    assert "import(" not in page


def test_the_same_class_gives_the_same_page():
    """A page depends on nothing but what it is made of."""
    assert follow_page(cue_file(), SOUND) == follow_page(cue_file(), SOUND)


def test_every_word_of_the_pack_is_used_and_none_is_missing():
    """The template asks for exactly the words that a phrase pack must hold."""
    text = parts()
    used = set(re.findall(r'words\["([^"]+)"\]', text))
    used |= set(re.findall(r"words\.(\w+)\b(?!\s*\[)", text)) - {"cues"}
    used |= set(re.findall(r'say\("([^"]+)"', text))
    used |= {f"kind {kind}" for kind in ("welcome", "opening", "move", "work")}
    used |= {f"kind {kind}" for kind in ("rest", "recovery", "close")}
    used |= {f"tone {kind}" for kind in ("start", "stop", "side", "midway")}
    used |= {f"{name} {one}" for name, many in CHOICES.items() for one in many}
    used |= set(CHOICES) | {"part", "with side", "need", "easier", "care"}
    chosen = set(re.findall(r'"([a-z ]+)"', "\n".join(text.splitlines())))
    assert set(PAGE_FIELDS) - used <= chosen
    assert used <= set(PAGE_FIELDS)


@given(st.text())
def test_any_text_survives_inside_a_script(text):
    """JSON in the page holds no mark that could end it, and reads back the same."""
    written = as_script_data({"text": text})
    assert not set(written) & set("<>&\u2028\u2029")
    assert json.loads(written) == {"text": text}


@pytest.mark.parametrize(
    ("name", "address"),
    [
        ("class.m4a", "class.m4a"),
        ("Class #1 & é?.m4a", "Class%20%231%20%26%20%C3%A9%3F.m4a"),
        ("javascript:alert(1)", "javascript%3Aalert%281%29"),
        ("100%.wav", "100%25.wav"),
    ],
)
def test_the_name_of_a_sound_becomes_an_address(name, address):
    """RFC 3986: what has a meaning in an address is written by its number."""
    page = follow_page(cue_file(), PageSound(track=name))
    assert data_in(page)["sources"][0]["url"] == address


def data_in(page):
    found = re.search(r'id="class-data">(.*?)</script>', page, re.DOTALL)
    return json.loads(found.group(1))


def test_an_embedded_sound_is_in_the_page_once(track):
    """What the page holds is the small sound of the track, byte for byte."""
    page = follow_page(cue_file(), PageSound(track=embedded_sound(track, TAGS)))
    held = re.search(r'src="data:audio/mp4;base64,(.*?)"', page).group(1)
    assert base64.b64decode(held) == small_sound(track, TAGS)
    assert page.count(held) == 1
    assert data_in(page)["sources"][0]["type"] == "audio/mp4"


def test_a_sound_too_large_for_a_phone_is_left_outside(track, monkeypatch):
    """A page of hundreds of megabytes would not open."""
    monkeypatch.setattr(follow_page_module, "LARGEST_EMBEDDED_BYTES", 1000)
    assert embedded_sound(track, TAGS) is None


def test_work_is_entered_by_its_count():
    """Where the track counts people in, that is where a jump to the work lands."""
    assert landing("intervals.r1.m1", cue_file()) == 131_800 - BREATH_MS


def test_a_landing_cuts_no_word_before_it():
    """Speech that ends just before the count is not heard by its tail."""
    sheet = cue_file()
    late = cue("Feet flat.", 130_000, 131_700, segment="intervals.opening")
    assert landing("intervals.r1.m1", cue_file([*sheet.cues, late])) == 131_700


def test_without_a_count_a_jump_lands_on_the_start():
    """A rest, and a movement that is not counted in, start at their start."""
    assert landing("intervals.r1.m1.rest", cue_file()) == 165_000
    assert landing("warm-up.m1", cue_file()) == 40_000


def test_a_count_of_ticks_leads_in_as_words_do():
    """A track that counts by tones alone is entered at its first tick."""
    ticks = tuple(
        ToneRow(kind="tick", start_ms=at, end_ms=at + 120)
        for at in (177_000, 178_000, 179_000)
    )
    assert landing("intervals.r1.m2", cue_file((), tones=ticks)) == 177_000 - BREATH_MS


def test_a_word_across_the_change_is_heard_from_its_beginning():
    """A start word that begins a little early is not cut by a jump."""
    early = cue("Begin.", 39_950, 40_400, "start", segment="warm-up.m1")
    assert landing("warm-up.m1", cue_file([early])) == 39_950 - BREATH_MS


def test_a_count_lasts_until_its_change():
    """A pause between the last word of a count and the change repeats the count."""
    count = [sound for sound in soundings(cue_file()) if sound.count]
    assert [(one.start_ms, one.end_ms) for one in count] == [(131_800, 135_400)]


def test_landings_and_sounds_of_a_whole_class_are_in_order():
    """No landing is after its segment or far before it; no two sounds overlap."""
    sheet = cue_file()
    data = page_data(sheet, {}, load_phrases("en"), {}, page_figures({}))
    for segment in data["segments"]:
        assert segment["start"] - LEAD_IN_MS - BREATH_MS <= segment["landing"]
        assert segment["landing"] <= segment["start"]
        assert segment["moving"] == (segment["kind"] in MOVING)
    ends = [0, *(end for _, end in data["sounds"])]
    starts = [start for start, _ in data["sounds"]]
    assert all(end <= start for end, start in zip(ends, starts, strict=False))


def test_details_come_from_the_plan():
    """Each segment of a timeline has the words of its movement."""
    timeline = lay_out(whole_class())
    details = details_of(timeline)
    assert set(details) == {segment.id for segment in timeline.segments}
    for segment in timeline.segments:
        expected = segment.movement.easier if segment.movement else None
        assert details[segment.id].easier == expected
        assert details[segment.id].rounds == segment.round_count


def test_title_and_bring_are_escaped():
    """Marks of HTML in a plan are text on the page."""
    text = "<b>\"Hall\" & 'Co'</b>"
    page = follow_page(cue_file(title=text), SOUND, bring=[text])
    assert text not in page.replace(as_script_data(text), "")
    shown = re.search(r"<title>(.*?)</title>", page).group(1)
    assert unescape(shown) == text
