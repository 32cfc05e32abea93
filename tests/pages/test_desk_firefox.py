"""The main way through the desk in Firefox: from nothing to a class that is made."""

from __future__ import annotations

import time

import pytest
from pipeline.classes import SHORT_CLASS

from cuetrack.desk.shelf import id_of
from tests.pages.desk_server import answering
from tests.pages.firefox import Firefox, firefox_program

ENTER = "\ue007"
TAB = "\ue004"
BACKSPACE = "\ue003"
"""Keys as WebDriver (W3C) writes them, section 17.4.2."""


@pytest.fixture(scope="module")
def desk(tmp_path_factory):
    """A desk that answers, its folder empty."""
    folder = tmp_path_factory.mktemp("classes")
    with answering(folder) as address:
        yield address, folder


@pytest.fixture(scope="module")
def firefox(tmp_path_factory):
    """A Firefox of its own; left out where there is none."""
    program = firefox_program()
    if program is None:
        pytest.skip("no Firefox to open the desk with; install it as your system does")
    firefox = Firefox(program, tmp_path_factory.mktemp("profile"))
    yield firefox
    firefox.close()


def until(true, seconds=30):
    """Wait until something is true."""
    end_s = time.monotonic() + seconds
    while not true():
        assert time.monotonic() < end_s
        time.sleep(0.05)


def test_the_main_way_goes_in_firefox(firefox, desk):
    """A ready class taken, a piece reworded and undone by keys, and the make begun."""
    address, folder = desk
    firefox.go(address)
    firefox.click("form[action='/ready/0'] button")
    firefox.find("#script li")
    plan = folder / "twelve-gentle-minutes.yaml"
    before = plan.read_text("utf-8")
    assert firefox.text("#length") == "12:00"
    assert firefox.run("return document.querySelectorAll('#strip rect').length") > 10
    firefox.keys("#piece-1-0 > summary", ENTER)
    firefox.keys("#piece-1-0 [name=easier]", "Do a little less." + TAB)
    until(lambda: "Do a little less." in plan.read_text("utf-8"))
    assert firefox.run("return document.activeElement.name") == "harder"
    firefox.keys("#undo:enabled", ENTER)
    until(lambda: plan.read_text("utf-8") == before)
    firefox.click("#make")
    until(lambda: firefox.run("return !document.getElementById('progress').hidden"))
    firefox.click("#cancel")
    until(lambda: firefox.run("return document.getElementById('progress').hidden"))
    assert "CSP" not in firefox.run(
        "return document.getElementById('trouble').textContent"
    )


def test_a_plan_with_a_mistake_is_mended_in_its_text(firefox, desk):
    """The mistake is named by its line; once it is gone, the class is there."""
    address, folder = desk
    (folder / "odd.yaml").write_text(SHORT_CLASS + "oops: [heel dig", "utf-8")
    firefox.go(address)
    firefox.click(f"a[href='/class/{id_of('odd.yaml')}']")
    last = len(SHORT_CLASS.splitlines()) + 1
    assert firefox.text("#troubles li").startswith(f"Line {last}: ")
    firefox.keys("#text", BACKSPACE * len("oops: [heel dig"))
    firefox.find("#strip rect")
    assert firefox.text("#title") == "Short class at Larkfield Hall"
    assert (folder / "odd.yaml").read_text("utf-8") == SHORT_CLASS
