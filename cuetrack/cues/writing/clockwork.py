"""The clock of an intervals section in words: what is true of all its rounds."""

from __future__ import annotations

from typing import TYPE_CHECKING

from cuetrack.plan.rounds import rounds_of

if TYPE_CHECKING:
    from cuetrack.languages.phrases import Phrases
    from cuetrack.plan.model import Section


def clockwork(section: Section, phrases: Phrases) -> dict[str, str]:
    """Return rounds, movements, work and rest as they are said; empty without a clock.

    Where rounds or movements differ, work and rest are told from the shortest to the
    longest. Without any rest there are no words for it.
    """
    intervals = section.intervals
    if intervals is None:
        return {}
    rounds = rounds_of(intervals)
    works_ms = [one.work_of(each) for one in rounds for each in section.movements]
    rests_ms = [one.rest_after(each) for one in rounds for each in section.movements]
    rests_ms = [rest_ms for rest_ms in rests_ms if rest_ms]
    words = {
        "rounds": phrases.counted("round", intervals.rounds),
        "movements": phrases.counted("movement", len(section.movements)),
        "work": phrases.lengths_between(min(works_ms), max(works_ms)),
    }
    if rests_ms:
        words["rest"] = phrases.lengths_between(min(rests_ms), max(rests_ms))
    return words
