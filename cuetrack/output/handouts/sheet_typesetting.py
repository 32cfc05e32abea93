"""Setting type: pages and pictures through the compiler that typst carries.

Text goes in as data, never as markup. The face is Noto Sans: plain, its I, l
and 1 unlike each other and its zero not crossed, with Latin, Greek and Cyrillic.
Letters it lacks are taken from whatever fonts the system has; one that none of them
has shows as an empty box.
"""

from __future__ import annotations

from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import Literal

import fontpkg_noto_sans
import typst

FACE = fontpkg_noto_sans.FAMILY
PictureFormat = Literal["svg", "png"]

PICTURE_PPI = 144.0
_POINTS_PER_INCH = 72.0
_PICTURE = """\
#set page(width: auto, height: auto, margin: 0pt)
#image(
  bytes(sys.inputs.content),
  format: "svg",
  width: float(sys.inputs.width) * 1pt,
)
"""


@cache
def _fonts() -> typst.Fonts:
    return typst.Fonts(font_paths=[Path(fontpkg_noto_sans.ROOT) / "files"])


def template(name: str) -> str:
    """Return the text of a template of this package."""
    folder = files("cuetrack.output.handouts").joinpath("templates")
    return folder.joinpath(name).read_text(encoding="utf-8")


def pdf_of(source: str, content: str) -> bytes:
    """Return a tagged PDF of ``source``, which reads ``content`` as its input.

    It conforms to PDF/UA-1 unless a letter is in no font there is: that standard
    forbids to show a box in its place, so the PDF is then tagged but claims nothing.
    """
    try:
        return _compiled(source, content, standard="ua-1")
    except typst.TypstError as error:
        if "could not be displayed" not in str(error):
            raise
        return _compiled(source, content, standard=None)


def _compiled(source: str, content: str, standard: Literal["ua-1"] | None) -> bytes:
    pdf: bytes = typst.compile(
        source.encode("utf-8"),
        font_paths=_fonts(),
        sys_inputs={"content": content},
        format="pdf",
        pdf_standards=standard,
        timestamp=0,
    )
    return pdf


def picture_of(source: str, content: str, as_: PictureFormat) -> bytes:
    """Return the one page of ``source``, which reads ``content``, as a picture."""
    picture: bytes = typst.compile(
        source.encode("utf-8"),
        font_paths=_fonts(),
        sys_inputs={"content": content},
        format=as_,
        ppi=PICTURE_PPI,
    )
    return picture


def png_of(svg: str, width: float, pixels_per_unit: float) -> bytes:
    """Return a picture of an SVG that is ``width`` units wide."""
    png: bytes = typst.compile(
        _PICTURE.encode("utf-8"),
        font_paths=_fonts(),
        sys_inputs={"content": svg, "width": str(width)},
        format="png",
        ppi=_POINTS_PER_INCH * pixels_per_unit,
    )
    return png
