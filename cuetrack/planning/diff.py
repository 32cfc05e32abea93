"""What changed from one plan to another, in words for the leader."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from cuetrack.times import duration

if TYPE_CHECKING:
    from collections.abc import Iterator

    from cuetrack.documents.places import Place
    from cuetrack.plan.model import Intervals, Movement, Plan, Section


@dataclass(frozen=True, slots=True, kw_only=True)
class Difference:
    """One thing that is otherwise: what it is, what it was, what it is now."""

    what: str
    before: str
    after: str


def changes(before: Plan, after: Plan) -> tuple[Difference, ...]:
    """Return what is otherwise in ``after``, in the order of the class."""
    found = [
        Difference(what="title", before=before.title, after=after.title)
        for _ in range(before.title != after.title)
    ]
    for what, was_word, now_word in (
        ("pace of the voice", before.pace, after.pace),
        ("which way is told first", before.options, after.options),
    ):
        if was_word is not now_word:
            found.append(
                Difference(what=what, before=was_word.value, after=now_word.value)
            )
    for was, now in zip(before.sections, after.sections, strict=True):
        found += _section_changes(was, now)
    return tuple(found)


def _section_changes(was: Section, now: Section) -> Iterator[Difference]:
    title = was.title.lower()
    if was.duration_ms != now.duration_ms:
        yield _times(title, was.duration_ms or 0, now.duration_ms or 0)
    if was.intervals and now.intervals:
        yield from _clock_changes(title, was.intervals, now.intervals)
        yield from _movement_changes(title, was, now)
        return
    whole = [sum(m.duration_ms or 0 for m in part.movements) for part in (was, now)]
    if whole[0] != whole[1]:
        yield _times(f"{title}, all movements", *whole)


def _movement_changes(title: str, was: Section, now: Section) -> Iterator[Difference]:
    before = {_known_by(movement): movement for movement in was.movements}
    after = {_known_by(movement): movement for movement in now.movements}
    for place, movement in before.items():
        if place not in after:
            what = f"{title}, {movement.name}"
            yield Difference(what=what, before="done", after="left out")
    for place, movement in after.items():
        what = f"{title}, {movement.name}"
        if place not in before:
            yield Difference(what=what, before="nothing", after="added")
        elif before[place].duration_ms != movement.duration_ms:
            usual_ms = now.intervals.work_ms if now.intervals else 0
            first_ms = before[place].duration_ms or usual_ms
            yield _times(what, first_ms, movement.duration_ms or usual_ms)


def _known_by(movement: Movement) -> Place | str:
    """Return where a movement stands, or its name where it is not written yet."""
    return movement.place if movement.place.line else movement.name


def _clock_changes(title: str, was: Intervals, now: Intervals) -> Iterator[Difference]:
    for what, before_ms, after_ms in (
        ("work", was.work_ms, now.work_ms),
        ("rest", was.rest_ms, now.rest_ms),
        ("break between rounds", _pause_ms(was), _pause_ms(now)),
    ):
        if before_ms != after_ms:
            yield _times(f"{title}, {what}", before_ms, after_ms)
    if was.rounds != now.rounds:
        yield Difference(
            what=f"{title}, rounds", before=str(was.rounds), after=str(now.rounds)
        )


def _pause_ms(clock: Intervals) -> int:
    return clock.between_rounds.duration_ms if clock.between_rounds else 0


def _times(what: str, before_ms: int, after_ms: int) -> Difference:
    return Difference(what=what, before=duration(before_ms), after=duration(after_ms))
