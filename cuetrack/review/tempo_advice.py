"""What the tempo of music asks of people who move to it: tempo is dose."""

from __future__ import annotations

from typing import TYPE_CHECKING

from cuetrack.plan.model import SectionKind
from cuetrack.review.effort_rules import hurries
from cuetrack.review.limits import FASTEST_BPM

if TYPE_CHECKING:
    from collections.abc import Sequence

    from cuetrack.plan.model import Movement

MOST_BPM = {
    # Common practice with older and seated people.
    SectionKind.WARM_UP: 120,
    SectionKind.INTERVALS: FASTEST_BPM,
    SectionKind.COOL_DOWN: 100,
}
"""The fastest music advised; nothing is said of the other parts of a class."""

SLACK_BPM = 1.0
"""Nobody feels a difference so small."""


def tempo_notes(
    kind: SectionKind, title: str, bpm: float, movements: Sequence[Movement] = ()
) -> tuple[str, ...]:
    """Return what to tell of music of a tempo under a section; nothing if it suits.

    Parameters
    ----------
    kind, title
        Which part of the class it is, and what it is called.
    bpm
        Beats a minute of the music as it is played.
    movements
        Those done to it, as far as the music might hurry them: the review speaks up
        by itself where the plan states the tempo.
    """
    most_bpm = MOST_BPM.get(kind)
    notes = []
    if most_bpm is not None and bpm > most_bpm + SLACK_BPM:
        notes.append(
            f"{title}: the music has {bpm:.0f} beats a minute, and for older people "
            f"who sit {most_bpm} at most are advised here. Faster music makes people "
            "work harder. Let them move on every other beat, choose slower music, or "
            "state a lower tempo in the plan."
        )
    hurried = dict.fromkeys(
        f"{movement.name} ({movement.tempo_bpm})"
        for movement in movements
        if hurries(movement, bpm)
    )
    if hurried:
        notes.append(
            f"{title}: the music has {bpm:.0f} beats a minute, more than a tenth "
            f"above what suits {', '.join(hurried)}. Move to every other beat, or "
            "choose slower music."
        )
    return tuple(notes)
