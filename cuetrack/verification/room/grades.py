"""Who can follow the calls at this place: grades for people, not a verdict on a room.

Three kinds of ears are asked about every call: ears without hearing loss, those in
the middle of the stated age, and those where the quarter who hear worst begins. A
call is clear from an index of ``CLEAR_SII`` on, lost below ``LOST_SII``, and hard in
between: by the curve of Sherbecoe & Studebaker (2003) listeners of normal hearing
follow nine words in ten of connected speech at the one, three in four at the other.
Old ears follow less of it in a hall: below 0.35 HASPI v2 gives them next to nothing
(``tests/benchmarks/room_grades.py``). Where to draw such lines is our own choice.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from enum import StrEnum
from typing import TYPE_CHECKING

import numpy as np

from cuetrack.sound.hearing.listeners import worst_listener
from cuetrack.sound.hearing.thresholds import MEDIAN, WORSE_QUARTER

if TYPE_CHECKING:
    from cuetrack.arrays import Floats

CLEAR_SII = 0.45
LOST_SII = 0.35

FEW_SHARE = 0.05
"""So few calls that are not clear do not count against a place."""

_BANDS = 18
_SHARES = (
    (0.13, "every tenth call"),
    (0.225, "every fifth call"),
    (0.29, "every fourth call"),
    (0.4, "every third call"),
    (0.6, "every second call"),
    (0.9, "most calls"),
    (0.999, "nearly every call"),
)


class CallGrade(StrEnum):
    """How well a call is followed."""

    CLEAR = "clear"
    HARD = "hard"
    LOST = "lost"


class PlaceGrade(StrEnum):
    """Who follows the calls at this place; the words are those of IEC 60268-16.

    Good is clear for three in four people of the age, fair for half of them; poor is
    hard for that half, and bad is lost even without hearing loss.
    """

    GOOD = "good"
    FAIR = "fair"
    POOR = "poor"
    BAD = "bad"


@dataclass(frozen=True, slots=True, kw_only=True)
class People:
    """Some of those who may sit there, ``threshold_db_hl`` at the 18 bands.

    These ears are the worst of those ``clear_for`` names, and the best of those
    ``unclear_for`` does: what they follow the one do too, what they miss the other.
    """

    clear_for: str
    unclear_for: str
    threshold_db_hl: tuple[float, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Following:
    """How many of the calls are hard for some people, and how many are lost."""

    people: str
    calls: int
    hard: int
    lost: int

    @property
    def clear_share(self) -> float:
        """The share of the calls that are neither, 0..1."""
        return 1 - (self.hard + self.lost) / self.calls

    @property
    def nearly_all(self) -> bool:
        """Whether all but a few calls are clear."""
        return self.hard + self.lost <= FEW_SHARE * self.calls

    @property
    def words(self) -> str:
        """How it goes, without a name: "every third call hard, every tenth lost".

        >>> Following(people="all", calls=30, hard=10, lost=3).words
        'every third call hard, every tenth lost'
        """
        if self.nearly_all:
            few = self.hard + self.lost
            return f"clear but for {_calls(few)} of {self.calls}" if few else "clear"
        counts = ((self.hard, "hard"), (self.lost, "lost"))
        first, *rest = (f"{_share(n / self.calls)} {word}" for n, word in counts if n)
        return ", ".join([first, *(re.sub(" calls?", "", part) for part in rest)])


def people_of(age: float) -> tuple[People, ...]:
    """Return the three who are asked, those who hear best first.

    Of women and men of an age the worse is taken, band by band.
    """
    middle, worse = (worst_listener(age, share) for share in (MEDIAN, WORSE_QUARTER))
    healthy, half = "people without hearing loss", f"half of the people of {age:g}"
    return (
        People(clear_for=healthy, unclear_for=healthy, threshold_db_hl=(0.0,) * _BANDS),
        People(
            clear_for=half, unclear_for=half, threshold_db_hl=middle.threshold_db_hl
        ),
        People(
            clear_for=f"three in four people of {age:g}",
            unclear_for="the quarter who hear worst",
            threshold_db_hl=worse.threshold_db_hl,
        ),
    )


def call_grade(index: float) -> CallGrade:
    """Return how well a call of this index is followed."""
    if index >= CLEAR_SII:
        return CallGrade.CLEAR
    return CallGrade.HARD if index >= LOST_SII else CallGrade.LOST


def followings(people: tuple[People, ...], indices: Floats) -> tuple[Following, ...]:
    """Return what each of the people follow; the indices have shape (calls, people)."""
    lost = np.count_nonzero(indices < LOST_SII, axis=0)
    unclear = np.count_nonzero(indices < CLEAR_SII, axis=0)
    return tuple(
        _following(one, len(indices), int(below - gone), int(gone))
        for one, below, gone in zip(people, unclear, lost, strict=True)
    )


def _following(one: People, calls: int, hard: int, lost: int) -> Following:
    found = Following(people=one.unclear_for, calls=calls, hard=hard, lost=lost)
    return replace(found, people=one.clear_for) if found.nearly_all else found


def place_grade(following: tuple[Following, ...]) -> PlaceGrade:
    """Return the grade of a place from what the three of `people_of` follow there."""
    best, half, worst = following
    if worst.nearly_all:
        return PlaceGrade.GOOD
    if half.nearly_all:
        return PlaceGrade.FAIR
    few_lost = best.lost <= FEW_SHARE * best.calls
    return PlaceGrade.POOR if few_lost else PlaceGrade.BAD


def _share(share: float) -> str:
    return next((words for most, words in _SHARES if share < most), "every call")


def _calls(count: int) -> str:
    return "1 call" if count == 1 else f"{count} calls"
