"""How the figure looks: sizes of its parts and its few colours.

What moves is the darkest, so that a photocopy shows it as well as a screen does.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

THIGH: Final = (0.05, 0.041)
SHANK: Final = (0.04, 0.028)
UPPER_ARM: Final = (0.036, 0.03)
FOREARM: Final = (0.029, 0.023)
HAND: Final = 0.026
FOOT: Final = (0.026, 0.022)
HEAD: Final = 0.064
NECK: Final = 0.03


@dataclass(frozen=True, slots=True, kw_only=True)
class Palette:
    """The colours of one drawing, as #rrggbb."""

    paper: str = "#ffffff"
    edge: str = "#20252b"
    top: str = "#c3d3da"
    trousers: str = "#98a5b1"
    skin: str = "#eec9a5"
    nose: str = "#d49c72"
    hair: str = "#b9b6b0"
    shoes: str = "#4b4540"
    moving: str = "#1f5c96"
    chair: str = "#ece7df"
    chair_edge: str = "#a39b90"
    thing: str = "#f2b632"
    arrow: str = "#b3260d"


IN_COLOUR: Final = Palette()

IN_THE_DARK: Final = Palette(
    paper="#1b1824",
    edge="#0b0a10",
    top="#5f7078",
    trousers="#4b5661",
    skin="#c79f7b",
    nose="#9b6e4e",
    hair="#8f8c86",
    shoes="#77706a",
    moving="#7fbaf2",
    chair="#3a3642",
    chair_edge="#6f6878",
    thing="#f2b632",
    arrow="#ff9d86",
)
"""What a drawing on a dark screen is made with: there, what moves is the lightest."""
