"""What is shown can be read: at every size, by every reader, whatever its text."""

from __future__ import annotations

import io

import numpy as np
import pytest
from msgspec import structs
from PIL import Image

from cuetrack.languages.phrases import load_phrases
from cuetrack.output.handouts.follow_data import SegmentDetails
from cuetrack.output.handouts.follow_page import PageSound, follow_page
from cuetrack.output.track.captions import captions
from tests.pages.looking import plays, seek, track_ms, wait_until
from tests.pages.shortclass import CUE_FILE, CUES, DETAILS, SEGMENTS, write_sound

pytestmark = pytest.mark.web

PLAYS = "!document.getElementById('media').paused"
SIZES = ((320, 568), (390, 844), (844, 390), (1280, 720), (1920, 1080), (3840, 2160))
TARGET_PX = 44
"""WCAG 2.2, 2.5.5 Target Size (Enhanced), AAA: 44 by 44 CSS pixels."""


def page_of(folder, name, cue_file=CUE_FILE, details=DETAILS, **more):
    """Write a page that needs no sound of its own to be looked at."""
    path = folder / f"{name}.html"
    source = more.pop("sound", PageSound(track="short class #1.wav"))
    text = follow_page(cue_file, source, details=details, **more)
    path.write_text(text, encoding="utf-8")
    return path


def paused_at(page, ms):
    page.click("#play")
    wait_until(page, PLAYS)
    page.click("#play")
    seek(page, ms)
    page.evaluate("document.activeElement.blur()")


@pytest.mark.parametrize(("width", "height"), SIZES)
def test_it_fits_every_width_with_large_buttons(open_page, short_class, width, height):
    """From a small phone to 4K nothing is cut off at the side, buttons are 44 px."""
    page = open_page(
        short_class / "beside.html", viewport={"width": width, "height": height}
    )
    for shows in (None, 600, 8200, 10_000):
        if shows is not None:
            seek(page, shows)
            if not plays(page):
                page.click("#play")
                wait_until(page, PLAYS)
            page.wait_for_timeout(60)
        assert page.evaluate("document.documentElement.scrollWidth") <= width
        assert words_broken(page) == []
        assert (
            page.evaluate("""() => [...document.querySelectorAll("#screen *")].filter(
              (one) => one.checkVisibility() && !one.closest(".unseen, svg, video")
                && one.scrollWidth > one.clientWidth + 1 && one.clientWidth > 0
                && getComputedStyle(one).display !== "inline").map((one) => one.id)""")
            == []
        )
    page.click("#more")
    boxes = page.evaluate(
        """() => [...document.querySelectorAll("button, label, input[type=range]")]
        .filter((one) => one.checkVisibility())
        .map((one) => one.getBoundingClientRect())
        .map((box) => [box.width, box.height])"""
    )
    assert len(boxes) >= 8
    assert all(min(box) >= TARGET_PX for box in boxes)


@pytest.mark.parametrize(("width", "height"), [(390, 844), (1280, 720)])
def test_letters_twice_as_large_still_fit(launch, short_class, width, height):
    """WCAG 2.2, 1.4.4: with letters of 200 % nothing is lost to the side."""
    chromium = launch("--blink-settings=defaultFontSize=32")
    page = chromium.new_page(viewport={"width": width, "height": height})
    page.goto((short_class / "beside.html").as_uri())
    paused_at(page, 8200)
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    cut = page.evaluate("""() => [...document.querySelectorAll("#screen button")]
      .filter((one) => one.checkVisibility() && one.scrollWidth > one.clientWidth + 1)
      .map((one) => one.id)""")
    assert cut == []
    chromium.close()


def words_broken(page) -> list[str]:
    """Return the large lines in which a word does not fit its line."""
    return page.evaluate("""() => ["what", "coming-what", "count"].filter((id) => {
      const line = document.getElementById(id);
      line.style.overflowWrap = "normal";
      const broken = line.scrollWidth > line.clientWidth + 1 && line.clientWidth > 0;
      line.style.overflowWrap = "";
      return broken;
    })""")


def test_across_a_hall_the_movement_and_the_time_are_large(open_page, short_class):
    """On a television 1080 lines high, both are over a twelfth of its height.

    Common practice: letters a two-hundredth of the viewing distance; on a screen
    60 cm high, seen from eight metres, capitals of 4 cm are 72 lines high.
    """
    page = open_page(
        short_class / "beside.html", viewport={"width": 1920, "height": 1080}
    )
    paused_at(page, 10_000)
    for id_ in ("what", "count"):
        size = page.evaluate(
            "id => parseFloat(getComputedStyle(document.getElementById(id)).fontSize)",
            id_,
        )
        assert size * 0.7 >= 72


@pytest.mark.outside
@pytest.mark.parametrize(("scheme", "width"), [("light", 320), ("dark", 1920)])
def test_axe_finds_no_violation(open_page, short_class, scheme, width):
    """The rules of axe-core for WCAG 2.2 A, AA and AAA and best practice all hold."""
    axe_package = pytest.importorskip(
        "axe_playwright_python.sync_playwright",
        reason='pip install ".[dev]" brings the checker of pages',
    )
    axe = axe_package.Axe()
    rules = {
        "runOnly": ["wcag2a", "wcag2aa", "wcag2aaa", "wcag21a", "wcag21aa", "wcag22aa",
                    "best-practice"],
        "rules": {"color-contrast-enhanced": {"enabled": True}},
    }  # fmt: skip
    page = open_page(
        short_class / "beside.html",
        viewport={"width": width, "height": 900},
        color_scheme=scheme,
    )

    def violations():
        found = axe.run(page, options=rules).response["violations"]
        return [
            (rule["id"], [node["html"] for node in rule["nodes"]]) for rule in found
        ]

    assert violations() == []
    paused_at(page, 8200)
    assert violations() == []
    page.click("#hold")
    assert violations() == []
    page.click("#hold")
    for button in ("list", "more"):
        page.click(f"#{button}")
        assert violations() == []
        page.keyboard.press("Escape")


@pytest.mark.parametrize("contrast", ["more", "no-preference"])
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_every_text_has_a_contrast_of_seven_to_one(
    open_page, short_class, scheme, contrast
):
    """WCAG 2.2, 1.4.6 (AAA), by the formula of its definition, in every state."""
    page = open_page(
        short_class / "beside.html", color_scheme=scheme, contrast=contrast
    )
    page.click("#play")
    for ms in (500, 1600, 6000, 8200, 13_000):
        seek(page, ms)
        page.wait_for_timeout(60)
        pairs = page.evaluate("""() => ["badge-line", "what", "how", "count", "unit",
          "place", "caption", "clock", "title", "coming-head", "coming-what", "play",
          "back"]
          .map((id) => document.getElementById(id)).map((one) => {
            let under = one;
            const ground = (e) => getComputedStyle(e).backgroundColor;
            const clear = (e) => ground(e) === "rgba(0, 0, 0, 0)";
            while (clear(under) && under.parentElement) under = under.parentElement;
            return [one.id, getComputedStyle(one).color, ground(under)];
          })""")
        low = [pair for pair in pairs if contrast_of(*pair[1:]) < 7]
        assert low == []


def contrast_of(one: str, other: str) -> float:
    """Return the contrast ratio of two colours as WCAG 2.2 defines it."""
    lighter, darker = sorted(map(luminance, (one, other)), reverse=True)
    return (lighter + 0.05) / (darker + 0.05)


def luminance(colour: str) -> float:
    parts = [int(part) / 255 for part in colour[4:-1].split(",")]
    linear = [
        p / 12.92 if p <= 0.04045 else ((p + 0.055) / 1.055) ** 2.4 for p in parts
    ]
    return float(np.dot([0.2126, 0.7152, 0.0722], linear))


def test_the_contrast_formula_is_that_of_wcag():
    """White on black is 21; #767676 on white is the known borderline of 4.54."""
    assert contrast_of("rgb(255, 255, 255)", "rgb(0, 0, 0)") == pytest.approx(21)
    grey = contrast_of("rgb(118, 118, 118)", "rgb(255, 255, 255)")
    assert grey == pytest.approx(4.54, abs=0.005)


def test_states_differ_by_word_and_shape_too(open_page, short_class):
    """No state is told by colour alone."""
    page = open_page(short_class / "beside.html")
    page.click("#play")
    seen = set()
    for ms in (500, 1600, 6000, 8200, 13_000, 15_000):
        seek(page, ms)
        page.wait_for_timeout(60)
        word = page.inner_text("#badge")
        seen.add((word, page.get_attribute("#badge-shape", "href")))
    assert (
        len(seen) == len({word for word, _ in seen}) == len({s for _, s in seen}) == 6
    )


def test_nothing_moves_or_flashes(open_page, short_class):
    """No animation and no transition is defined, so there is none to be reduced."""
    page = open_page(short_class / "beside.html", reduced_motion="reduce")
    moving = page.evaluate("""() => [...document.all].filter((one) => {
      if (!one.checkVisibility()) return false;
      const style = getComputedStyle(one);
      return style.animationName !== "none" || style.transitionDuration !== "0s";
    }).length""")
    assert moving == 0
    assert page.evaluate("document.getAnimations().length") == 0


def test_the_browser_shows_the_captions_as_a_text_track(open_page, short_class):
    """The track inside the page is read by the browser, and drawn when it is chosen."""
    page = open_page(short_class / "beside.html")
    kind, read, cues = page.evaluate("""async () => {
      const { track } = document.getElementById("track");
      const soon = () => new Promise((done) => setTimeout(done, 20));
      while (!track.cues?.length) await soon();
      return [track.kind, document.getElementById("track").readyState,
        [...track.cues].map((cue) => [cue.startTime * 1000, cue.endTime * 1000,
          cue.getCueAsHTML().textContent])];
    }""")
    assert (kind, read) == ("captions", 2)
    own = [
        (one.start_ms, one.end_ms, "\n".join(one.lines)) for one in captions(CUE_FILE)
    ]
    assert [tuple(cue) for cue in cues] == [
        (pytest.approx(start), pytest.approx(end), text) for start, end, text in own
    ]
    paused_at(page, 600)
    page.click("#more")
    page.get_by_label("In the style of this browser").check()
    page.keyboard.press("Escape")
    assert page.evaluate("document.getElementById('track').track.mode") == "showing"
    assert not page.is_visible("#caption")
    seek(page, 600)
    page.wait_for_timeout(200)
    active = "[...document.getElementById('track').track.activeCues].map(c => c.text)"
    assert page.evaluate(active) == ["<c.welcome>Hello and welcome.</c>"]
    assert bright_share(page) > 0.002
    seek(page, 15_900)
    page.wait_for_timeout(200)
    assert page.evaluate(active) == []
    assert bright_share(page) == 0


def bright_share(page) -> float:
    """Return how much of the caption's place is lit by letters."""
    picture = Image.open(io.BytesIO(page.locator("#media").screenshot())).convert("L")
    inner = np.asarray(picture)[6:-6, 6:-6]
    return float(np.mean(inner > 128))


def test_a_missing_sound_is_told_in_words(open_page, tmp_path):
    """A page without its sound says which file must lie where."""
    lost = page_of(tmp_path, "lost", sound=PageSound(track="gone & away.m4a"))
    page = open_page(lost, allow_console=True)
    wait_until(page, "!document.getElementById('trouble').hidden")
    assert "gone & away.m4a" in page.inner_text("#trouble")
    page.click("#play")
    assert "gone & away.m4a" in page.inner_text("#trouble")
    assert page.get_attribute("#trouble", "role") == "alert"


HOSTILE = (
    "</script><script>document.title = 'broken'</script> <!-- <script> ]]> &lt;b&gt;",
    "<img src=x onerror=\"document.title = 'broken'\"> \" onload='alert(1)' x=\"",
    "line\u2028and\u2029paragraph {round} {{ title }} ${title} \\u003c 🪑💪",
    "\u202eturned and left open \u05e9\u05dc\u05d5\u05dd",
    "x" * 10_000,
    "word " * 2000,
)


@pytest.mark.parametrize("text", HOSTILE)
def test_text_of_a_plan_appears_as_text(open_page, tmp_path, text):
    """Whatever a plan says is shown as it is, and breaks neither page nor width."""
    details = {
        row.id: SegmentDetails(how=text, easier=text, equipment=text, caution=text)
        for row in SEGMENTS
    }
    hostile = structs.replace(
        CUE_FILE,
        title=text,
        segments=tuple(
            structs.replace(row, section=text, movement=row.movement and text)
            for row in SEGMENTS
        ),
        cues=tuple(structs.replace(cue, text=text) for cue in CUES[:1]),
    )
    write_sound(tmp_path / "hostile.wav")
    source = PageSound(track="hostile.wav")
    path = page_of(tmp_path, "hostile", hostile, details, bring=[text], sound=source)
    page = open_page(path, viewport={"width": 320, "height": 640})
    shown = " ".join(text.split())
    assert page.title() == shown
    assert page.text_content("#title") == shown
    paused_at(page, 10_000)
    for id_ in ("what", "how"):
        assert page.text_content(f"#{id_}") == shown
    assert page.locator("script").count() == 3
    assert page.locator("#screen img, #screen b, [onload], [onerror]").count() == 0
    assert page.evaluate("document.documentElement.scrollWidth") <= 320
    assert page.locator("#play").bounding_box()["y"] < 640
    page.click("#list")
    assert page.text_content("#parts bdi") == shown


def test_a_language_from_right_to_left_turns_the_page(open_page, short_class):
    """In Hebrew the page runs the other way, and so do its arrow keys."""
    hebrew = structs.replace(CUE_FILE, language="he")
    path = page_of(short_class, "turned", hebrew, phrases=load_phrases("en"))
    page = open_page(path, viewport={"width": 390, "height": 844})
    assert page.get_attribute("html", "dir") == "rtl"
    page.click("#play")
    page.click("#play")
    back, forward = (
        page.locator(f"#{i}").bounding_box()["x"] for i in ("back", "forward")
    )
    assert back > forward
    assert page.evaluate("document.documentElement.scrollWidth") <= 390
    page.keyboard.press("ArrowLeft")
    assert track_ms(page) == pytest.approx(1500, abs=1)


def test_voice_and_music_have_volumes_of_their_own_and_keep_together(
    open_page, tmp_path
):
    """With two stems, each has its volume; they stay within a tenth of a second."""
    for name in ("voice.wav", "bed.wav"):
        write_sound(tmp_path / name)
    sound = PageSound(track="none.wav", voice="voice.wav", bed="bed.wav")
    page = open_page(page_of(tmp_path, "stems", sound=sound))
    page.evaluate("""() => {
      const play = HTMLMediaElement.prototype.play;
      HTMLMediaElement.prototype.play = function () {
        if (this.tagName === "AUDIO") window.bed = this;
        return play.call(this);
      };
    }""")
    page.click("#play")
    wait_until(page, PLAYS)
    page.click("#more")
    page.locator("#bed-volume").fill("30")
    page.keyboard.press("Escape")
    assert page.evaluate("window.bed.volume") == pytest.approx(0.3)
    assert page.evaluate("document.getElementById('media').volume") == 1
    page.click("#forward")
    page.click("#forward")
    page.click("#forward")
    page.wait_for_timeout(600)
    apart = "(window.bed.currentTime - document.getElementById('media').currentTime)"
    assert abs(page.evaluate(apart)) < 0.1
    page.click("#hold")
    assert not plays(page)
    assert not page.evaluate("window.bed.paused")
    page.click("#hold")
    wait_until(page, PLAYS)
    page.wait_for_timeout(300)
    assert abs(page.evaluate(apart)) < 0.1
