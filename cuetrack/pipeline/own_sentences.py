"""The leader's own sentences: which are said at another time than the plan says."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from cuetrack.cues.model import PlacedCue, PlacedSheet
    from cuetrack.plan.model import Plan

TOLD_FROM_MS: Final = 500
"""Nobody minds less than half a second."""


@dataclass(frozen=True, slots=True, kw_only=True)
class MovedSentence:
    """A sentence of the plan said at another time; later if ``moved_ms`` > 0."""

    said: PlacedCue
    line: int
    moved_ms: int


def moved_sentences(plan: Plan, placed: PlacedSheet) -> tuple[MovedSentence, ...]:
    """Return the sentences that moved by half a second or more, in order of time."""
    timed = {cue.place for section in plan.sections for cue in section.free_cues}
    return tuple(
        MovedSentence(said=said, line=said.cue.place.line, moved_ms=moved_ms)
        for said in placed.placed
        if said.cue.place is not None
        and said.cue.place in timed
        and abs(moved_ms := said.start_ms - said.cue.due_ms) >= TOLD_FROM_MS
    )


def moved_line(moved: tuple[MovedSentence, ...]) -> str:
    """Return in one sentence how many moved, and how far at most; empty for none."""
    if not moved:
        return ""
    most = f"{max(abs(each.moved_ms) for each in moved) / 1000:.1f} s"
    if len(moved) == 1:
        return f"One of your own sentences moved by {most}."
    return f"{len(moved)} of your own sentences moved, by {most} at most."
