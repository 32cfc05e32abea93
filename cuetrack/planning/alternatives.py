"""Every way of making one section of a class shorter or longer, with its cost.

What a change costs, in points (common practice: what people notice least is
cheapest, and what is easier for them is cheaper than what is harder):

==============================================  =============================
change                                           points
==============================================  =============================
welcome and close together, longer or shorter    1 for each 5 s started
warm-up, recovery part, cool-down, either way    2 for each 15 s
break between rounds, longer or shorter          3 for each 15 s
rest longer                                      4 for each 5 s
rest shorter                                     8 for each 5 s
work shorter                                     6 for each 5 s
work longer                                      8 for each 5 s
a round fewer                                    12
a round more                                     14
a movement left out                              4 x its importance (1 to 4)
work lost, however                               5 for each tenth of the section
each kind of change above, once for a section    3 more
==============================================  =============================

Work and rest move by five seconds, other times by fifteen. What does not suit the
group is left out first; then what matters least to the leader, the last of equals
first; importance 5 is never left out, nor the last lively work, nor the last strength
work of the legs or of the upper back. A warm-up and a cool-down keep five minutes, or
what was planned where that was less, and three fifths of it in any case; those of weak
hearts fifteen and ten.

The work of a section grows by a fifth at most, and never while the rest shrinks by
more than a step: what the review says of larger steps is no way of fitting a class.
New people get one round more at most. A rest grows by fifteen seconds at most: a
longer class is not one of waiting.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cache
from itertools import product
from typing import TYPE_CHECKING, Final

from cuetrack.movements.contraindications import left_out
from cuetrack.movements.group_facts import Fact
from cuetrack.movements.known import Library, easy_movement
from cuetrack.movements.library import load_library
from cuetrack.plan.lengths import section_length_ms, share_out
from cuetrack.plan.model import CountFrom, RecoveryBreak, Role, SectionKind
from cuetrack.plan.parts import DEFAULT_BREAK_MS
from cuetrack.plan.reading import words_of
from cuetrack.planning.wise_steps import (
    MORE_ROUNDS,
    SHORTEST_SIDE_MS,
    STEP_MS,
    section_work_ms,
    small_step,
    wise_clock,
)
from cuetrack.review import limits
from cuetrack.review.case import main_region

if TYPE_CHECKING:
    from collections.abc import Iterator

    from cuetrack.documents.places import Place
    from cuetrack.plan.model import Intervals, Movement, Plan, Section

LONG_STEP_MS: Final = 15_000

TALK_STEP_COST: Final = 1
PART_COST: Final = 2
BREAK_COST: Final = 3
REST_LONGER_COST: Final = 4
REST_SHORTER_COST: Final = 8
WORK_SHORTER_COST: Final = 6
WORK_LONGER_COST: Final = 8
ROUND_FEWER_COST: Final = 12
ROUND_MORE_COST: Final = 14
LEFT_OUT_COST: Final = 4
WORK_LOST_COST: Final = 5
KIND_COST: Final = 3
"""See the table above."""

USUAL_IMPORTANCE: Final = 3
NEVER_LEFT_OUT: Final = 5

_PART_MOST_MS: Final = {
    SectionKind.WARM_UP: 600_000,
    SectionKind.COOL_DOWN: 600_000,
    SectionKind.RECOVERY: 180_000,
}
_PART_LEAST_MS: Final = {
    SectionKind.WARM_UP: limits.WARM_UP_LEAST_MS,
    SectionKind.COOL_DOWN: limits.COOL_DOWN_LEAST_MS,
    SectionKind.RECOVERY: 60_000,
}
_HEART_LEAST_MS: Final = {
    SectionKind.WARM_UP: limits.WARM_UP_HEART_MS,
    SectionKind.COOL_DOWN: limits.COOL_DOWN_HEART_MS,
}
_REST_LONGER_MOST_MS: Final = 15_000
_SHORTEST_SHARE_MS: Final = 20_000
_LONGEST_SHARE_MS: Final = 180_000


@dataclass(frozen=True, slots=True, kw_only=True)
class Bounds:
    """How far a class may be changed; what is planned already always may stay.

    ``keep`` holds what may not change at all: words of `KINDS`; ``least_part_share``
    is what a warm-up and a cool-down keep of what was planned.
    """

    work_ms: tuple[int, int] = (20_000, 60_000)
    rest_ms: tuple[int, int] = (20_000, 60_000)
    break_ms: tuple[int, int] = (60_000, 120_000)
    rounds: tuple[int, int] = (1, 6)
    fewest_movements: int = 3
    talk_longer_ms: int = 60_000
    least_part_share: float = 0.6
    keep: frozenset[str] = frozenset()


KINDS: Final = ("work", "rest", "rounds", "breaks", "movements", "warm-up", "cool-down")
"""What may be kept as it is."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Way:
    """One way of doing a section: how long it is then, and what that costs."""

    length_ms: int
    cost: int
    section: Section


def section_ways(plan: Plan, section: Section, bounds: Bounds) -> tuple[Way, ...]:
    """Return every way of doing a section within the bounds, as planned first."""
    planned = Way(length_ms=section_length_ms(section), cost=0, section=section)
    if section.intervals is None:
        others = _part_ways(plan, section, bounds)
    else:
        others = _interval_ways(plan, section, section.intervals, bounds)
    return (planned, *(way for way in others if _cues_within(way)))


def _cues_within(way: Way) -> bool:
    """Return whether the leader's own cues still lie within their section."""
    room_ms = {
        CountFrom.START: way.length_ms - 1,
        CountFrom.HALFWAY: way.length_ms - way.length_ms // 2 - 1,
        CountFrom.END: way.length_ms,
    }
    cues = way.section.free_cues
    return all(cue.at.offset_ms <= room_ms[cue.at.count_from] for cue in cues)


def _part_ways(plan: Plan, section: Section, bounds: Bounds) -> Iterator[Way]:
    if section.kind.value in bounds.keep:
        return
    planned_ms = sum(movement.duration_ms or 0 for movement in section.movements)
    share_ms = round(bounds.least_part_share * planned_ms)
    least_ms = min(planned_ms, max(share_ms, least_part_ms(plan, section.kind)))
    most_ms = max(planned_ms, _PART_MOST_MS[section.kind])
    for total_ms in _ladder(planned_ms, (least_ms, most_ms), LONG_STEP_MS)[1:]:
        changed = _retimed(section, total_ms - planned_ms)
        if changed is not None:
            steps = abs(total_ms - planned_ms) // LONG_STEP_MS
            yield Way(
                length_ms=section_length_ms(changed),
                cost=KIND_COST + PART_COST * steps,
                section=changed,
            )


def least_part_ms(plan: Plan, kind: SectionKind) -> int:
    """Return how short a part may become for the group of a plan, ms."""
    if Fact.HEART in plan.group.facts and kind in _HEART_LEAST_MS:
        return _HEART_LEAST_MS[kind]
    return _PART_LEAST_MS[kind]


def _retimed(section: Section, change_ms: int) -> Section | None:
    """Return a section without intervals, longer by ``change_ms``; None if unwise.

    What shares its time takes up the change; else whatever is not held does.
    """
    shared = [m.place.line > 0 and not m.says_time for m in section.movements]
    takes = shared if any(shared) else [not m.hold for m in section.movements]
    takers = [m for m, taking in zip(section.movements, takes, strict=True) if taking]
    if not takers:
        return None
    if any(shared):
        total_ms = sum(m.duration_ms or 0 for m in takers) + change_ms
        if total_ms < len(takers) * _SHORTEST_SHARE_MS:
            return None
        new = iter(share_out(total_ms, len(takers)))
    else:
        parts = share_out(abs(change_ms), len(takers))
        sign = 1 if change_ms > 0 else -1
        new = iter(
            (m.duration_ms or 0) + sign * part
            for m, part in zip(takers, parts, strict=True)
        )
    movements = tuple(
        replace(movement, duration_ms=next(new)) if taking else movement
        for movement, taking in zip(section.movements, takes, strict=True)
    )
    changed = replace(section, movements=movements)
    pairs = zip(section.movements, movements, strict=True)
    wise = all(_wise_time(was, now) for was, now in pairs)
    return changed if wise and _eases_first(section, changed) else None


def _wise_time(was: Movement, now: Movement) -> bool:
    was_ms, now_ms = was.duration_ms or 0, now.duration_ms or 0
    if was_ms == now_ms:
        return True
    sides = max(1, len(now.sides))
    low_ms, up_ms = _SHORTEST_SHARE_MS, _LONGEST_SHARE_MS
    if now.hold:
        low_ms, up_ms = limits.STRETCH_LEAST_MS * sides, limits.STRETCH_MOST_MS * sides
    elif now.sides:
        low_ms = SHORTEST_SIDE_MS * sides
    return min(was_ms, low_ms) <= now_ms <= max(was_ms, up_ms)


def _eases_first(was: Section, now: Section) -> bool:
    """Return whether feet still move for a minute before the first hold."""
    least_ms = min(_before_hold_ms(was), limits.EASING_LEAST_MS)
    return now.kind is SectionKind.WARM_UP or _before_hold_ms(now) >= least_ms


def _before_hold_ms(section: Section) -> int:
    total_ms = 0
    for movement in section.movements:
        if movement.hold:
            break
        total_ms += movement.duration_ms or 0
    return total_ms


def _interval_ways(
    plan: Plan, section: Section, clock: Intervals, bounds: Bounds
) -> Iterator[Way]:
    fewest, most = bounds.rounds
    if Fact.NEW in plan.group.facts:
        most = min(most, clock.rounds + MORE_ROUNDS)
    least_ms, most_ms = bounds.rest_ms
    most_ms = min(most_ms, clock.rest_ms + _REST_LONGER_MOST_MS)
    for work_ms, rest_ms, rounds, pause_ms, gone in product(
        _kept("work", bounds, _ladder(clock.work_ms, bounds.work_ms)),
        _kept("rest", bounds, _ladder(clock.rest_ms, (least_ms, most_ms))),
        _kept("rounds", bounds, _nearest_first(clock.rounds, (fewest, most))),
        _kept("breaks", bounds, _break_times(clock, bounds)),
        _kept("movements", bounds, leaving_out(section, bounds, plan)),
    ):
        if rounds < clock.fewest_rounds:
            continue
        kept = tuple(m for m in section.movements if m.place not in gone)
        changed = replace(
            section,
            movements=kept,
            intervals=replace(
                clock,
                work_ms=work_ms,
                rest_ms=rest_ms,
                rounds=rounds,
                between_rounds=_pause(plan, clock, rounds, pause_ms),
            ),
        )
        cost = _clock_cost(section, changed)
        wise = small_step(section, changed) and wise_clock(plan, section, changed)
        if cost and wise:
            yield Way(length_ms=section_length_ms(changed), cost=cost, section=changed)


def _pause(
    plan: Plan, clock: Intervals, rounds: int, pause_ms: int
) -> RecoveryBreak | None:
    """Return the break of a changed clock; the first one of a single round is usual."""
    if clock.between_rounds is not None:
        return replace(clock.between_rounds, duration_ms=pause_ms)
    if clock.rounds > 1 or rounds == 1:
        return None
    return usual_break(plan.language)


@cache
def usual_break(language: str) -> RecoveryBreak:
    """Return the break that a plan has between rounds when it names none."""
    movement = easy_movement(
        words_of(language).easy_movement, Library.of(load_library(language))
    )
    return RecoveryBreak(duration_ms=DEFAULT_BREAK_MS, movement=movement)


def _kept(kind: str, bounds: Bounds, values: tuple) -> tuple:  # type: ignore[type-arg]
    return values[:1] if kind in bounds.keep else values


def _ladder(
    planned_ms: int, bounds: tuple[int, int], step_ms: int = STEP_MS
) -> tuple[int, ...]:
    """Return what is planned, then all steps from it that lie within the bounds."""
    low_ms, up_ms = bounds
    down = range(planned_ms - step_ms, low_ms - 1, -step_ms)
    up = range(planned_ms + step_ms, up_ms + 1, step_ms)
    return (planned_ms, *down, *up)


def _nearest_first(planned: int, bounds: tuple[int, int]) -> tuple[int, ...]:
    return (planned, *(n for n in range(bounds[0], bounds[1] + 1) if n != planned))


def _break_times(clock: Intervals, bounds: Bounds) -> tuple[int, ...]:
    if clock.between_rounds is None:
        return (0,)
    planned_ms = clock.between_rounds.duration_ms
    return _ladder(planned_ms, bounds.break_ms, LONG_STEP_MS)


def leaving_out(
    section: Section, bounds: Bounds, plan: Plan
) -> tuple[frozenset[Place], ...]:
    """Return what may be left out: nothing, the least important, the two least...

    What does not suit the group goes before all else.
    """
    order = sorted(
        enumerate(section.movements),
        key=lambda item: (
            not left_out(item[1], plan.group.facts, plan.language),
            importance(item[1]),
            -item[0],
        ),
    )
    needed = _needed(plan)
    places = [
        m.place
        for _, m in order
        if importance(m) < NEVER_LEFT_OUT and m.place not in needed
    ]
    if len(set(places)) < len(places) or not all(place.line for place in places):
        return (frozenset(),)
    most = min(len(places), len(section.movements) - bounds.fewest_movements)
    return tuple(frozenset(places[:count]) for count in range(max(most, 0) + 1))


def _needed(plan: Plan) -> frozenset[Place]:
    """Return what a group is here for: heart and lungs, strong legs and upper back.

    Of each the most important work that suits the group, the first of equals.
    """
    works = [m for s in plan.sections if s.intervals for m in s.movements]
    suiting = [m for m in works if not left_out(m, plan.group.facts, plan.language)]
    strong = [m for m in suiting if m.role is Role.STRENGTH]
    kinds = (
        [m for m in suiting if m.role is Role.ENERGISER],
        [m for m in strong if main_region(m) in {"thighs", "hips"}],
        [m for m in strong if main_region(m) == "upper back"],
    )
    return frozenset(max(kind, key=importance).place for kind in kinds if kind)


def importance(movement: Movement) -> int:
    """Return how important a movement is to the leader, 1 to 5."""
    return movement.importance or USUAL_IMPORTANCE


def _clock_cost(before: Section, after: Section) -> int:
    was, now = before.intervals, after.intervals
    if was is None or now is None:
        return 0
    pauses = [0, 0]
    if was.between_rounds and now.between_rounds:
        pauses = [was.between_rounds.duration_ms, now.between_rounds.duration_ms]
    kept = {movement.place for movement in after.movements}
    gone = [movement for movement in before.movements if movement.place not in kept]
    parts = (
        _cost((was.work_ms, now.work_ms), WORK_LONGER_COST, WORK_SHORTER_COST),
        _cost((was.rest_ms, now.rest_ms), REST_LONGER_COST, REST_SHORTER_COST),
        _cost((was.rounds, now.rounds), ROUND_MORE_COST, ROUND_FEWER_COST, step=1),
        _cost((pauses[0], pauses[1]), BREAK_COST, BREAK_COST, step=LONG_STEP_MS),
        LEFT_OUT_COST * sum(importance(movement) for movement in gone),
    )
    return sum(KIND_COST + part for part in parts if part) + _lost_cost(before, after)


def _lost_cost(before: Section, after: Section) -> int:
    was_ms, now_ms = section_work_ms(before), section_work_ms(after)
    return WORK_LOST_COST * round(10 * max(was_ms - now_ms, 0) / max(was_ms, 1))


def _cost(
    values: tuple[int, int], longer: int, shorter: int, *, step: int = STEP_MS
) -> int:
    was, now = values
    return (longer if now > was else shorter) * abs(now - was) // step
