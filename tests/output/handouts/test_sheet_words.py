"""The words of what is printed come from the phrase pack, whole and plain."""

from __future__ import annotations

from importlib.resources import files

import pytest
import yaml

from cuetrack.errors import CuetrackError
from cuetrack.languages.folders import is_right_to_left
from cuetrack.languages.phrase_keys import SHEET_FIELDS, SHEET_LISTS
from cuetrack.languages.phrases import known_languages, load_phrases, read_phrases
from cuetrack.output.handouts.run_sheet import run_sheet_html
from cuetrack.output.handouts.sheet_text import (
    short_length,
    shortened,
)
from tests.output.sheets import Page, example


def pack():
    path = files("cuetrack.languages").joinpath("en", "phrases.yaml")
    return yaml.safe_load(path.read_text(encoding="utf-8"))


def read(sheet, **changes):
    whole = pack() | changes
    whole["sheet"] = sheet
    return read_phrases(yaml.safe_dump(whole, allow_unicode=True), "xx.yaml")


@pytest.mark.parametrize("language", known_languages())
def test_every_pack_has_all_words_of_the_sheet(language):
    """Each key and each list, none empty."""
    phrases = load_phrases(language)
    assert set(phrases.sheet) == set(SHEET_FIELDS)
    assert set(phrases.sheet_lists) == set(SHEET_LISTS)
    assert all(phrases.sheet_lists.values())


@pytest.mark.parametrize("key", ["voice", "page", "picture bed"])
def test_a_missing_word_is_named(key):
    """The mistake shows when the pack is loaded, not on the paper."""
    sheet = pack()["sheet"]
    del sheet[key]
    with pytest.raises(CuetrackError, match=rf"xx\.yaml: sheet: '{key}' is missing"):
        read(sheet)


@pytest.mark.parametrize("lines", [None, [], "Chest pain"])
def test_a_missing_list_is_named(lines):
    """A list needs at least one line, and must be a list."""
    sheet = pack()["sheet"] | {"stop sign list": lines}
    with pytest.raises(CuetrackError, match="'stop sign list' is missing; give it"):
        read(sheet)


def test_a_placeholder_that_is_not_filled_is_refused():
    """It would be printed as it stands, or stop the printing."""
    sheet = pack()["sheet"] | {"page": "Page {number}", "before list": ["{title}"]}
    with pytest.raises(CuetrackError) as caught:
        read(sheet)
    assert "sheet: page: '{number}' cannot be filled in" in str(caught.value)
    assert "sheet: before list: '{title}' cannot be filled in" in str(caught.value)


def test_another_language_is_printed_in_its_own_words():
    """No English word of the sheet is left when the pack has none."""
    sheet = {
        key: f"xq {text}" if isinstance(text, str) else [f"xq {t}" for t in text]
        for key, text in pack()["sheet"].items()
    }
    phrases = read(sheet, language="he")
    class_, placed = example("gentle-ten")
    html = run_sheet_html(class_, placed, phrases)
    page = Page(html)
    assert page.all("html") == [{"lang": "he", "dir": "rtl"}]
    english = load_phrases("en")
    for key in ("before", "parts", "when to stop", "what to do", "venue", "rest"):
        assert f"xq {english.sheet[key]}" in page.text
        assert f"> {english.sheet[key]}<" not in html.replace("\n", " ")


def test_lengths_are_short_and_exact():
    """Minutes, seconds, both; a part of a second is kept."""
    phrases = load_phrases("en")
    lengths = {90_000: "1 min 30 s", 60_000: "1 min", 45_500: "45.5 s", 0: "0 s"}
    assert {ms: short_length(ms, phrases) for ms in lengths} == lengths


def test_languages_written_from_right_to_left_are_known():
    """Arabic, Hebrew, Persian and Urdu, with a region or without."""
    assert all(map(is_right_to_left, ("ar", "he-IL", "FA", "ur")))
    assert not any(map(is_right_to_left, ("en", "de-AT", "arn")))


def test_a_shortened_text_closes_its_marks():
    """A cut must not leave a mark of direction open."""
    assert shortened("\u202eabcdef\u202c", 4).count("\u202c") == 1
