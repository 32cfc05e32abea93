"""A browser for all tests of the page, and the short class it opens from files."""

from __future__ import annotations

import shutil

import pytest

from cuetrack.output.handouts.follow_page import PageSound, embedded_sound, follow_page
from cuetrack.output.track.metadata import Tags
from tests.pages.shortclass import CUE_FILE, DETAILS, FIGURES, write_sound

CHROMIUM_NAMES = ("chromium", "chromium-browser", "google-chrome", "chrome")
SWITCHES = (
    "--headless", "--no-sandbox", "--disable-gpu", "--disable-quic",
    "--no-first-run", "--disable-background-networking",
    "--disable-component-update", "--disable-sync",
    "--font-render-hinting=none", "--force-color-profile=srgb",
)  # fmt: skip
START_STOP_S = 20
A_LOUDSPEAKER = """
  navigator.mediaDevices.enumerateDevices = async () => [{ kind: "audiooutput" }];
"""
"""Machines that test have none; the page would rightly say so."""


@pytest.fixture(scope="session")
def launch():
    """Start Chromium as the system has it; left out where there is none."""
    sync_api = pytest.importorskip(
        "playwright.sync_api", reason='pip install ".[dev]" brings what opens pages'
    )
    path = next(filter(None, map(shutil.which, CHROMIUM_NAMES)), None)
    if path is None:
        pytest.skip("no Chromium to open pages with; install it as your system does")
    with sync_api.sync_playwright() as playwright:

        def launch(*more):
            return playwright.chromium.launch(
                executable_path=path,
                args=[*SWITCHES, *more],
                timeout=START_STOP_S * 1000,
            )

        yield launch


@pytest.fixture(scope="session")
def browser(launch):
    """One browser for all tests that need no settings of their own."""
    chromium = launch()
    yield chromium
    chromium.close()


@pytest.fixture(scope="session")
def short_class(tmp_path_factory):
    """The folder of the short class: track, page, and a page that holds its sound."""
    folder = tmp_path_factory.mktemp("short class #1 & é")
    sound = folder / "short class #1.wav"
    write_sound(sound)
    write_sound(folder / "small.m4a")
    held = embedded_sound(
        folder / "small.m4a", Tags(title=CUE_FILE.title, language="en")
    )
    for name, source in (("beside", sound.name), ("inside", held)):
        text = follow_page(
            CUE_FILE,
            PageSound(track=source),
            details=DETAILS,
            figures=FIGURES,
            bring=["a firm chair", "water"],
        )
        (folder / f"{name}.html").write_text(text, encoding="utf-8")
    return folder


@pytest.fixture
def open_page(browser):
    """Give a function that opens a page file in a context of its own.

    The test fails when the page has an error of its script, or asks for anything
    that is not a file.
    """
    contexts = []
    troubles = []

    def opened(
        path, *, allow_console=False, loudspeaker=True, tolerant=False, **settings
    ):
        settings = {"viewport": {"width": 1280, "height": 720}} | settings
        context = browser.new_context(**settings)
        context.set_default_timeout(10_000)
        contexts.append(context)
        if loudspeaker:
            context.add_init_script(A_LOUDSPEAKER)
        page = context.new_page()
        if not tolerant:
            page.on("pageerror", lambda error: troubles.append(str(error)))
        page.on(
            "request",
            lambda request: (
                request.url.startswith(("http", "ws"))
                and troubles.append(f"asks for {request.url}")
            ),
        )
        if not (allow_console or tolerant):
            page.on(
                "console",
                lambda message: (
                    message.type in {"error", "warning"}
                    and troubles.append(message.text)
                ),
            )
        page.goto(path.as_uri())
        return page

    yield opened
    for context in contexts:
        context.close()
    assert troubles == []
