"""The words of the desk: each that is asked for is there, and each is asked for."""

from __future__ import annotations

import re
from pathlib import Path

import cuetrack.desk
from cuetrack.desk.lending import LENT_ENDINGS
from cuetrack.desk.made_words import IN_ORDER
from cuetrack.desk.remedies import WAY_OF
from cuetrack.desk.templating import desk_words
from cuetrack.desk.work import FILM_STAGE, SHARES
from cuetrack.movements.sides import NAMED_SIDES
from cuetrack.output.track.formats import FORMATS
from cuetrack.plan.words import (
    Coaching,
    Counting,
    MusicStyle,
    Options,
    Pace,
    SectionKind,
    TimeCalls,
)

DESK = Path(cuetrack.desk.__file__).parent
ASKED = re.compile(r'(?:\bw|words|desk_words\(\))(?:\.(\w+)|\["([^"{]+)"\])')
OF_KINDS = {
    "level": ("new", "usual", "experienced"),
    "coaching": Coaching,
    "pace": Pace,
    "options": Options,
    "counting": Counting,
    "calls": TimeCalls,
    "music": MusicStyle,
    "part": SectionKind,
    "sides": [word for word in NAMED_SIDES if word != "alternating"],
    "mend": WAY_OF.values(),
    "stage": (*SHARES, FILM_STAGE),
    "lent": LENT_ENDINGS,
    "made": [ending for ending in IN_ORDER if ending not in FORMATS],
}


def test_every_word_is_there_and_used():
    """None is missing from a page, and none is left over."""
    files = [*DESK.glob("*.py"), *DESK.glob("templates/*.html")]
    source = "\n".join(path.read_text("utf-8") for path in files)
    asked = {dotted or quoted for dotted, quoted in ASKED.findall(source)}
    asked |= {f"{kind} {one}" for kind, them in OF_KINDS.items() for one in them}
    words = set(desk_words())
    assert words <= asked | set(re.findall(r'"([^"\n]+)"', source))
    dotted = {"get", "format", "items", "casefold"}
    assert {one for one in asked - dotted if one not in words} == set()
