"""The run sheet in a browser: read by everyone, and printed from there."""

from __future__ import annotations

import io

import pypdf
import pytest

from cuetrack.output.handouts.run_sheet import run_sheet_html
from cuetrack.output.handouts.sheet_content import sheet_content
from tests.output.sheets import HOSTILE, WORDS, example, hostile_class

pytestmark = pytest.mark.web

RULES = {
    "runOnly": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa",
                "best-practice"],
    "rules": {"color-contrast-enhanced": {"enabled": True}},
}  # fmt: skip


@pytest.fixture
def sheet_file(tmp_path):
    """Give a function that writes the sheet of a placed class to a file."""

    def written(class_, placed, paper="a4"):
        path = tmp_path / "sheet.html"
        html = run_sheet_html(class_, placed, WORDS, paper=paper)
        path.write_text(html, encoding="utf-8")
        return path

    return written


@pytest.mark.outside
@pytest.mark.parametrize("width", [320, 1920])
def test_axe_finds_no_violation(open_page, sheet_file, width):
    """The rules of axe-core for WCAG 2.2 A and AA, and contrast AAA, all hold."""
    axe_package = pytest.importorskip(
        "axe_playwright_python.sync_playwright",
        reason='pip install ".[dev]" brings the checker of pages',
    )
    page = open_page(
        sheet_file(*example("hall-twenty")), viewport={"width": width, "height": 900}
    )
    found = axe_package.Axe().run(page, options=RULES).response["violations"]
    assert [rule["id"] for rule in found] == []


@pytest.mark.parametrize("name", ["markup", "overrides", "one word"])
@pytest.mark.parametrize("width", [320, 1920])
def test_nothing_is_wider_than_the_screen(open_page, sheet_file, name, width):
    """Whatever the plan says, one only scrolls downwards."""
    page = open_page(
        sheet_file(*hostile_class(HOSTILE[name])),
        viewport={"width": width, "height": 900},
    )
    assert page.evaluate("document.documentElement.scrollWidth") <= width


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_it_prints_on_its_paper_part_by_part(open_page, sheet_file, paper):
    """The browser's own PDF: size, page numbers, each part on a page of its own."""
    class_, placed = example("gentle-ten")
    page = open_page(sheet_file(class_, placed, paper))
    printed = pypdf.PdfReader(io.BytesIO(page.pdf(prefer_css_page_size=True)))
    width, height = {"a4": (595.3, 841.9), "letter": (612, 792)}[paper]
    texts = []
    for sheet in printed.pages:
        assert float(sheet.mediabox.width) == pytest.approx(width, abs=1)
        assert float(sheet.mediabox.height) == pytest.approx(height, abs=1)
        texts.append(" ".join(sheet.extract_text().split()))
    for part in sheet_content(class_, placed, WORDS).parts:
        (number,) = (n for n, text in enumerate(texts) if part.span in text)
        # The margin comes first in the file: the number stands at the page's foot.
        foot = f"Page {number + 1} of {len(texts)} "
        assert texts[number].removeprefix(foot).startswith(part.title)
    assert all(f"Page {n} of {len(texts)}" in t for n, t in enumerate(texts, start=1))
