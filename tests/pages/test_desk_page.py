"""The desk in a browser: planned by hand or by keyboard, and open to everyone."""

from __future__ import annotations

import time
from itertools import count

import pytest
from pipeline.classes import SHORT_CLASS

from cuetrack.desk.shelf import id_of
from cuetrack.plan.reading import read_plan
from tests.pages.desk_server import answering
from tests.pages.looking import TOO_SMALL


@pytest.fixture(scope="module")
def desk(tmp_path_factory):
    """A desk that answers, with the short class in its folder."""
    folder = tmp_path_factory.mktemp("classes")
    with answering(folder) as address:
        yield address, folder


NUMBERS = count()


@pytest.fixture
def path(desk):
    """The plan of a class that no other test has touched."""
    path = desk[1] / f"short-{next(NUMBERS)}.yaml"
    path.write_text(SHORT_CLASS, "utf-8")
    return path


@pytest.fixture
def page(browser, desk, path):
    """The page of that class, its script there; no problem may reach the console."""
    context = browser.new_context(viewport={"width": 1280, "height": 900})
    page = context.new_page()
    problems = []
    page.on("pageerror", lambda error: problems.append(str(error)))
    page.on("console", lambda m: problems.append(m.text) if told(m) else None)
    page.goto(desk[0])
    page.click(f"a[href='/class/{id_of(path.name)}']")
    page.wait_for_selector("#script li", timeout=30_000)
    yield page
    context.close()
    assert problems == []


def told(message):
    """Whether the console tells of a problem; a refusal is shown on the page."""
    return message.type == "error" and "400 (Bad Request)" not in message.text


def until(true, seconds=30):
    """Wait until something is true."""
    end_s = time.monotonic() + seconds
    while not true():
        assert time.monotonic() < end_s
        time.sleep(0.05)


def movements(path):
    """Return the names of the works in the file."""
    plan = read_plan(path)
    section = next(one for one in plan.sections if one.intervals)
    return [movement.name for movement in section.movements]


def test_a_class_is_changed_by_keyboard_alone(page, path):
    """A piece opened, reworded, moved later and put back, all without a mouse."""
    before = movements(path)
    page.focus("#piece-2-0 > summary")
    page.keyboard.press("Enter")
    page.focus("#piece-2-0 [name=easier]")
    page.keyboard.type("Do a little less.")
    page.keyboard.press("Tab")
    until(lambda: "Do a little less." in path.read_text("utf-8"))
    focused = page.evaluate("document.activeElement.name")
    assert focused == "harder"
    page.focus("#piece-2-0 button[data-move='1']")
    page.keyboard.press("Enter")
    until(lambda: movements(path)[1] == before[0])
    assert movements(path) == [before[1], before[0], *before[2:]]
    page.focus("#undo")
    page.keyboard.press("Enter")
    until(lambda: movements(path) == before)
    page.keyboard.press("Enter")
    until(lambda: path.read_text("utf-8") == SHORT_CLASS)


def test_typing_without_a_pause_is_saved_as_one_goes(page, path):
    """Keys without a pause are saved on the way; leaving the page loses none."""
    page.click("#piece-2-0 > summary")
    page.click("#piece-2-0 [name=easier]")
    page.evaluate("""() => { let n = 0; window.typing = setInterval(() => {
      document.execCommand("insertText", false, `w${n++} `); }, 100); }""")
    until(lambda: "w0 w1 w2 " in path.read_text("utf-8"))
    page.evaluate("clearInterval(window.typing)")
    page.wait_for_selector("#status:has-text('Saved')")
    page.keyboard.type("and the last.")
    page.goto("about:blank")
    until(lambda: "and the last." in path.read_text("utf-8"))


def test_text_and_strip_change_together(page, path):
    """A mistake is named by its line while the strip keeps the last plan."""
    page.click("#text-panel > summary")
    page.fill("#text", SHORT_CLASS.replace("Short class", "Shorter class"))
    until(lambda: page.inner_text("#title").startswith("Shorter class"))
    page.fill("#text", SHORT_CLASS + "oops: [\n")
    page.wait_for_selector("#troubles li")
    assert page.inner_text("#troubles li").startswith("Line ")
    assert "oops" not in path.read_text("utf-8")
    assert page.locator("#strip rect").count() > 5


def test_a_movement_is_found_and_added(page, path):
    """By its words as they are typed, or by its name and Enter."""
    page.click("#add-2 > summary")
    page.type("#add-2 input[name=words]", "toe rai")
    page.click("[data-take='toe raise']")
    until(lambda: movements(path)[-1] == "toe raise")
    page.fill("#add-2 input[name=words]", "knee lift")
    page.press("#add-2 input[name=words]", "Enter")
    until(lambda: movements(path)[-1] == "knee lift")
    assert page.evaluate("document.activeElement.name") == "words"


@pytest.mark.parametrize(("scheme", "width"), [("light", 1280), ("dark", 320)])
def test_axe_finds_no_violation(page, scheme, width):
    """The rules of axe-core for WCAG 2.2 A and AA hold, with pieces open."""
    axe_package = pytest.importorskip(
        "axe_playwright_python.sync_playwright", reason='pip install ".[dev]"'
    )
    axe = axe_package.Axe()
    page.emulate_media(color_scheme=scheme)
    page.set_viewport_size({"width": width, "height": 800})
    rules = {"runOnly": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]}
    for summary in ("#whole", "#part-2", "#piece-2-0", "#text-panel"):
        page.click(f"{summary} > summary")
    found = axe.run(page, options=rules).response["violations"]
    assert [(one["id"], one["nodes"][0]["html"][:90]) for one in found] == []
    wide = page.evaluate("document.documentElement.scrollWidth")
    assert wide <= width


@pytest.mark.parametrize("width", [320, 640, 1280])
def test_all_targets_are_large_and_all_text_is(page, desk, width):
    """On every page, whatever is open."""
    page.set_viewport_size({"width": width, "height": 800})
    page.click("#add-2 > summary")
    page.fill("#add-2 [name=words]", "stretch")
    page.wait_for_selector("#add-2 .found li")
    page.click("button[value=gentler]")
    page.wait_for_selector("#would-be:not([hidden])")
    assert page.evaluate(TOO_SMALL) == []
    for place in ("/", "/new"):
        page.goto("/".join(desk[0].split("/")[:3]) + place)
        assert page.evaluate(TOO_SMALL) == []


def test_what_makes_no_sense_stays_and_is_told(page, path):
    """The field keeps what was typed and is marked; mended, all is well again."""
    page.click("#part-2 > summary")
    page.fill("#form-part-2 [name=work]", "1 s")
    page.keyboard.press("Tab")
    page.wait_for_selector("#trouble:not([hidden])")
    assert "work" in page.inner_text("#trouble")
    work = page.locator("#form-part-2 [name=work]")
    assert work.get_attribute("aria-invalid") == "true"
    assert work.input_value() == "1 s"
    page.fill("#form-part-2 [name=work]", "40 s")
    page.keyboard.press("Enter")
    until(lambda: "work: 40 s" in path.read_text("utf-8"))
    page.wait_for_selector("#trouble", state="hidden")
    assert page.locator("[aria-invalid]").count() == 0


def test_what_is_being_typed_stays_when_the_page_is_shown_anew(page, path):
    """A reason for the review, a sentence, and words to search for."""
    page.click("#part-2 > summary")
    page.fill("#form-say-2 [name=text]", "Not said yet.")
    page.click("#add-2 > summary")
    page.fill("#add-2 [name=words]", "stretch")
    page.wait_for_selector("#add-2 .found li")
    page.fill("#form-part-2 [name=rest]", "35 s")
    page.keyboard.press("Tab")
    until(lambda: "rest: 35 s" in path.read_text("utf-8"))
    page.wait_for_selector("#status:has-text('Saved')")
    assert page.input_value("#form-say-2 [name=text]") == "Not said yet."
    assert page.input_value("#add-2 [name=words]") == "stretch"
    assert page.locator("#add-2 .found li").count() > 3
    page.click("#form-say-2 button")
    until(lambda: "Not said yet." in path.read_text("utf-8"))
    page.wait_for_function(
        "() => !document.querySelector('#form-say-2 [name=text]').value"
    )


def test_a_movement_stays_open_where_it_goes(page, path):
    """Its form, the focus, and what differs follow it to its new place."""
    first = movements(path)[0]
    page.click("#piece-2-0 > summary")
    page.click("#piece-2-0 button[data-move='1']")
    until(lambda: movements(path)[1] == first)
    page.wait_for_selector("#piece-2-1[open]")
    assert not page.locator("#piece-2-0[open]").count()


def test_a_mistake_in_the_text_leads_to_its_line(page):
    """Lines are numbered; the button of a mistake marks its line."""
    page.click("#text-panel > summary")
    page.fill("#text", SHORT_CLASS.replace("work: 30 s", "work: 1 s"))
    page.click("#troubles button")
    line = next(
        number
        for number, text in enumerate(SHORT_CLASS.splitlines(), start=1)
        if "work: 30 s" in text
    )
    start = page.evaluate("() => document.getElementById('text').selectionStart")
    assert SHORT_CLASS[:start].count("\n") + 1 == line
    assert f"▶ {line}" in page.inner_text("#lines")


def test_two_tabs_notice_each_other(page, path):
    """What was typed in the older one is kept there, and taken when sent again."""
    other = page.context.new_page()
    other.goto(page.url)
    other.wait_for_selector("#script li", timeout=30_000)
    for one in (page, other):
        one.click("#part-2 > summary")
    page.fill("#form-part-2 [name=rest]", "35 s")
    page.keyboard.press("Tab")
    until(lambda: "rest: 35 s" in path.read_text("utf-8"))
    other.fill("#form-part-2 [name=work]", "45 s")
    other.keyboard.press("Tab")
    other.wait_for_selector("#trouble:has-text('another tab')")
    assert other.input_value("#form-part-2 [name=work]") == "45 s"
    assert other.input_value("#form-part-2 [name=rest]") == "35 s"
    other.focus("#form-part-2 [name=work]")
    other.keyboard.press("Enter")
    until(lambda: "work: 45 s" in path.read_text("utf-8"))
    assert "rest: 35 s" in path.read_text("utf-8")
    other.close()


def test_who_waits_for_a_plan_is_told_so_and_asks_once(page, desk):
    """The word stands in a live region; the button pressed is sent, then both rest."""
    page.goto("/".join(desk[0].split("/")[:3]) + "/new")
    # Answered without a new page, so that the one that waits can be looked at.
    page.route("**/new", lambda route: route.fulfill(status=204))
    status = page.locator("#status[aria-live=polite]")
    assert status.inner_text() == ""
    with page.expect_request("**/new") as asked:
        page.click("button[value=planned]", no_wait_after=True)
    assert "begin=planned" in asked.value.post_data
    page.wait_for_selector("button[value=planned][disabled]")
    assert status.inner_text() == "Planning…"
    assert page.locator("button:not([disabled])").count() == 0
