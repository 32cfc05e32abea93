"""Every state of the desk as pictures, to be looked at.

``python -m tests.benchmarks.desk_states FOLDER [STATE ...]`` walks a desk through all
that a leader may see and writes a picture of each state, whole pages, as FOLDER/MODE/
STATE.png: 1280 and 320 pixels wide, with text of twice the size, in both themes; and
FOLDER/MODE.png, all of them small on one sheet. It tells what sticks out to the side
or is too small to be hit. Chromium is needed.
"""

from __future__ import annotations

import argparse
import shutil
import sys
import tempfile
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from PIL import Image, ImageDraw
from playwright.sync_api import sync_playwright

from cuetrack.desk.shelf import id_of
from tests.benchmarks.desk_process import DeskProcess
from tests.pipeline.classes import SHORT_CLASS, SHORTEST_CLASS

if TYPE_CHECKING:
    from collections.abc import Iterator

    from playwright.sync_api import Page

EXAMPLES = Path(__file__).resolve().parents[2] / "examples"
MAKE_MS = 600_000
TEXT_SIZE = "(size) => { document.documentElement.style.fontSize = size; }"
MISFITS = """() => {
  const wide = document.documentElement.scrollWidth > innerWidth;
  const out = [...document.querySelectorAll("body *")].filter((one) => {
    const box = one.getBoundingClientRect();
    return box.width && box.right > innerWidth + 1 && !one.closest("#text, svg, .skip");
  });
  const small = [...document.querySelectorAll("button, input, select, summary")]
    .filter((one) => one.offsetParent && one.type !== "hidden")
    .filter((one) => one.getBoundingClientRect().height < 43.5);
  return [...(wide ? out : []), ...small].slice(0, 3)
    .map((one) => one.outerHTML.slice(0, 90));
}"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Mode:
    """A way to look at a page: its width, its theme, the size of its text."""

    name: str
    width: int
    scheme: str = "light"
    text_px: int = 0


MODES = (
    Mode(name="wide", width=1280),
    Mode(name="wide-dark", width=1280, scheme="dark"),
    Mode(name="narrow", width=320),
    Mode(name="narrow-dark", width=320, scheme="dark"),
    Mode(name="large-text", width=1280, text_px=36),
)


class Walk:
    """A walk through the desk; each step names the state it has come to."""

    def __init__(self, desk: DeskProcess, page: Page, folder: Path) -> None:
        self.page, self.folder = page, folder
        self._root = desk.address.partition("/start/")[0]
        self._address = desk.address

    def steps(self) -> Iterator[str]:
        """Yield the name of each state once it is on the page."""
        yield from self._folder()
        yield from self._class()
        yield from self._texts()
        yield from self._made()
        yield from self._lent()

    def _open(self, name: str) -> None:
        self.page.goto(f"{self._root}/class/{id_of(name)}")
        self.page.wait_for_selector("#script li", timeout=30_000)

    def _unfolded(self, selector: str) -> None:
        self.page.locator(f"{selector} > summary").first.click()

    def _folder(self) -> Iterator[str]:
        self.page.goto(self._address)
        yield "folder-empty"
        self.page.goto(f"{self._root}/new")
        yield "questions"
        self.page.fill("[name=who]", "new hip, wibble")
        self.page.click("button.main")
        yield "questions-not-understood"
        for name in ("hall-twenty", "gentle-ten"):
            shutil.copy(EXAMPLES / f"{name}.yaml", self.folder)
        (self.folder / "short.yaml").write_text(SHORT_CLASS, "utf-8")
        (self.folder / "odd.yaml").write_text(
            "title: Odd\nwarm-up: [heel dig\nwork: 3\n"
        )
        self.page.goto(self._root)
        yield "folder"
        self.page.goto(f"{self._root}/class/{'0' * 16}")
        yield "class-gone"
        self.page.goto(f"{self._root}/class/{id_of('odd.yaml')}")
        yield "class-that-is-no-plan"

    def _class(self) -> Iterator[str]:
        page = self.page
        self._open("hall-twenty.yaml")
        yield "class"
        for name in ("whole", "part-2", "piece-2-1"):
            self._unfolded(f"#{name}")
            yield f"form-{name}"
            self._unfolded(f"#{name}")
        self._unfolded("#part-2")
        self._unfolded("#rounds-2")
        yield "form-rounds"
        self._unfolded("#part-2")
        self._unfolded("#add-2")
        page.fill("#add-2 input[name=words]", "arms")
        page.press("#add-2 input[name=words]", "Enter")
        page.wait_for_selector("#add-2 [data-take]")
        yield "library"
        page.fill("#would [name=minutes]", "25")
        page.click("#would [value=fit]")
        page.wait_for_selector("#would-be:not([hidden])", timeout=60_000)
        yield "fit-shown"
        page.fill("#would [name=minutes]", "3")
        page.click("#would [value=fit]")
        page.wait_for_selector("#trouble:not([hidden])", timeout=60_000)
        yield "fit-not-possible"
        self._unfolded("#piece-2-1")
        page.fill("#piece-2-1 [name=for]", "soon")
        page.locator("#piece-2-1 [name=for]").blur()
        page.wait_for_selector("#trouble:not([hidden])")
        yield "field-not-understood"

    def _texts(self) -> Iterator[str]:
        page = self.page
        self._open("gentle-ten.yaml")
        self._unfolded("#whole")
        page.fill("#whole [name=who]", "hip replacement\nosteoporosis")
        page.locator("#whole [name=who]").blur()
        page.wait_for_timeout(3000)
        self._unfolded("#whole")
        if page.locator("#review details").count():
            self._unfolded("#review details")
        yield "review-unfolded"
        self._unfolded("#text-panel")
        text = page.input_value("#text")
        page.fill("#text", text + "oops: [\nwork: 3 s\n")
        page.wait_for_selector("#troubles li")
        yield "text-with-mistakes"
        self._open("short.yaml")
        other = page.context.new_page()
        other.goto(page.url)
        other.wait_for_selector("#script li", timeout=30_000)
        other.click("#whole > summary")
        other.fill("#whole [name=title]", "Changed in the other tab")
        other.locator("#whole [name=title]").blur()
        other.wait_for_selector("h1:has-text('other tab')")
        other.close()
        self._unfolded("#whole")
        page.fill("#whole [name=title]", "Changed in this tab")
        page.locator("#whole [name=title]").blur()
        page.wait_for_selector("#trouble:not([hidden])")
        yield "two-tabs"
        (self.folder / "short.yaml").write_text(SHORT_CLASS, "utf-8")
        self._open("short.yaml")
        page.wait_for_selector("#outside:not([hidden])")
        yield "changed-outside"
        page.click("[data-settle=theirs]")
        page.wait_for_selector("#outside", state="hidden")

    def _made(self) -> Iterator[str]:
        page = self.page
        (self.folder / "quick.yaml").write_text(SHORTEST_CLASS, "utf-8")
        self._open("quick.yaml")
        page.click("#make-film")
        page.wait_for_selector("#progress:not([hidden])")
        page.wait_for_timeout(2500)
        yield "making"
        page.wait_for_selector("#made:not([hidden])", timeout=MAKE_MS)
        yield "made"
        page.click("#measure")
        page.wait_for_function(
            "document.getElementById('measured').textContent.length > 40",
            timeout=MAKE_MS,
        )
        yield "verified"
        page.set_input_files("#recording", next(self.folder.glob("quick.mp3")))
        page.locator("details:has(> label > #recording) > summary").click()
        page.click("#recording-send")
        page.wait_for_function(
            "document.getElementById('room').textContent.length > 40", timeout=MAKE_MS
        )
        yield "room"
        track = self.folder / "quick.mp3"
        sound = track.read_bytes()
        track.write_bytes(sound[: len(sound) // 2])
        page.click("#measure")
        page.wait_for_timeout(15_000)
        yield "verified-bad"
        track.write_bytes(sound)

    def _lent(self) -> Iterator[str]:
        page = self.page
        self._unfolded("#lending")
        page.click("#lend")
        page.wait_for_selector("#lent-qr:not([hidden])")
        yield "lent"
        page.goto(page.inner_text("#lent-address"))
        yield "phone"
        page.goto(self._root)
        yield "folder-with-made"


def pictured(page: Page, state: str, out: Path) -> None:
    """Take pictures of a state in every mode, and tell what does not fit."""
    for mode in MODES:
        page.emulate_media(color_scheme=mode.scheme)
        page.set_viewport_size({"width": mode.width, "height": 800})
        size = f"{mode.text_px}px" if mode.text_px else ""
        page.evaluate(
            "(size) => { document.documentElement.style.fontSize = size; }", size
        )
        page.evaluate("scrollTo(0, 0)")
        page.wait_for_timeout(150)
        (out / mode.name).mkdir(parents=True, exist_ok=True)
        page.screenshot(path=out / mode.name / f"{state}.png", full_page=True)
        for misfit in page.evaluate(MISFITS):
            sys.stdout.write(f"{state}, {mode.name}: {misfit}\n")
    page.set_viewport_size({"width": 1280, "height": 800})
    page.evaluate(TEXT_SIZE, "")


def sheet(out: Path, mode: Mode) -> None:
    """Put the tops of all pictures of a mode on one sheet."""
    paths = sorted((out / mode.name).glob("*.png"))
    width, height, columns = (400, 560, 5) if mode.width > 400 else (220, 900, 9)
    rows = -(-len(paths) // columns)
    whole = Image.new("RGB", (columns * width, rows * (height + 16)), "#888")
    draw = ImageDraw.Draw(whole)
    for number, path in enumerate(paths):
        left, top = number % columns * width, number // columns * (height + 16)
        with Image.open(path) as picture:
            share = (width - 6) / picture.width
            part = picture.crop(
                (0, 0, picture.width, min(picture.height, int(height / share)))
            )
            small = part.resize((width - 6, int(part.height * share)))
        whole.paste(small, (left, top + 14))
        draw.text((left + 2, top), path.stem, fill="white")
    whole.save(out / f"{mode.name}.png")


def main() -> int:
    """Walk, take the pictures, put them on sheets."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("out", type=Path)
    parser.add_argument("states", nargs="*")
    arguments = parser.parse_args()
    chromium = shutil.which("chromium") or shutil.which("google-chrome")
    with tempfile.TemporaryDirectory(ignore_cleanup_errors=True) as scratch:
        folder = Path(scratch) / "classes"
        folder.mkdir()
        desk = DeskProcess(folder, Path(scratch) / "store")
        with sync_playwright() as playwright:
            browser = playwright.chromium.launch(executable_path=chromium)
            page = browser.new_context(bypass_csp=True).new_page()
            for state in Walk(desk, page, folder).steps():
                if not arguments.states or state in arguments.states:
                    pictured(page, state, arguments.out)
            browser.close()
        desk.stop()
    for mode in MODES:
        sheet(arguments.out, mode)
    return 0


if __name__ == "__main__":
    sys.exit(main())
