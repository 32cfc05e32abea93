"""What was made of a class, in words and in the order of its use."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from cuetrack.desk.templating import desk_words
from cuetrack.output.track.formats import FORMATS

if TYPE_CHECKING:
    from collections.abc import Collection

IN_ORDER: Final = (
    *FORMATS,
    "glance.a4.pdf",
    "glance.letter.pdf",
    "follow.html",
    "home.a4.pdf",
    "home.letter.pdf",
    "run-sheet.a4.pdf",
    "run-sheet.letter.pdf",
    "mp4",
    "picture.png",
    "notice.txt",
)


def made_words(endings: Collection[str]) -> list[dict[str, str | bool]]:
    """Return the files that a leader uses, each with its words and its ending."""
    words = desk_words()
    return [
        {
            "ending": ending,
            "track": ending in FORMATS,
            "told": words["made track" if ending in FORMATS else f"made {ending}"],
        }
        for ending in IN_ORDER
        if ending in endings
    ]
