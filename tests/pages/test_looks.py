"""The page looks as it did when people looked at it and found it good.

The pictures in ``looks`` were seen and kept; after a wanted change of the look,
delete them, run the tests, look at the new ones, and keep those. Letters differ a
little from machine to machine, so that pictures are compared in blocks.
"""

from __future__ import annotations

import io
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from tests.pages.looking import seek, wait_until

pytestmark = pytest.mark.web

LOOKS = Path(__file__).parent / "looks"
CASES = {
    "phone": ({"width": 390, "height": 844}, "light", 10_000),
    "laptop": ({"width": 1280, "height": 720}, "light", 8200),
    "television": ({"width": 1920, "height": 1080}, "dark", 10_000),
}
KEPT_WIDTH = {"phone": 195, "laptop": 320, "television": 480}
BLOCKS = 24
"""Blocks along the longer side; one is about as large as a button's word."""
NOTICED = 24
"""Grey levels of 255 by which a block differs visibly."""
MOST_BLOCKS_OFF = 0.015


def shown(page, case) -> Image.Image:
    _, _, ms = CASES[case]
    page.click("#play")
    wait_until(page, "!document.getElementById('media').paused")
    page.click("#play")
    seek(page, ms)
    page.evaluate("document.activeElement.blur()")
    page.mouse.move(0, 0)
    picture = Image.open(io.BytesIO(page.screenshot())).convert("L")
    width = KEPT_WIDTH[case]
    return picture.resize((width, round(picture.height * width / picture.width)))


def share_off(one: Image.Image, other: Image.Image) -> float:
    """Return the share of blocks in which two pictures differ visibly."""
    longer = max(one.size)
    size = tuple(max(1, round(side * BLOCKS / longer)) for side in one.size)
    grids = [
        np.asarray(picture.resize(size, Image.Resampling.BOX), dtype=float)
        for picture in (one, other)
    ]
    return float(np.mean(np.abs(grids[0] - grids[1]) > NOTICED))


@pytest.mark.parametrize("case", CASES)
def test_the_page_looks_as_it_was_kept(open_page, short_class, case):
    """Phone, laptop and television show what was looked at; a lost part is noticed."""
    viewport, scheme, _ = CASES[case]
    page = open_page(
        short_class / "beside.html", viewport=viewport, color_scheme=scheme
    )
    now = shown(page, case)
    kept = LOOKS / f"{case}.png"
    if not kept.exists():
        LOOKS.mkdir(exist_ok=True)
        now.quantize(16).save(kept, optimize=True)
        pytest.fail(f"look at {kept.name}, and keep it if it is good")
    assert share_off(Image.open(kept).convert("L"), now) <= MOST_BLOCKS_OFF
    page.evaluate("document.getElementById('figure').style.visibility = 'hidden'")
    without = Image.open(io.BytesIO(page.screenshot())).convert("L").resize(now.size)
    assert share_off(Image.open(kept).convert("L"), without) > MOST_BLOCKS_OFF
