"""What three whole journeys through the desk cost: decisions, and seconds of hands.

``python -m tests.benchmarks.desk_journeys`` does each in Chromium, in the page itself,
and tells its operators of the keystroke-level model (tests/pages/keystrokes.py) and
their sum, for a typist of about 40 words a minute and for one who hardly types. What
the computer needs is not in it; the track is made of the first and last part alone.
"""

from __future__ import annotations

import shutil
import sys
import tempfile
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from playwright.sync_api import sync_playwright

from cuetrack.desk import work
from tests.pages.desk_journeys import LONG_MS, instructor, participant, volunteer
from tests.pages.desk_server import answering
from tests.pages.keystrokes import SLOW_KEY_S, Hands
from tests.pages.made_quickly import made_quickly
from tests.pipeline.classes import SHORT_CLASS

if TYPE_CHECKING:
    from playwright.sync_api import Browser

JOURNEYS = {
    "volunteer": volunteer,
    "instructor": instructor,
    "participant": partial(participant, title="Short class"),
}
HEAD = "journey      decisions  keys  points  homes  seconds  slow typist\n"


def main() -> int:
    """Do the journeys and print their table."""
    program = shutil.which("chromium")
    if program is None:
        sys.stderr.write("There is no Chromium here.\n")
        return 1
    work._make = made_quickly
    sys.stdout.write(HEAD)
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(
            executable_path=program, args=["--headless", "--no-sandbox"]
        )
        for name in JOURNEYS:
            sys.stdout.write(_row(name, browser))
        browser.close()
    return 0


def _row(name: str, browser: Browser) -> str:
    with tempfile.TemporaryDirectory() as folder:
        (Path(folder) / "short.yaml").write_text(SHORT_CLASS, "utf-8")
        with answering(Path(folder)) as address:
            context = browser.new_context(viewport={"width": 1280, "height": 900})
            context.set_default_timeout(LONG_MS)
            hands = Hands(context.new_page())
            JOURNEYS[name](hands, address)
            context.close()
    counts = f"{hands.decisions:>9} {hands.keys:>5} {hands.points:>7} {hands.homes:>6}"
    seconds = f"{hands.seconds():>8.0f} {hands.seconds(SLOW_KEY_S):>12.0f}"
    return f"{name:<12} {counts} {seconds}\n"


if __name__ == "__main__":
    sys.exit(main())
