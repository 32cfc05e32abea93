"""Rhythms and lines as data: sixteen steps a bar, four a beat, bars parted by ``|``.

``X`` is struck hard, ``x`` as usual, ``o`` softly; ``-`` lets the stroke before it
ring on, ``.`` is silence. Bass figures name tones of the chord by their place in
the scale over its root; arpeggios count the tones of the chord from below.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import takewhile
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterator

STEPS_A_BEAT = 4
STRENGTHS = {"X": 1.0, "x": 0.75, "o": 0.45}
_PLAIN_STRENGTH = 0.7
_SILENT = ".-"


@dataclass(frozen=True, slots=True, kw_only=True)
class Stroke:
    """One stroke of a figure: where in the bar, for how many steps, how hard."""

    step: int
    steps: int
    sign: str

    @property
    def strength(self) -> float:
        """How hard, 0..1; a tone at the start of a bar a little more."""
        plain = _PLAIN_STRENGTH + (0.15 if self.step == 0 else 0.0)
        return STRENGTHS.get(self.sign, plain)


def strokes(figure: str, bar: int, beats: int) -> Iterator[Stroke]:
    """Yield the strokes of a bar, cut off after ``beats``.

    >>> [(one.step, one.steps, one.sign) for one in strokes("x---..o.", 0, 2)]
    [(0, 4, 'x'), (6, 1, 'o')]
    """
    bars = figure.split("|")
    steps = bars[bar % len(bars)][: beats * STEPS_A_BEAT]
    for step, sign in enumerate(steps):
        if sign not in _SILENT:
            ringing = sum(1 for _ in takewhile("-".__eq__, steps[step + 1 :]))
            yield Stroke(step=step, steps=1 + ringing, sign=sign)


GROOVES: dict[str, dict[str, str]] = {
    "march": {
        "kick": "X.......x.......",
        "brush": "....x.......x...",
        "shaker": "x.o.x.o.x.o.x.o.",
    },
    "stroll": {
        "kick": "X.......x.....o.|X.......x..o....",
        "rim": "....o.......o...",
        "shaker": "o.x.o.x.o.x.o.x.",
    },
    "backbeat": {
        "kick": "X.....o.x.......|X.....o.x..o....",
        "brush": "....X.......X...|....X.......X..o",
        "hat": "x.o.x.o.x.o.x.o.",
    },
    "clapping": {
        "kick": "X...o...x...o...",
        "clap": "....x.......x...",
        "shaker": "x.oox.oox.oox.oo",
        "low drum": "......o.......o.|......o.....o.o.",
    },
    "four": {
        "kick": "X...x...X...x...",
        "clap": "....x.......x...|....x.......x.o.",
        "hat": "..x...x...x...x.",
        "shaker": "o.o.o.o.o.o.o.o.",
    },
    "hands": {
        "low drum": "X.....x.x.......|X.....x.x...o...",
        "high drum": "..o.x.....o.x.o.|..o.x.....o.x.oo",
        "shaker": "x.o.x.o.x.o.x.o.",
    },
    "swung": {
        "kick": "o.......o.......",
        "brush": "..o.x.o...o.x.o.",
        "hat": "x...x.x.x...x.x.",
        "rim": "............o...|................",
    },
    "shuffle": {
        "kick": "X.......x.......",
        "brush": "....x.......x...",
        "hat": "x.o.x.o.x.o.x.o.",
    },
    "pulse": {"kick": "o.......o.......", "shaker": "x...o...x...o..."},
    "breath": {"shaker": "o.......o......."},
    "heartbeat": {"low drum": "x.......o.......", "shaker": "o...o...o...o..."},
}
"""What the drums play, bar after bar."""

FILLS: dict[str, dict[str, str]] = {
    "roll down": {
        "kick": "X.......x.......",
        "high drum": "........x.x.....",
        "low drum": "............x.X.",
    },
    "answer": {
        "kick": "X...............",
        "brush": "....x.....x.x.x.",
        "low drum": "..........o.x.X.",
    },
    "lift": {
        "kick": "X.......x...x...",
        "shaker": "x.o.x.o.xxxxxxxx",
        "clap": "............x.x.",
    },
    "step": {
        "kick": "X.......x.......",
        "low drum": "....x.......x...",
        "rim": "..........o.o.o.",
    },
}
"""Bars that tell of a change to come."""

SOFT_FILLS: dict[str, dict[str, str]] = {
    "gather": {"shaker": "o...o...o.o.ooxx", "low drum": "............o.x."},
    "tiptoe": {"rim": "........o...o.o.", "shaker": "o...o...o...o.o."},
}
"""The same, for thin stretches."""

BASS = {
    "two": "1------.5------.",
    "two up": "1-----..8-----..|1-----..5---3---",
    "pulse": "1.1.1.1.1.1.5.5.",
    "push": "1----.1-5----.1-|1----.1-5---6---",
    "bounce": "1-..8-..5-..8-..",
    "walk": "1---3---5---6---|8---6---5---3---",
    "walk up": "1---2---3---5---|1---5---6---5---",
    "long": "1---------------",
    "long two": "1-----------5---|1---------------",
    "rise": "1-----1-5-----6-|1-----1-5---3---",
}

CHORDS = {
    "whole": "o---------------",
    "halves": "x-------o-------",
    "off beats": "..x-..x-..x-..x-",
    "two and four": "....x-......x-..|....x-..o-..x-..",
    "push": "x-----x-......o-|x-----x-....x---",
    "strum": "x--.o.x.x--.o.x.|x--.o.x.x--.x.o.",
    "easy": "x-----....o-----|x-----..o-..o---",
    "charleston": "x-....x-........|....x-......x-..",
    "skip": "x..x..x.....x...|x..x..x...x.x...",
}

ARPEGGIOS = {
    "up and down": "0-1-2-3-4-3-2-1-",
    "rolling": "0-2-1-3-2-4-3-1-|0-2-1-3-4-3-2-1-",
    "sparse": "0---2---3---2---",
    "slow": "0---1---2---3---|4-------2-------",
    "broken": "0-..2-3-..2-4-..|0-..2-3-..4-3-2-",
    "ticking": "2.3.2.4.2.3.2.1.|2.3.2.4.3.2.1.2.",
    "three": "0-.2-.4-.2-.3-2-|0-.2-.4-.3-.2-1-",
    "falling": "4-3-2-0-3-2-1-0-|4-3-2-1-2-1-0-1-",
}

MOTIFS = (
    "x---x---x-------|x-----------....",
    "..x-x-x-x---....|x-------........",
    "x-----x-x-------|....x---x-------",
    "....x-x-x---x---|x-----------....",
    "x---....x-x-x---|......x-x-------",
    "x-x-x---....x---|x-----------....",
    "........x---x-x-|x-------........",
    "x-----------x---|x---x-----------",
)
"""Rhythms of melodies, two bars each."""

SPARSE_MOTIFS = (
    "x---------------|........x-------",
    "....x-----------|x---------------",
    "x-------x-------|x---------------",
    "................|....x---x-------",
)
"""The same, for stretches with room."""
