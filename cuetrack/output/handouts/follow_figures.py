"""The figures of the follow page: what its script draws, and the still drawings."""

from __future__ import annotations

from dataclasses import astuple, dataclass
from functools import lru_cache
from itertools import chain
from typing import TYPE_CHECKING, Any, Final

from cuetrack.movements.figure.keyframes import ROLES, UNIT, moving_figure
from cuetrack.movements.figure.looks import IN_COLOUR, IN_THE_DARK
from cuetrack.movements.figure.sketch import panels_of
from cuetrack.movements.figure.svg import row_of
from cuetrack.movements.positions.cadence import cadence_of
from cuetrack.movements.positions.reading import motions
from cuetrack.output.handouts.segment_figures import SegmentFigure

if TYPE_CHECKING:
    from collections.abc import Mapping

    from cuetrack.movements.positions.motion import Motion

SITTING: Final = "tall sit"
"""The figure where nobody moves."""

EASY: Final = "easy march"
"""The figure of a break in which the feet keep moving."""

EASY_BPM: Final = 90


@dataclass(frozen=True, slots=True, kw_only=True)
class PageFigures:
    """Figures as the script of the page gets them, and drawings as SVG.

    ``numbers`` are those of ``figures`` by the id of the segment.
    """

    figures: tuple[dict[str, Any], ...]
    drawings: tuple[str, ...]
    numbers: Mapping[str, int]
    sitting: int
    easy: int


def page_figures(shown: Mapping[str, SegmentFigure]) -> PageFigures:
    """Return the figures of a class, each movement at each pace once."""
    known = motions()
    march = cadence_of(known[EASY], tempo_bpm=EASY_BPM)
    extra = (
        SegmentFigure(motion=known[SITTING], cadence=cadence_of(known[SITTING])),
        SegmentFigure(motion=known[EASY], cadence=march),
    )
    keys = [(one.motion, one.cadence) for one in chain(extra, shown.values())]
    numbers = {key: at for at, key in enumerate(dict.fromkeys(keys))}
    drawn = {motion: at for at, motion in enumerate(dict.fromkeys(m for m, _ in keys))}
    return PageFigures(
        figures=tuple(
            {
                **_frames(motion, cadence.hold),
                "cycle": round(cadence.cycle_s * 1000),
                "drawing": drawn[motion],
            }
            for motion, cadence in numbers
        ),
        drawings=tuple(row_of(panels_of(motion)) for motion in drawn),
        numbers={id_: numbers[one.motion, one.cadence] for id_, one in shown.items()},
        sitting=numbers[keys[0]],
        easy=numbers[keys[1]],
    )


@lru_cache(maxsize=256)
def _frames(motion: Motion, hold: float) -> Mapping[str, Any]:
    figure = moving_figure(motion, hold=hold)
    return {
        "window": [round(edge * UNIT) for edge in astuple(figure.window)],
        "makeUps": figure.make_ups,
        "frames": [
            [round(frame.phase, 4), frame.make_up, frame.numbers]
            for frame in figure.frames
        ],
    }


def figure_colours() -> dict[str, tuple[str, ...]]:
    """Return the colours of the figure in both themes, in the order of their roles."""
    return {"light": astuple(IN_COLOUR), "dark": astuple(IN_THE_DARK)}


def figure_rules() -> str:
    """Return the style rules that give each outline of a drawing its colour."""
    return "\n".join(
        f".positions .{role} {{ fill: var({_variable(role)}); }}" for role in ROLES
    )


def figure_variables(*, dark: bool) -> str:
    """Return the colours of the figure as declarations of a style."""
    colours = astuple(IN_THE_DARK if dark else IN_COLOUR)
    return "".join(
        f"{_variable(role)}: {colour};\n"
        for role, colour in zip(ROLES, colours, strict=True)
    )


def _variable(role: str) -> str:
    return "--paper" if role == "paper" else f"--figure-{role}"
