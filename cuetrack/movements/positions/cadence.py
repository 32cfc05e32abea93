"""How long one cycle of a movement takes, from what its words say of its pace."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from cuetrack.movements.positions.motion import Sharing

if TYPE_CHECKING:
    from cuetrack.movements.positions.motion import Motion

UNSAID_S: Final = 5.0
"""A calm repetition when nothing says how fast: two out, three back."""

INTO_A_HOLD_S: Final = 3.0
"""The way into a position that is held and out of it again, both together."""

LONGEST_HOLD: Final = 0.9


@dataclass(frozen=True, slots=True, kw_only=True)
class Cadence:
    """The time of a cycle in seconds, and the share of it that keys are held.

    A movement by turns has both sides in its cycle. The phase for
    `motion.pose_at` is the time since the start divided by ``cycle_s``.
    """

    cycle_s: float
    hold: float


def cadence_of(
    motion: Motion,
    *,
    tempo_bpm: float | None = None,
    repetitions: float | None = None,
    hold_ms: int | None = None,
) -> Cadence:
    """Return the cadence of a movement.

    Parameters
    ----------
    tempo_bpm
        Beats a minute. Each side of a movement by turns has a beat, a way round
        has two, and any other a beat for the start and for each key position.
    repetitions
        How often a minute it is done; by turns, each side counts.
    hold_ms
        How long its position is held. A stretch, with no pace beside, is held that
        long once.
    """
    sides = 2 if motion.sharing is Sharing.BY_TURNS else 1
    held_s = (hold_ms or 0) / 1000
    if tempo_bpm:
        beats = 2 if sides == 2 or motion.rounded else len(motion.stations)
        cycle_s = beats * 60 / tempo_bpm
    elif repetitions:
        cycle_s = sides * 60 / repetitions
    else:
        cycle_s = sides * ((held_s + INTO_A_HOLD_S) if held_s else UNSAID_S)
    return Cadence(cycle_s=cycle_s, hold=min(sides * held_s / cycle_s, LONGEST_HOLD))
