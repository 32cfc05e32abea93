"""The one thing to do: every remedy is tried on the measured room, the best is said."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt

from cuetrack.verification.room.audibility import ENOUGH_SII, LevelChange

if TYPE_CHECKING:
    from collections.abc import Callable

    from cuetrack.verification.room.audibility import Audience

Indices = npt.NDArray[np.float64]
"""The index of each cue, shape (cues,)."""

LOUDEST_SPEECH_DB = 80.0
"""Louder speech is unpleasant to old and young alike (Sato et al., JASA)."""

NEARER_DB = 6.0
"""Half the distance brings the direct sound this far up over that of the room."""

_LEAST_DB = 3
"""Less is hardly heard, and not worth the way."""
_MOST_DB = 20
_FEW_SHARE = 0.05
_ALIKE = 0.01


class Remedy(StrEnum):
    """What to do in the room."""

    FINE = "fine as it is"
    MUSIC_DOWN = "turn the music down"
    LOUDSPEAKER_UP = "turn the loudspeaker up"
    MOVE_CLOSER = "move it closer"


@dataclass(frozen=True, slots=True, kw_only=True)
class RoomAdvice:
    """What to do, by how much, and how many cues are lost now and would be then.

    What the echo takes counts as lost. ``amount_db`` is None for what is not a
    matter of decibels.
    """

    remedy: Remedy
    amount_db: int | None
    lost_now: int
    lost_then: int
    cues: int

    @property
    def sentence(self) -> str:
        """The advice in plain words."""
        if self.remedy is Remedy.FINE:
            return "It is fine as it is."
        cured = self.lost_then <= _FEW_SHARE * self.cues
        return f"{_WORDS[self.remedy](self.amount_db)} {self._outlook(cured=cured)}"

    def _outlook(self, *, cured: bool) -> str:
        if cured:
            return "Then record again to be sure."
        return (
            f"That helps most but will not be enough: {self.lost_then} of {self.cues} "
            "cues would still be lost. Do it, record again, and let those who hear "
            "badly sit in front."
        )


_WORDS: dict[Remedy, Callable[[int | None], str]] = {
    Remedy.MUSIC_DOWN: lambda amount: (
        f"Turn the music {amount} dB down in the plan and make the track again."
    ),
    Remedy.LOUDSPEAKER_UP: lambda amount: (
        f"Turn the loudspeaker up, by about {amount} dB."
    ),
    Remedy.MOVE_CLOSER: lambda _: (
        "Move the loudspeaker closer to the people, to half the distance: the room is "
        "too lively, and louder would be no clearer."
    ),
}


def advise(audience: Audience, level_db_spl: float, *, has_music: bool) -> RoomAdvice:
    """Return the remedy after which the least is missing, at its smallest dose.

    Parameters
    ----------
    level_db_spl
        Level of the average cue where it was recorded; the loudspeaker is not
        turned up beyond ``LOUDEST_SPEECH_DB`` there.
    """
    now = audience.indices()
    lost_now, cues = _lost(now), now.size
    if lost_now <= _FEW_SHARE * cues:
        return RoomAdvice(
            remedy=Remedy.FINE,
            amount_db=None,
            lost_now=lost_now,
            lost_then=lost_now,
            cues=cues,
        )
    louder = int(min(_MOST_DB, max(LOUDEST_SPEECH_DB - level_db_spl, _LEAST_DB)))
    doses = {
        Remedy.LOUDSPEAKER_UP: [
            LevelChange(loudspeaker_db=amount)
            for amount in range(_LEAST_DB, louder + 1)
        ],
        Remedy.MOVE_CLOSER: [LevelChange(late_db=-NEARER_DB)],
    }
    if has_music:
        doses[Remedy.MUSIC_DOWN] = [
            LevelChange(music_db=-amount) for amount in range(_LEAST_DB, _MOST_DB + 1)
        ]
    best, tried = _best(audience, doses)
    dose = _dose(tried)
    return RoomAdvice(
        remedy=best,
        amount_db=None if best is Remedy.MOVE_CLOSER else dose + _LEAST_DB,
        lost_now=lost_now,
        lost_then=_lost(tried[dose]),
        cues=cues,
    )


def _best(
    audience: Audience, doses: dict[Remedy, list[LevelChange]]
) -> tuple[Remedy, list[Indices]]:
    """Return the remedy that leaves least missing at its largest dose, and its doses.

    Of remedies that do nearly the same, it is the one after which people follow
    most: that goes to the cause.
    """
    tried = {
        remedy: [audience.indices(change) for change in changes]
        for remedy, changes in doses.items()
    }
    missing = {remedy: _missing(indices[-1]) for remedy, indices in tried.items()}
    least = min(missing.values())
    alike = [remedy for remedy, left in missing.items() if left <= least + _ALIKE]
    best = max(alike, key=lambda remedy: float(tried[remedy][-1].mean()))
    return best, tried[best]


def _dose(tried: list[Indices]) -> int:
    """Return the smallest dose that cures, or else that does nearly all it can."""
    few = int(_FEW_SHARE * tried[0].size)
    cured = (index for index, after in enumerate(tried) if _lost(after) <= few)
    least = min(_missing(after) for after in tried)
    nearly = (
        index for index, after in enumerate(tried) if _missing(after) <= least + _ALIKE
    )
    return next(cured, next(nearly))


def _lost(indices: Indices) -> int:
    return int(np.count_nonzero(indices < ENOUGH_SII))


def _missing(indices: Indices) -> float:
    """Return how far the cues are below enough, on average."""
    return float(np.mean(np.maximum(ENOUGH_SII - indices, 0)))
