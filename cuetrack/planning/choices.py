"""What a fitted class was given, and what else could have been: one row a thing."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from cuetrack.plan.words import TALKS
from cuetrack.planning.alternatives import section_ways
from cuetrack.planning.fitting import talk_range
from cuetrack.times import duration

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence

    from cuetrack.plan.model import Plan, Section
    from cuetrack.planning.alternatives import Bounds

KEPT: Final = "kept"


@dataclass(frozen=True, slots=True, kw_only=True)
class FreeChange:
    """One thing that could change: what it was, what it is, and what it could be."""

    what: str
    before: str
    after: str
    possible: str


def choices(before: Plan, after: Plan, bounds: Bounds) -> tuple[FreeChange, ...]:
    """Return everything that was free to change, in the order of the class."""
    pairs = zip(before.sections, after.sections, strict=True)
    return tuple(
        choice
        for was, now in pairs
        for choice in (
            _talk(was, now, bounds)
            if was.kind in TALKS
            else _section(before, was, now, bounds)
        )
    )


def _talk(was: Section, now: Section, bounds: Bounds) -> Iterator[FreeChange]:
    yield FreeChange(
        what=was.title.lower(),
        before=duration(was.duration_ms or 0),
        after=duration(now.duration_ms or 0),
        possible=_from_to(talk_range(was, bounds), duration),
    )


def _section(
    plan: Plan, was: Section, now: Section, bounds: Bounds
) -> Iterator[FreeChange]:
    title = was.title.lower()
    ways = [way.section for way in section_ways(plan, was, bounds)]
    told: list[tuple[str, Callable[[Section], int], Callable[[int], str]]]
    if was.intervals is None:
        told = [(title, _moving_ms, duration)]
    else:
        told = [
            (f"{title}, work", lambda s: _of_clock(s, "work_ms"), duration),
            (f"{title}, rest", lambda s: _of_clock(s, "rest_ms"), duration),
            (f"{title}, rounds", lambda s: _of_clock(s, "rounds"), str),
            (f"{title}, break between rounds", _pause_ms, duration),
            (f"{title}, movements", lambda s: len(s.movements), str),
        ]
    for what, value_of, said in told:
        values = [value_of(way) for way in ways]
        if not any(values):
            continue
        after = said(value_of(now))
        if what.endswith("movements") and len(now.movements) < len(was.movements):
            after += f" ({_gone(was, now)} left out)"
        yield FreeChange(
            what=what,
            before=said(value_of(was)),
            after=after,
            possible=_from_to(values, said),
        )


def _gone(was: Section, now: Section) -> str:
    kept = {movement.place for movement in now.movements}
    return ", ".join(m.name for m in was.movements if m.place not in kept)


def _moving_ms(section: Section) -> int:
    return sum(movement.duration_ms or 0 for movement in section.movements)


def _of_clock(section: Section, attribute: str) -> int:
    return int(getattr(section.intervals, attribute))


def _pause_ms(section: Section) -> int:
    clock = section.intervals
    return clock.between_rounds.duration_ms if clock and clock.between_rounds else 0


def _from_to(values: Sequence[int], said: Callable[[int], str]) -> str:
    low, high = min(values), max(values)
    return KEPT if low == high else f"{said(low)} to {said(high)}"
