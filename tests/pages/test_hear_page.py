"""The page on which doubtful readings are heard: seen, steered by keys, and saved."""

from __future__ import annotations

import json

import numpy as np
import pytest
import soundfile

from cuetrack.takes.doubts import DoubtfulReading, page_of
from cuetrack.times import SAMPLE_RATE_HZ

pytestmark = pytest.mark.web

READINGS = tuple(
    DoubtfulReading(
        id=f"0a1b2c3d-00000{number}",
        text=text,
        take="monday <b>.m4a",
        at="3:12",
        why=why,
        heard=heard,
        speech_start=0,
        speech_end=SAMPLE_RATE_HZ,
    )
    for number, (text, why, heard) in enumerate(
        [
            (
                "Next: heel dig.",
                "perhaps another movement is named: 'toe tap'",
                "toe tap",
            ),
            ("Lift & lower <slowly>.", "a word is missing", ""),
            ("Two.", "not understood", "ten"),
        ]
    )
)


@pytest.fixture(scope="module")
def page_file(tmp_path_factory):
    folder = tmp_path_factory.mktemp("mary's voice #1")
    for one in READINGS:
        path = folder / f"{one.id}.flac"
        soundfile.write(path, np.zeros(4800), SAMPLE_RATE_HZ, "PCM_24")
    (folder / "hear.html").write_text(page_of(READINGS, "mary's voice"), "utf-8")
    return folder / "hear.html"


def test_decisions_are_saved_by_the_keyboard_alone(open_page, page_file):
    """Tab, arrows and Enter keep one, drop one and leave one, and the file says so."""
    page = open_page(page_file)
    for place, key in ((0, "Space"), (1, "ArrowRight")):
        page.locator("input[value=keep]").nth(place).focus()
        page.keyboard.press(key)
    assert page.locator("#count").inner_text() == "2 of 3 decided."
    page.locator("button").focus()
    with page.expect_download() as waiting:
        page.keyboard.press("Enter")
    assert waiting.value.suggested_filename == "decisions.json"
    saved = json.loads(waiting.value.path().read_text("utf-8"))
    assert saved == {"keep": [READINGS[0].id], "drop": [READINGS[1].id]}
    assert "waits" in page.locator("#count").inner_text()


def test_each_reading_can_be_heard(open_page, page_file):
    """The sound beside the page is loaded, and its words are shown as they are."""
    page = open_page(page_file)
    length = page.evaluate(
        """async () => {
          const one = document.querySelector("audio");
          one.preload = "auto";
          await new Promise((done) => {
            one.onloadedmetadata = done; one.onerror = done; one.load();
          });
          return one.duration;
        }"""
    )
    assert length == pytest.approx(0.1, abs=0.01)
    assert page.locator("h2").nth(1).inner_text() == READINGS[1].text


@pytest.mark.outside
@pytest.mark.parametrize(("scheme", "width"), [("light", 320), ("dark", 1280)])
def test_axe_finds_no_violation_where_readings_wait(
    open_page, page_file, scheme, width
):
    """The rules of axe-core for WCAG 2.2 A and AA hold, and nothing runs off."""
    axe_package = pytest.importorskip(
        "axe_playwright_python.sync_playwright", reason='pip install ".[dev]"'
    )
    page = open_page(
        page_file, viewport={"width": width, "height": 900}, color_scheme=scheme
    )
    rules = {"runOnly": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]}
    found = axe_package.Axe().run(page, options=rules).response["violations"]
    assert [(rule["id"], rule["nodes"][0]["html"]) for rule in found] == []
    assert page.evaluate("document.documentElement.scrollWidth") <= width
