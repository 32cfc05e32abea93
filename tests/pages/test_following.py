"""Opened from a file and played, the page shows what the cue sheet says, in time."""

from __future__ import annotations

import pytest

from cuetrack.output.track.captions import captions
from tests.pages.looking import wait_until
from tests.pages.shortclass import CUE_FILE, SEGMENTS, expected

pytestmark = pytest.mark.web

TOLERANCE_MS = 150
MOMENTS = 20
SHOWN = ("badge", "what", "side", "count", "coming-what", "caption")

_WATCH = """(shown) => {
  const media = document.getElementById("media");
  window.seen = { changes: [], looks: [] };
  const note = (id) => window.seen.changes.push(
    [id, document.getElementById(id).textContent, media.currentTime * 1000]);
  for (const id of shown) {
    new MutationObserver(() => media.paused || note(id)).observe(
      document.getElementById(id),
      { childList: true, characterData: true, subtree: true });
  }
  const look = () => {
    if (!media.paused) {
      const texts = Object.fromEntries(
        shown.map((id) => [id, document.getElementById(id).textContent]));
      window.seen.looks.push([media.currentTime * 1000, texts]);
    }
    if (!media.ended) setTimeout(look, 37);
  };
  look();
}"""


def may_be_shown(key: str, at_ms: float) -> set[str]:
    """Return what the cue sheet says at any time within the tolerance."""
    edges = {edge for row in SEGMENTS for edge in (row.start_ms, row.end_ms)}
    edges |= {row.end_ms - 1000 * n for row in SEGMENTS for n in range(5)}
    edges |= {edge for one in captions(CUE_FILE) for edge in (one.start_ms, one.end_ms)}
    near = [edge for edge in edges if abs(edge - at_ms) <= TOLERANCE_MS]
    times = [at_ms - TOLERANCE_MS, at_ms, at_ms + TOLERANCE_MS]
    times += [edge + step for edge in near for step in (-0.5, 0.5)]
    return {expected(max(0, time))[key] for time in times}


@pytest.fixture(scope="module")
def played(browser, short_class):
    """Play the whole class once from its file, watching what is shown when."""
    context = browser.new_context(viewport={"width": 1280, "height": 720})
    page = context.new_page()
    page.goto((short_class / "beside.html").as_uri())
    page.evaluate(_WATCH, list(SHOWN))
    page.click("#play")
    wait_until(page, "document.getElementById('media').ended", patience_s=40)
    seen = page.evaluate("window.seen")
    seen["rate"] = page.evaluate("document.getElementById('media').playbackRate")
    seen["badge"] = page.text_content("#badge")
    context.close()
    return seen


def test_the_display_keeps_to_the_clock_of_the_sound(played):
    """At 20 moments and more, all that is shown is right to 150 ms."""
    looks = played["looks"]
    wanted = [CUE_FILE.duration_ms * (n + 0.5) / MOMENTS for n in range(MOMENTS)]
    chosen = [min(looks, key=lambda look: abs(look[0] - ms)) for ms in wanted]
    assert all(abs(at - ms) < 300 for (at, _), ms in zip(chosen, wanted, strict=True))
    wrong = [
        (round(at), key, texts[key])
        for at, texts in [*chosen, *looks]
        for key in SHOWN
        if texts[key] not in may_be_shown(key, at)
    ]
    assert wrong == []


def test_every_change_comes_when_the_cue_sheet_says(played):
    """No text appears more than 150 ms before or after its time, and none is lost."""
    changes = played["changes"]
    assert len(changes) > MOMENTS
    wrong = [
        (key, text, round(at))
        for key, text, at in changes
        if text not in may_be_shown(key, at)
    ]
    assert wrong == []
    for key, first in (("what", "Welcome"), ("caption", None)):
        shown = [text for id_, text, _ in changes if id_ == key and text]
        steps = (expected(ms)[key] for ms in range(0, CUE_FILE.duration_ms, 10))
        told = [text for text in dict.fromkeys(steps) if text and text != first]
        assert list(dict.fromkeys(shown)) == told


def test_speed_is_never_changed(played):
    """The class is played at its own speed to its end, and the page says so."""
    assert played["rate"] == 1
    assert played["badge"] == "The class is done"


def test_a_page_that_holds_its_sound_plays_from_one_file(
    open_page, short_class, tmp_path
):
    """Alone in another folder, the page with the sound inside plays and seeks."""
    alone = tmp_path / "alone.html"
    alone.write_bytes((short_class / "inside.html").read_bytes())
    page = open_page(alone)
    page.click("#play")
    page.click("#forward")
    wait_until(page, "document.getElementById('media').currentTime > 2.2")
    assert page.text_content("#badge") == "Get ready"
    assert page.evaluate("document.getElementById('media').duration") == pytest.approx(
        16, abs=0.1
    )
