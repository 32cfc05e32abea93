"""The one thing to do: every remedy is tried on the measured room, the best is said.

Where no loudspeaker cures it for all, that is said too, and what does: a hearing loop
(IEC 60118-4) carries the voice past the room into hearing aids with a telecoil.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt

from cuetrack.verification.room.audibility import LevelChange
from cuetrack.verification.room.grades import (
    CLEAR_SII,
    FEW_SHARE,
    PlaceGrade,
    followings,
    place_grade,
)

if TYPE_CHECKING:
    from collections.abc import Callable

    from cuetrack.verification.room.audibility import Audience
    from cuetrack.verification.room.grades import Following

Indices = npt.NDArray[np.float64]
"""The index of each cue for each of the people, shape (cues, people)."""

LOUDEST_SPEECH_DB = 80.0
"""Louder speech is unpleasant to old and young alike (Sato et al., JASA)."""

DISTANCES = {1 / 2: "half", 1 / 4: "a quarter of", 1 / 8: "an eighth of"}
"""How near a loudspeaker may come: half the way by itself, or a second one."""

_LEAST_DB = 3
"""Less is hardly heard, and not worth the way."""
_MOST_DB = 20
_ALIKE = 0.01
_LEAST_GAIN = 0.2
"""A step that brings people less of what they miss is no help."""
_LEFT_SHARE = 0.8
"""Where the best of the quarter who hear worst follow less, a loop is named, too."""


class Remedy(StrEnum):
    """What to do in the room."""

    FINE = "fine as it is"
    MUSIC_DOWN = "turn the music down"
    LOUDSPEAKER_UP = "turn the loudspeaker up"
    MOVE_CLOSER = "move it closer"
    SECOND_LOUDSPEAKER = "a second loudspeaker"
    HEARING_LOOP = "a hearing loop"


@dataclass(frozen=True, slots=True, kw_only=True)
class RoomAdvice:
    """What to do, by how much, and who follows what now and would then.

    What the echo takes counts. ``amount_db`` is None for what is not a matter of
    decibels, and ``distance`` 1 for what is not one of distance. ``quieter_db`` is how
    much less noise does the same, None where that does not. ``now`` and ``then`` go by
    the people of `people_of`; they are the same where no step helps.
    """

    remedy: Remedy
    amount_db: int | None = None
    distance: float = 1.0
    quieter_db: int | None = None
    now: tuple[Following, ...]
    then: tuple[Following, ...]

    @property
    def grade(self) -> PlaceGrade:
        """The grade of the place as it is."""
        return place_grade(self.now)

    @property
    def sentence(self) -> str:
        """The advice in plain words."""
        if self.remedy is Remedy.FINE:
            return "It is fine as it is."
        if self.remedy is Remedy.HEARING_LOOP:
            return f"No single step with loudspeaker or music helps here. {_LOOP}"
        step = f"What helps most: {_WORDS[self.remedy](self)}"
        left = self.then[-1].clear_share < _LEFT_SHARE
        rest = f" For the others: {_LOOP}" if left else " Then record again to be sure."
        return f"{step} {self._gain}{rest}"

    @property
    def _gain(self) -> str:
        """Whom the step helps most, in words; of several, those who hear worst."""
        pairs = list(zip(self.now, self.then, strict=True))
        before, after = max(reversed(pairs), key=lambda pair: _better(*pair))
        if before.words == after.words:
            return "It brings them nearer to it, though no call becomes clear."
        now = "now" if before.people == after.people else f"now, for {before.people}"
        return f"Then, for {after.people}: {after.words} ({now}: {before.words})."


def _better(before: Following, after: Following) -> float:
    """Return how much more is followed; a lost call that is only hard counts half."""
    gained = before.hard / 2 + before.lost - after.hard / 2 - after.lost
    return gained / before.calls


_LOOP = (
    "a hearing loop (or another assistive listening system) is the honest answer: it "
    "carries the voice past the room into hearing aids with a telecoil. Ask the venue "
    "and a hearing professional; until then seat those who hear badly in front and "
    "give out the run sheet."
)

_QUIETER = (
    ", or make the room about {} dB quieter: a fan off, windows and doors shut, no "
    "talk."
)

_WORDS: dict[Remedy, Callable[[RoomAdvice], str]] = {
    Remedy.MUSIC_DOWN: lambda advice: (
        f"turn the music {advice.amount_db} dB down in the plan and make the track "
        "again."
    ),
    Remedy.LOUDSPEAKER_UP: lambda advice: (
        f"turn the loudspeaker up, by about {advice.amount_db} dB"
        + (_QUIETER.format(advice.quieter_db) if advice.quieter_db else ".")
    ),
    Remedy.MOVE_CLOSER: lambda advice: (
        f"move the loudspeaker to {DISTANCES[advice.distance]} the distance from these "
        "people. The room is lively: louder would be no clearer."
    ),
    Remedy.SECOND_LOUDSPEAKER: lambda advice: (
        "put a second loudspeaker near these people, at "
        f"{DISTANCES[advice.distance]} the distance, as loud as the first (if that is "
        "over 15 m away, the second needs a delay: ask the venue). The room is lively: "
        "louder would be no clearer, and half the way would not do."
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
    indices = audience.indices()
    now = followings(audience.people, indices)
    fine = RoomAdvice(remedy=Remedy.FINE, now=now, then=now)
    if fine.grade is PlaceGrade.GOOD:
        return fine
    best, tried = _best(audience, _doses(level_db_spl, has_music=has_music))
    dose = _dose(tried)
    if _missing(tried[dose]) > (1 - _LEAST_GAIN) * _missing(indices):
        return RoomAdvice(remedy=Remedy.HEARING_LOOP, now=now, then=now)
    then = followings(audience.people, tried[dose])
    if best is not Remedy.MOVE_CLOSER:
        louder = best is Remedy.LOUDSPEAKER_UP
        return RoomAdvice(
            remedy=best,
            amount_db=dose + _LEAST_DB,
            quieter_db=_quieter_db(audience, tried[dose]) if louder else None,
            now=now,
            then=then,
        )
    remedy = Remedy.SECOND_LOUDSPEAKER if dose else best
    distance = tuple(DISTANCES)[dose]
    return RoomAdvice(remedy=remedy, distance=distance, now=now, then=then)


def _doses(level_db_spl: float, *, has_music: bool) -> dict[Remedy, list[LevelChange]]:
    """Return what can be done, each in doses from the smallest on."""
    louder = int(min(_MOST_DB, max(LOUDEST_SPEECH_DB - level_db_spl, _LEAST_DB)))
    doses = {
        Remedy.LOUDSPEAKER_UP: [
            LevelChange(loudspeaker_db=amount)
            for amount in range(_LEAST_DB, louder + 1)
        ],
        Remedy.MOVE_CLOSER: [
            LevelChange(distance=share, second=turn > 0)
            for turn, share in enumerate(DISTANCES)
        ],
    }
    if has_music:
        doses[Remedy.MUSIC_DOWN] = [
            LevelChange(music_db=-amount) for amount in range(_LEAST_DB, _MOST_DB + 1)
        ]
    return doses


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
    few = int(FEW_SHARE * len(tried[0]))
    cured = (index for index, after in enumerate(tried) if _unclear(after) <= few)
    least = min(_missing(after) for after in tried)
    nearly = (
        index for index, after in enumerate(tried) if _missing(after) <= least + _ALIKE
    )
    return next(cured, next(nearly))


def _quieter_db(audience: Audience, wanted: Indices) -> int | None:
    """Return by how much less noise as little is missing as wanted, if it can be."""
    for less_db in range(_LEAST_DB, _MOST_DB + 1):
        quieter = audience.indices(LevelChange(noise_db=-less_db))
        if _missing(quieter) <= _missing(wanted) + _ALIKE:
            return less_db
    return None


def _unclear(indices: Indices) -> int:
    """Return how many calls somebody finds hard, or loses."""
    return int(np.count_nonzero(indices.min(axis=1) < CLEAR_SII))


def _missing(indices: Indices) -> float:
    """Return how far the calls are below clear: in parts of it, on average."""
    return float(np.mean(np.maximum(CLEAR_SII - indices, 0))) / CLEAR_SII
