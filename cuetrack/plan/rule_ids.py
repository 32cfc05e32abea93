"""The ids of the rules of the plan review, for plans that acknowledge them.

The rules themselves stand in `cuetrack.review`; a test keeps the two alike.
"""

from __future__ import annotations

from typing import Final

RULE_IDS: Final[tuple[str, ...]] = tuple(
    f"{theme}{number:02}"
    for theme, numbers in (
        ("T", range(1, 19)),
        ("I", range(1, 8)),
        ("S", range(1, 19)),
        ("O", range(1, 4)),
        ("H", range(1, 4)),
        ("K", range(1, 4)),
        ("B", range(1, 3)),
        ("D", range(1, 4)),
        ("N", range(1, 3)),
        ("W", range(1, 3)),
        ("U", range(1, 2)),
        ("F", range(1, 3)),
        ("R", range(1, 3)),
        ("Y", range(1, 3)),
        ("G", range(1, 5)),
        ("M", (1, 2, 3, 4, 6, 7, 8, 9, 10, 11, 12)),
        ("C", (1, 2, 3, 5, 6, 7, 9, 10, 11, 12, 13, 14, 15)),
        ("A", (1, 3, 4, 5, 6)),
        ("L", range(1, 2)),
        ("E", range(3, 5)),
        ("P", range(1, 5)),
        ("X", range(1, 4)),
    )
    for number in numbers
)
