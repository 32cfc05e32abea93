"""What counts when a plan does not say, and the bounds of what it may say."""

from __future__ import annotations

from typing import Final

from cuetrack.plan.words import Coaching, SectionKind
from cuetrack.times import MINUTE_MS, SECOND_MS

DEFAULT_TOTAL_MS: Final = {
    SectionKind.WARM_UP: 5 * MINUTE_MS,
    SectionKind.RECOVERY: MINUTE_MS,
    SectionKind.COOL_DOWN: 5 * MINUTE_MS,
}
"""What the movements of a plain section share when nothing says otherwise."""
DEFAULT_WELCOME_MS: Final = {
    Coaching.EVERYTHING: 60 * SECOND_MS,
    Coaching.CLOCK: 30 * SECOND_MS,
}
DEFAULT_CLOSE_MS: Final = 80 * SECOND_MS
"""Farewell, a minute in the chair with the feet moving, and how to stand up."""
LAST_WORDS_MS: Final = 15 * SECOND_MS
"""What is left of a close that is not wanted: how to stand up is never said
while people still work, and the last stop keeps its countdown and its tone."""
OPENING_MS: Final = 25 * SECOND_MS
"""What comes is announced, and the first movement is told in full, with its caution."""
INTERVALS_OPENING_MS: Final = 30 * SECOND_MS
"""The same, with the clock of the section and time to fetch equipment."""
SAFETY_OPENING_MS: Final = 45 * SECOND_MS
"""In a class without a welcome the safety words come in its first opening."""
