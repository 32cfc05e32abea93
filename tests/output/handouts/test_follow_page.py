"""The follow page is whole in itself, and knows where to go on from."""

from __future__ import annotations

import base64
import json
import re
from html import unescape
from importlib.resources import files

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cuetrack.cues.model import MOVING
from cuetrack.cues.timeline import lay_out
from cuetrack.errors import OutputError
from cuetrack.languages.phrase_keys import PAGE_FIELDS
from cuetrack.languages.phrases import load_phrases
from cuetrack.output.handouts.follow_data import (
    BREATH_MS,
    LEAD_IN_MS,
    details_of,
    landing_ms,
    page_data,
    soundings,
)
from cuetrack.output.handouts.follow_page import (
    SCRIPTS,
    PageSound,
    as_script_data,
    embedded_sound,
    follow_page,
)
from cuetrack.output.track.cuefile import ToneRow
from tests.cues.builders import whole_class
from tests.output.cuesheets import SEGMENTS, cue, cue_file

TEMPLATES = files("cuetrack.output.handouts").joinpath("templates", "follow")
SOUND = PageSound(track="class.m4a")


def parts() -> str:
    names = ("page.html", "page.css", *SCRIPTS)
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
    used |= {f"tone {kind}" for kind in ("start", "stop", "halfway")}
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


def test_an_embedded_sound_is_in_the_page_once(tmp_path):
    """The bytes of the file come back from the page as they were."""
    content = bytes(range(256)) * 5
    path = tmp_path / "class.m4a"
    path.write_bytes(content)
    page = follow_page(cue_file(), PageSound(track=embedded_sound(path)))
    held = re.search(r'id="sound-track">(.*?)</script>', page).group(1)
    assert base64.b64decode(held) == content
    assert page.count(held) == 1
    assert data_in(page)["sources"][0]["type"] == "audio/mp4"


@pytest.mark.parametrize(
    ("name", "message"),
    [("class.txt", "There is no format"), ("none.m4a", "cannot be read")],
)
def test_what_cannot_be_embedded_is_refused(tmp_path, name, message):
    """The message says what is wrong with the file."""
    with pytest.raises(OutputError, match=message):
        embedded_sound(tmp_path / name)


def test_a_sound_too_large_for_a_phone_is_refused(tmp_path):
    """A page of hundreds of megabytes would not open."""
    path = tmp_path / "long.wav"
    with path.open("wb") as file:
        file.truncate(200 * 2**20)
    with pytest.raises(OutputError, match="too large"):
        embedded_sound(path)


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
    data = page_data(sheet, {}, load_phrases("en"))
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
