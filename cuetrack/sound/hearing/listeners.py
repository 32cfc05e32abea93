"""Who is counted in a group: the people whose hearing the sound is made for."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from cuetrack.sound.hearing.threshold_tables import OLDEST, YOUNGEST, Sex
from cuetrack.sound.hearing.thresholds import (
    MEDIAN,
    WORSE_QUARTER,
    WORSE_TENTH,
    at_bands,
    thresholds_by_age,
)

if TYPE_CHECKING:
    from cuetrack.plan.model import Group
    from cuetrack.sound.hearing.sii_tables import Bands


@dataclass(frozen=True, slots=True, kw_only=True)
class Listener:
    """Someone whose hearing is counted.

    ``threshold_db_hl`` is given at the 18 bands, for one ear: listening with two
    gains up to 1.7 dB more, which is left as a margin.
    """

    threshold_db_hl: Bands


def listeners_of(group: Group) -> tuple[Listener, ...]:
    """Return the listeners a track for this group must serve.

    Three who begin the worse-hearing quarter of the stated age (women, men, and
    the worse of both band by band) and the same three at the median: those who
    hear well lose more to music, those who hear badly lose more to distance.
    The worst of all, the worse of both at the quarter, comes first.
    """
    return tuple(
        listener
        for percentile in (WORSE_QUARTER, MEDIAN)
        for listener in _trio(group.age, percentile)
    )


def worst_listener(age: float, percentile: float = WORSE_TENTH) -> Listener:
    """Return the worse of both sexes in each band at this age and percentile."""
    return _trio(age, percentile)[0]


def age_note(age: float) -> str | None:
    """Return what must be said of an age the hearing tables do not reach."""
    if age > OLDEST:
        return (
            f"The hearing tables end at {OLDEST} years; at {age:g} people hear "
            "worse than is counted here."
        )
    if age < YOUNGEST:
        return (
            f"The hearing tables begin at {YOUNGEST} years; at {age:g} people hear "
            "at least as well as is counted here."
        )
    return None


def _trio(age: float, percentile: float) -> tuple[Listener, ...]:
    """Return the worse of both sexes in each band, women, and men."""
    women, men = (at_bands(thresholds_by_age(age, sex, percentile)) for sex in Sex)
    worse = tuple(map(max, women, men))
    return tuple(Listener(threshold_db_hl=levels) for levels in (worse, women, men))
