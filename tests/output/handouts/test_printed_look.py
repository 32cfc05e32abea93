"""Printed pages look as they did when they were last looked at."""

from __future__ import annotations

from functools import cache

import pytest
from PIL import Image, ImageChops, ImageStat

from tests.output.references import FOLDER, pictures

STRIP_PIXELS = 16
"""About a line of text at the scale of the pictures."""

MOST_DIFFERENCE = 6.0
"""Mean of any strip, in shades of 255: versions of PDFium smooth letters a little
differently; a lost or moved line differs by more than twice this."""

drawn = cache(pictures)


def difference(one, other):
    """Return the mean difference of the strip in which two pictures differ most."""
    apart = ImageChops.difference(one, other)
    strips = (
        apart.crop((0, top, apart.width, min(top + STRIP_PIXELS, apart.height)))
        for top in range(0, apart.height, STRIP_PIXELS)
    )
    return max(ImageStat.Stat(strip).mean[0] for strip in strips)


def test_every_reference_is_still_drawn():
    """No picture is kept that nothing compares."""
    assert {path.name for path in FOLDER.glob("*.png")} == set(drawn())


@pytest.mark.parametrize("path", sorted(FOLDER.glob("*.png")), ids=lambda p: p.name)
def test_pages_look_as_they_did(path):
    """Same size, and hardly a shade apart."""
    with Image.open(path) as kept:
        now = drawn()[path.name]
        assert now.size == kept.size
        assert difference(now, kept.convert("L")) <= MOST_DIFFERENCE


@pytest.mark.parametrize("name", ["sheet-a4-1.png", "sheet-letter-2.png"])
def test_a_missing_line_would_be_seen(name):
    """The tolerance is less than half of what the loss of a line makes."""
    page = drawn()[name]
    lost = page.copy()
    top = page.height // 3
    lost.paste(255, (0, top, page.width, top + STRIP_PIXELS))
    assert difference(page, lost) > 2 * MOST_DIFFERENCE
