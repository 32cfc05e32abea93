"""What is seen from afar, on small screens, after a reload, and without scripts."""

from __future__ import annotations

import pytest

from tests.pages.looking import plays, seek, track_ms, wait_until

pytestmark = pytest.mark.web

PLAYS = "!document.getElementById('media').paused"
BADGE = "document.getElementById('badge').textContent"
GROUND = "getComputedStyle(document.documentElement).backgroundColor"
IN_VIEW = """(id) => {
  const box = document.getElementById(id).getBoundingClientRect();
  return box.height > 0 && box.top >= 0 && box.bottom <= innerHeight;
}"""


@pytest.fixture
def page(open_page, short_class):
    return open_page(short_class / "beside.html")


def shown_at(page, ms):
    """Start if need be, and show a time of the class."""
    if not plays(page):
        page.click("#play")
        wait_until(page, PLAYS)
    seek(page, ms)
    page.wait_for_timeout(80)


def figure_now(page):
    """Return what the figure is: moving, positions, sitting; and its pixels."""
    return page.evaluate("""() => [document.getElementById("figure").dataset.shows,
      document.getElementById("canvas").toDataURL()]""")


def test_a_phase_is_told_by_the_figure_and_by_the_strip(page):
    """At work the figure moves and the block is tall; in a rest it stands, low."""
    shown_at(page, 5200)
    _, first = figure_now(page)
    page.wait_for_timeout(300)
    kind, second = figure_now(page)
    assert kind == "moving"
    assert first != second
    tall = float(page.get_attribute("#strip-present", "height"))
    shown_at(page, 7400)
    kind, _ = figure_now(page)
    assert kind == "positions"
    assert page.locator("#positions svg svg").count() >= 2
    assert float(page.get_attribute("#strip-present", "height")) < tall / 3


def test_the_strip_empties_as_time_goes(page):
    """What is left begins where the time is, from the first block to the last."""
    edges = []
    for ms in (500, 6000, 8200, 13_000, 15_000):
        shown_at(page, ms)
        edges.append(float(page.get_attribute("#strip-left", "x")))
        present = float(page.get_attribute("#strip-present", "x"))
        width = float(page.get_attribute("#strip-present", "width"))
        assert present <= edges[-1] <= present + width
    assert edges == sorted(edges)
    assert page.locator(".strip .gone rect").count() == 8


def test_the_figure_can_be_told_to_stand_still(page, open_page, short_class):
    """By choice or by a setting of the device, positions are shown at work too."""
    page.click("#more")
    page.get_by_label("Stands still").check()
    page.keyboard.press("Escape")
    shown_at(page, 5200)
    assert figure_now(page)[0] == "positions"
    calm = open_page(short_class / "beside.html", reduced_motion="reduce")
    shown_at(calm, 5200)
    assert figure_now(calm)[0] == "positions"


@pytest.mark.parametrize(
    ("width", "height"), [(740, 360), (320, 568), (360, 640), (640, 360)]
)
def test_captions_and_time_are_in_view_on_small_screens(
    open_page, short_class, width, height
):
    """Also at 200 % of 1280 by 720: no button lies over a caption, nothing scrolls."""
    page = open_page(
        short_class / "beside.html", viewport={"width": width, "height": height}
    )
    shown_at(page, 8200)
    for id_ in ("caption", "count", "badge", "coming-what", "play", "hold"):
        assert page.evaluate(IN_VIEW, id_), id_
    bottom, top = page.evaluate("""() => [
      document.getElementById("said").getBoundingClientRect().bottom,
      document.getElementById("controls").getBoundingClientRect().top]""")
    assert bottom <= top
    height_of_all = page.evaluate("document.documentElement.scrollHeight")
    assert height_of_all <= height


@pytest.mark.parametrize(("width", "height"), [(360, 740), (390, 844), (740, 360)])
def test_no_word_is_broken(open_page, short_class, width, height):
    """Every word of the page stands on one line."""
    page = open_page(
        short_class / "beside.html", viewport={"width": width, "height": height}
    )
    for ms in (None, 600, 8200, 10_000):
        if ms is not None:
            shown_at(page, ms)
        broken = page.evaluate("""() => {
          const found = [];
          const walk = document.createTreeWalker(document.getElementById("screen"), 4);
          for (let node = walk.nextNode(); node; node = walk.nextNode()) {
            if (!node.parentElement.checkVisibility()) continue;
            for (const word of node.data.matchAll(/\\S+/g)) {
              const range = document.createRange();
              range.setStart(node, word.index);
              range.setEnd(node, word.index + word[0].length);
              const tops = [...range.getClientRects()].map((box) => box.top);
              if (Math.max(...tops) - Math.min(...tops) > 8) found.push(word[0]);
            }
          }
          return found;
        }""")
        assert broken == []


def test_on_a_hold_there_is_one_way_on(page):
    """Only the button back to the class leads on, and it stands out."""
    shown_at(page, 12_800)
    page.click("#hold")
    visible = [
        id_
        for id_ in ("back", "play", "forward", "hold", "list", "anew")
        if page.is_visible(f"#{id_}")
    ]
    assert visible == ["hold"]
    assert "main" in page.get_attribute("#hold", "class").split()


def test_a_reload_goes_on_where_the_class_was(open_page, short_class):
    """Where the browser keeps anything, the first press leads to the same place."""
    page = open_page(short_class / "beside.html")
    page.evaluate("localStorage.clear()")
    shown_at(page, 8200)
    page.click("#play")
    page.reload()
    assert page.inner_text("#play") == "Go on from 0:08"
    page.click("#play")
    wait_until(page, PLAYS)
    assert 7000 < track_ms(page) < 8500
    seek(page, 8200)
    page.click("#play")
    page.reload()
    page.click("#anew")
    wait_until(page, PLAYS)
    assert track_ms(page) < 1000


def test_a_browser_that_keeps_nothing_still_runs_the_class(open_page, short_class):
    """Where storage is refused the class begins at its beginning."""
    page = open_page(short_class / "beside.html")
    page.evaluate("""() => {
      for (const name of ["getItem", "setItem"]) {
        Storage.prototype[name] = () => { throw new DOMException("refused"); };
      }
    }""")
    shown_at(page, 6000)
    assert page.evaluate(BADGE) == "Work"
    page.click("#play")
    assert page.evaluate(BADGE) == "Paused"


def test_choices_last(page):
    """Size of the text, theme and captions are as they were chosen, after a reload."""
    size = "parseFloat(getComputedStyle(document.body).fontSize)"
    before = page.evaluate(size)
    page.click("#more")
    page.get_by_label("Largest").check()
    page.get_by_label("Dark", exact=True).check()
    page.get_by_label("No captions").check()
    for _ in range(2):
        assert page.evaluate(size) > 1.3 * before
        ground = page.evaluate(
            "getComputedStyle(document.documentElement).backgroundColor"
        )
        assert ground == "rgb(21, 18, 28)"
        assert page.get_attribute("#said", "data-captions") == "off"
        page.reload()


def test_a_device_without_a_loudspeaker_is_told_of(open_page, short_class):
    """Where the browser lists no output, the page says so before anybody waits."""
    page = open_page(short_class / "beside.html", loudspeaker=False)
    page.evaluate("""() => {
      navigator.mediaDevices.enumerateDevices = async () => [{ kind: "audioinput" }];
      navigator.mediaDevices.dispatchEvent(new Event("devicechange"));
    }""")
    wait_until(page, "!document.getElementById('trouble').hidden")
    assert "No loudspeaker" in page.inner_text("#trouble")
    page.evaluate("""() => {
      navigator.mediaDevices.enumerateDevices = async () => [{ kind: "audiooutput" }];
      navigator.mediaDevices.dispatchEvent(new Event("devicechange"));
    }""")
    wait_until(page, "document.getElementById('trouble').hidden")


def test_a_browser_without_the_decoder_is_told_of(open_page, short_class, tmp_path):
    """A sound inside the page that cannot be played is not looked for in a folder."""
    text = (short_class / "inside.html").read_text("utf-8")
    start = text.index("data:audio/mp4;base64,") + len("data:audio/mp4;base64,")
    broken = tmp_path / "broken.html"
    broken.write_text(text[:start] + "AAAA" * 50 + text[text.index('"', start) :])
    page = open_page(broken, tolerant=True)
    wait_until(page, "!document.getElementById('trouble').hidden")
    assert "another browser" in page.inner_text("#trouble")


def test_without_scripts_there_is_a_player_and_the_class_as_text(
    open_page, short_class
):
    """Shown by something that runs no script, the sound plays and all is listed."""
    page = open_page(short_class / "inside.html", java_script_enabled=False)
    assert not page.is_visible("#screen")
    assert page.is_visible("#plain video[controls]")
    text = page.inner_text("#plain")
    for said in ("0:05", "heel dig", "punch, right side", "one arm forward"):
        assert said in text.casefold()
    assert page.locator("#plain .positions > svg").count() == 3
    assert page.get_attribute("#media", "src").startswith("data:audio/mp4;base64,")


def test_a_script_that_fails_leaves_the_plain_player(open_page, short_class, tmp_path):
    """On a browser too old for the script, the plain page is shown instead."""
    old = tmp_path / "old.html"
    text = (short_class / "inside.html").read_text("utf-8")
    first = text.index("<script>", text.index("<script>") + 1)
    end = text.index("</script>", first)
    policy = text.index("script-src")
    text = text[: first + 8] + "let let = ;" + text[end:]
    policy_end = text.index(";", policy)
    text = text[:policy] + "script-src 'unsafe-inline'" + text[policy_end:]
    old.write_text(text, encoding="utf-8")
    page = open_page(old, tolerant=True)
    assert page.is_visible("#plain video")
    assert not page.is_visible("#screen")
