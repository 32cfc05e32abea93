"""The figure as drawn: outlines, what is darkest, and two writers that agree."""

from __future__ import annotations

import io
import math
import re
from dataclasses import replace

import pytest
import typst
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image, ImageChops, ImageStat

from cuetrack.movements.figure.camera import CAMERAS, Camera
from cuetrack.movements.figure.contact_sheet import COLUMNS, ROWS, one_sheet, pages_of
from cuetrack.movements.figure.looks import IN_COLOUR
from cuetrack.movements.figure.raster import picture_of
from cuetrack.movements.figure.shapes import Hull
from cuetrack.movements.figure.sketch import panels_of, printed_keys, sketch_at
from cuetrack.movements.figure.svg import svg_of
from cuetrack.movements.positions.motion import Closeness
from cuetrack.movements.positions.reading import motions

NAMES = sorted(motions())

discs = st.tuples(st.floats(-1, 1), st.floats(-1, 1), st.floats(0.01, 0.3))


@given(st.lists(discs, min_size=1, max_size=4))
def test_a_hull_goes_around_its_discs(around):
    """The outline is convex, runs counter-clockwise and leaves no disc outside."""
    points = Hull(discs=tuple(around), fill="#000000").points()
    corners = list(zip(points, points[1:] + points[:1], strict=True))
    for (ax, ay), (bx, by) in corners:
        far = math.hypot(bx - ax, by - ay)
        if far < 1e-9:
            continue
        for x, y, radius in around:
            inward = ((bx - ax) * (y - ay) - (by - ay) * (x - ax)) / far
            assert inward > radius * math.cos(math.radians(7)) - 1e-6


@given(st.floats(-180, 180), st.floats(-80, 80))
def test_a_camera_keeps_lengths_in_its_plane(around, above):
    """What lies square to the line of sight is seen at its true length."""
    camera = Camera(around=around, above=above)
    right = camera.seen(camera.rightward)
    assert right == pytest.approx((1.0, 0.0), abs=1e-9)
    assert camera.seen(camera.toward) == pytest.approx((0.0, 0.0), abs=1e-9)


def test_the_right_side_is_nearer_from_the_side():
    """Seen from the side the figure looks to the right, its right arm before it."""
    camera = CAMERAS[motions()["heel dig"].view]
    assert camera.depth((0.0, -0.1, 0.0)) > camera.depth((0.0, 0.1, 0.0))
    assert camera.seen((0.3, 0.0, 0.0))[0] > 0.2


@pytest.mark.parametrize("name", NAMES)
def test_every_movement_is_drawn(name):
    """Each has its start and each key position, inside the window, all finite."""
    motion = motions()[name]
    panels = panels_of(motion)
    assert len(panels) == (2 if motion.rounded else 1 + len(printed_keys(motion)))
    assert 2 <= len(panels) <= 4
    for panel in panels:
        for hull in panel.hulls:
            for x, y in hull.points():
                assert math.isfinite(x)
                assert math.isfinite(y)
                if motion.closeness is Closeness.WHOLE:
                    assert panel.window.left <= x <= panel.window.right


@pytest.mark.parametrize("name", NAMES)
def test_positions_look_different(name):
    """The start and the first key position differ in more than their arrows."""
    motion = motions()[name]
    start, end = sketch_at(motion, 0.0), sketch_at(motion, 0.5 / _stretches(motion))
    one, other = (picture_of(sketch, 200, 200) for sketch in (start, end))
    difference = ImageStat.Stat(ImageChops.difference(one, other).convert("L"))
    assert difference.sum[0] / 255 > 20


def _stretches(motion):
    return (len(motion.stations) / 2) * (2 if motion.sharing == "by turns" else 1)


@pytest.mark.outside
@pytest.mark.parametrize("name", ["biceps curl", "sit to stand", "fist roll"])
def test_svg_and_pixels_agree(name):
    """Drawn by another renderer of SVG (resvg, in typst) the picture is the same."""
    for panel in panels_of(motions()[name]):
        svg = svg_of(panel)
        wide, tall = panel.window.wide, panel.window.tall
        width, height = 400, round(400 * tall / wide)
        source = (
            f"#set page(width: {width}pt, height: {height}pt, margin: 0pt)\n"
            f"#image(bytes({_quoted(svg)}), width: {width}pt, height: {height}pt)"
        )
        png = typst.compile(source.encode(), format="png", ppi=72)
        theirs = Image.open(io.BytesIO(png)).convert("RGB")
        ours = picture_of(panel, *theirs.size)
        off = ImageChops.difference(ours, theirs).convert("L")
        assert ImageStat.Stat(off).mean[0] < 3.0
        solid = off.point(lambda value: 255 if value > 120 else 0)
        assert ImageStat.Stat(solid).mean[0] / 255 < 0.004


def _quoted(text):
    return '"' + text.replace("\\", "\\\\").replace('"', '\\"') + '"'


def test_svg_has_no_text_and_no_strangers():
    """A drawing holds nothing but its paper and filled paths."""
    svg = svg_of(panels_of(motions()["heel dig"])[0])
    assert set(re.findall(r"<(\w+)", svg)) == {"svg", "rect", "path"}


def _luminance(colour):
    """Return the relative luminance of WCAG 2.2."""
    channels = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    linear = [
        c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels
    ]
    return sum(w * c for w, c in zip((0.2126, 0.7152, 0.0722), linear, strict=True))


def _contrast(one, other):
    low, high = sorted((_luminance(one), _luminance(other)))
    return (high + 0.05) / (low + 0.05)


@pytest.mark.outside
def test_what_moves_stands_out_without_colour():
    """Lines, what moves and arrows have 3:1 against paper (WCAG 2.2, 1.4.11)."""
    palette = IN_COLOUR
    for colour in (palette.edge, palette.moving, palette.arrow):
        assert _contrast(colour, palette.paper) > 3
    for still in (palette.top, palette.trousers, palette.skin):
        assert _contrast(palette.moving, still) > 2.4
        assert _contrast(palette.edge, still) > 3


def test_another_palette_changes_every_colour():
    """All colours of a drawing come from the palette it was given."""
    plain = replace(IN_COLOUR, moving="#010203", arrow="#040506")
    fills = {h.fill for h in panels_of(motions()["heel dig"], palette=plain)[1].hulls}
    assert {"#010203", "#040506"} <= fills
    assert IN_COLOUR.moving not in fills
    assert IN_COLOUR.arrow not in fills


def test_the_contact_sheet_holds_every_movement():
    """Pages and the long sheet have a cell for each movement."""
    few = [motions()[name] for name in NAMES[: COLUMNS * ROWS + 1]]
    assert len(pages_of(few)) == 2
    rows = -(-len(few) // COLUMNS)
    sheet = one_sheet(few)
    assert sheet.height == rows * pages_of(few[:1])[0].height
