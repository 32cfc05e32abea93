"""What a class tells of the movement that comes next, looked up by segment."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from cuetrack.cues.writing.equipment import equipment_cues
from cuetrack.cues.writing.introductions import introduction_of

if TYPE_CHECKING:
    from collections.abc import Mapping

    from cuetrack.cues.model import Segment
    from cuetrack.cues.writing.context import WritingContext
    from cuetrack.cues.writing.introductions import Introduction


@dataclass(frozen=True, slots=True, kw_only=True)
class Tellings:
    """The introductions of a class, by the segment they are in, and by activity.

    ``hands_ms`` tells when equipment is spoken of in a segment.
    """

    inside: Mapping[str, Introduction]
    about: Mapping[str, Introduction]
    hands_ms: Mapping[str, int]

    def told_late(self, context: WritingContext, segment: Segment) -> int:
        """Return how much of a new movement is told only as it starts: 0, 1 or 2."""
        told = self.about.get(segment.activity)
        if told is None or segment.movement is None or not context.is_new(segment):
            return 0
        caution = segment.movement.caution is not None and not told.caution
        return caution + (segment.movement.how is not None and not told.whole)

    def from_ms(self, segment: Segment) -> int:
        """Return from when a segment tells of what comes next, else its end."""
        told = self.inside.get(segment.id)
        hands_ms = self.hands_ms.get(segment.id, segment.end_ms)
        return min(told.from_ms if told else segment.end_ms, hands_ms)


def tellings_of(context: WritingContext) -> Tellings:
    """Return where each movement is introduced."""
    told = [introduction_of(context, each) for each in context.transitions]
    return Tellings(
        inside={each.place.id: each for each in told if each},
        about={each.after.activity: each for each in told if each},
        hands_ms={cue.segment: cue.window_start_ms for cue in equipment_cues(context)},
    )
