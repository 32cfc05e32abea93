"""What counts when a plan does not say, and the bounds of what it may say."""

from __future__ import annotations

from typing import Final

from cuetrack.plan.model import Coaching, SectionKind

SECOND: Final = 1000
MINUTE: Final = 60 * SECOND
HOUR: Final = 60 * MINUTE

SHORTEST_WORK_MS: Final = 10 * SECOND
"""A work, or one side of it, must hold its own closing countdown."""
SHORTEST_REST_MS: Final = 5 * SECOND
LONGEST_SEGMENT_MS: Final = HOUR
LONGEST_CLASS_MS: Final = 6 * HOUR

DEFAULT_TOTAL_MS: Final = {
    SectionKind.WARM_UP: 5 * MINUTE,
    SectionKind.RECOVERY: MINUTE,
    SectionKind.COOL_DOWN: 5 * MINUTE,
}
"""What the movements of a plain section share when nothing says otherwise."""
DEFAULT_WELCOME_MS: Final = {
    Coaching.EVERYTHING: 60 * SECOND,
    Coaching.CLOCK: 30 * SECOND,
}
DEFAULT_CLOSE_MS: Final = 45 * SECOND
LAST_WORDS_MS: Final = 15 * SECOND
"""What is left of a close that is not wanted: how to stand up is never said
while people still work, and the last stop keeps its countdown and its tone."""
OPENING_MS: Final = 10 * SECOND
INTERVALS_OPENING_MS: Final = 20 * SECOND
SAFETY_OPENING_MS: Final = 30 * SECOND
"""In a class without a welcome the safety words come in its first opening."""
DEFAULT_BREAK_MS: Final = MINUTE
