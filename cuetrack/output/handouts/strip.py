"""The class as one strip: a block for each segment, the taller the more is done.

Wherever a class is drawn, it is drawn as this strip, and where time runs it empties
from its start. The layout is in shares of the strip, so that any paper or screen can
take it: 0 is its start and its foot, 1 its end and its top.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import groupby
from types import MappingProxyType
from typing import TYPE_CHECKING, Final, Protocol

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

HEIGHTS: Final[Mapping[str, float]] = MappingProxyType(
    {"work": 1.0, "move": 0.72, "recovery": 0.5, "rest": 0.22}
)
"""How tall each kind of segment stands."""

TALK_HEIGHT: Final = 0.36
"""How tall a segment stands in which people are only talked to."""

GAP_SHARE: Final = 0.006
"""How wide a gap between two sections is, in shares of the strip."""

MOST_GAPS_SHARE: Final = 0.06
"""How much of the strip all gaps between sections may take together."""


class Stretch(Protocol):
    """A segment of a timeline or of a cue sheet, as far as the strip needs it."""

    @property
    def kind(self) -> str: ...  # noqa: D102
    @property
    def start_ms(self) -> int: ...  # noqa: D102
    @property
    def end_ms(self) -> int: ...  # noqa: D102


@dataclass(frozen=True, slots=True, kw_only=True)
class StripBlock:
    """A segment in the strip; ``run`` counts the sections from 0."""

    start: float
    end: float
    height: float
    run: int


def strip_of(
    segments: Sequence[Stretch], sections: Sequence[object]
) -> tuple[StripBlock, ...]:
    """Return the block of each segment, in order.

    Parameters
    ----------
    segments
        Without gap or overlap.
    sections
        What each segment belongs to; where that changes, a gap is left.

    >>> from types import SimpleNamespace as Segment
    >>> work = Segment(kind="work", start_ms=0, end_ms=30_000)
    >>> strip_of([work], ["main"])
    (StripBlock(start=0.0, end=1.0, height=1.0, run=0),)
    """
    runs = _runs(sections)
    count = runs[-1] if runs else 0
    gap = min(GAP_SHARE, MOST_GAPS_SHARE / count) if count else 0.0
    whole_ms = segments[-1].end_ms - segments[0].start_ms if segments else 1
    scale = (1.0 - gap * count) / max(1, whole_ms)

    def at(ms: int, run: int) -> float:
        return (ms - segments[0].start_ms) * scale + run * gap

    return tuple(
        StripBlock(
            start=at(segment.start_ms, run),
            end=at(segment.end_ms, run),
            height=HEIGHTS.get(segment.kind, TALK_HEIGHT),
            run=run,
        )
        for segment, run in zip(segments, runs, strict=True)
    )


def _runs(sections: Iterable[object]) -> list[int]:
    """Return how many times the section has changed before each segment."""
    groups = enumerate(groupby(sections))
    return [run for run, (_, group) in groups for _ in group]
