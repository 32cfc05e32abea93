"""A new plan from a few wishes: complete, commented, ending on its slot.

The same wishes and seed always give the same text.
"""

from __future__ import annotations

from itertools import islice
from random import Random
from typing import TYPE_CHECKING, Final

from cuetrack.cues.timeline import lay_out
from cuetrack.documents.editing.writing import scalar_text
from cuetrack.errors import CuetrackError
from cuetrack.movements.group_facts import Fact
from cuetrack.movements.group_reading import health
from cuetrack.movements.library import load_library
from cuetrack.plan.lengths import share_out
from cuetrack.plan.model import Coaching
from cuetrack.plan.reading import parse_plan
from cuetrack.planning.choosing import HIGH, pool_for, stretches, warming, works
from cuetrack.planning.request import LONGEST_SLOT_MS, SHORTEST_SLOT_MS, Level
from cuetrack.planning.time_allocation import (
    BREAK_MS,
    OPENINGS_MS,
    PART_OPENING_MS,
    TimeAllocation,
    shapes,
)
from cuetrack.review.case import tags_of
from cuetrack.review.model import Severity
from cuetrack.review.reviewing import review
from cuetrack.times import duration

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from cuetrack.movements.library import LibraryEntry
    from cuetrack.planning.choosing import Pool
    from cuetrack.planning.request import ClassRequest

_LONG_MARCH_MS: Final = 90_000
_MARCH_MS: Final = 60_000
_SHORT_WARM_UP_MS: Final = 360_000
_INTO_MOVEMENT_MS: Final = 12_000
"""Well after a movement is named, and well before the next one is."""
_LONGEST_WARM_SHARE_MS: Final = 40_000
_COOL_FEET_MS: Final = 180_000
"""Slow march, toe tap and ankle pump share this much of a cool-down at least."""
_STRETCH_MS: Final = 30_000
_TRIES: Final = 40
_ASKED: Final = 8
_NO_SUCH_SLOT: Final = (
    "A class of {} cannot be planned: with five minutes each to warm up and to cool "
    f"down, and the safety words, the shortest is {duration(SHORTEST_SLOT_MS)}; more "
    f"than {duration(LONGEST_SLOT_MS)} is too long for most groups. Choose a length "
    "between."
)
_FIRST_WATER_MS: Final = 19 * 60_000
"""The first break offers water; twenty minutes are the most without it."""

HEARTS_IN_SHORT_SLOTS: Final = frozenset({"T03", "T05"})
"""What a new plan may be told: a slot is too short for what weak hearts need."""


def generate(
    wishes: ClassRequest,
    seed: int = 0,
    accepts: Callable[[str], bool] | None = None,
) -> str:
    """Return the text of a new plan.

    Parameters
    ----------
    wishes
        What is wanted.
    seed
        Another number gives another choice of movements.
    accepts
        Whether a plan will do, asked of a few of them; the first one is taken when
        none does. None takes the first.

    Raises
    ------
    CuetrackError
        When the slot is too short or too long for a sound class, or too little of
        the library suits the group.
    """
    if not SHORTEST_SLOT_MS <= wishes.slot_ms <= LONGEST_SLOT_MS:
        raise CuetrackError(_NO_SUCH_SLOT.format(duration(wishes.slot_ms)))
    plans = _plans(wishes, seed)
    first = next(plans, None)
    if first is None:
        raise CuetrackError(
            "Too few movements of the library suit this group and its equipment. Leave "
            "out a caution that does not apply, or write the plan with movements of "
            "your own."
        )
    if accepts is None or accepts(first):
        return first
    return next(filter(accepts, islice(plans, _ASKED - 1)), first)


def _plans(wishes: ClassRequest, seed: int) -> Iterator[str]:
    pool = pool_for(wishes)
    for attempt in range(_TRIES):
        random = Random(f"{seed} {attempt}")  # noqa: S311 - variety, not secrecy
        found = _class(wishes, pool, random)
        if found is not None:
            yield found


def _class(wishes: ClassRequest, pool: Pool, random: Random) -> str | None:
    chosen: dict[int, tuple[LibraryEntry, ...]] = {}

    def round_ms(count: int) -> int:
        if count not in chosen:
            chosen[count] = works(wishes, pool, count, random)
        return _round_ms(wishes, chosen[count])

    for shape in shapes(wishes, round_ms):
        loaded = chosen[shape.count]
        if loaded:
            text = "\n".join(_lines(wishes, shape, pool, loaded, random)) + "\n"
            if _sound(text, wishes):
                return text
    return None


def _sound(text: str, wishes: ClassRequest) -> bool:
    """Return whether a plan ends on its slot and its review has nothing to mend."""
    plan = parse_plan(text, "new plan", library=load_library)
    timeline = lay_out(plan)
    heavy = [f.rule.id for f in review(plan, timeline) if f.severity != Severity.NOTE]
    return timeline.end_ms == wishes.slot_ms and set(heavy) <= HEARTS_IN_SHORT_SLOTS


def _round_ms(wishes: ClassRequest, entries: tuple[LibraryEntry, ...]) -> int:
    times = [_times(wishes, entry) for entry in entries]
    return sum(work + rest for work, rest in times) - (times[-1][1] if times else 0)


def _times(wishes: ClassRequest, entry: LibraryEntry) -> tuple[int, int]:
    """Return the work and the rest of a movement, ms."""
    clock = wishes.clock
    if not entry.movement.sides:
        return clock.work_ms, clock.rest_ms
    return clock.both_sides_ms or 0, clock.rest_after_sides_ms or 0


# --- the text ----------------------------------------------------------------------


def _lines(
    wishes: ClassRequest,
    shape: TimeAllocation,
    pool: Pool,
    loaded: tuple[LibraryEntry, ...],
    random: Random,
) -> Iterator[str]:
    yield from _head(wishes, loaded)
    yield ""
    yield "# Safety comes first: the voice says when to stop and how to sit."
    yield f"welcome: {duration(shape.welcome_ms)}"
    yield ""
    first_break_ms = shape.welcome_ms + OPENINGS_MS + shape.warm_up_ms
    first_break_ms += _round_ms(wishes, loaded)
    water = first_break_ms > _FIRST_WATER_MS
    yield from _warm_up(shape, _warming_of(shape, pool, loaded, random), water=water)
    yield ""
    yield from _intervals(wishes, shape, loaded)
    yield ""
    yield from _cool_down(shape, pool, loaded)
    yield ""
    yield "# The voice says how to stand up slowly."
    yield f"close: {duration(shape.close_ms)}"


def _head(wishes: ClassRequest, loaded: tuple[LibraryEntry, ...]) -> Iterator[str]:
    yield f"# A class of {duration(wishes.slot_ms)}. Lines that start with # are notes"
    yield "# for you; the voice does not read them. Change what you like, then look at"
    yield "# it with cuetrack check. Other movements: cuetrack movements."
    yield ""
    yield f"title: {scalar_text(wishes.title)}"
    yield f"lasts: {duration(wishes.slot_ms)}"
    if wishes.coaching is Coaching.CLOCK:
        yield "coaching: clock             # you coach live; the voice keeps the time"
    else:
        yield "coaching: everything        # or: clock, when you coach over the track"
    yield "bring:"
    yield "  - a sturdy chair without wheels"
    yield "  - water to drink"
    used = {kit for entry in loaded if (kit := _kit_used(wishes, entry))}
    for thing in wishes.equipment:
        if thing in used:
            yield f"  - {thing}"
    yield ""
    yield "# Who comes, in your own words; under not: what nobody has. When you have"
    yield "# asked about health, add: screened. When everyone knows the emergency plan,"
    yield "# add: emergency plan."
    facts = list(wishes.facts)
    if wishes.level is not Level.USUAL:
        facts.insert(0, wishes.level.value)
    yield "group:"
    yield f"  age: {wishes.age}"
    if facts:
        yield f"  facts: [{', '.join(map(scalar_text, facts))}]"
    if wishes.denied:
        rest = set(health(Fact)) - set(wishes.facts) <= set(wishes.denied)
        nobody = ["anything else"] if rest else wishes.denied
        yield f"  not: [{', '.join(map(scalar_text, nobody))}]"


def _kit_used(wishes: ClassRequest, entry: LibraryEntry) -> str | None:
    """Return what a movement is done with, of what is at hand."""
    usual = entry.movement.equipment
    if usual is None or usual in wishes.equipment:
        return usual
    if entry.empty_hands:
        return None
    return next((thing for thing in entry.or_with if thing in wishes.equipment), None)


def _march_ms(shape: TimeAllocation) -> int:
    return _MARCH_MS if shape.warm_up_ms <= _SHORT_WARM_UP_MS else _LONG_MARCH_MS


def _warming_of(
    shape: TimeAllocation, pool: Pool, loaded: tuple[LibraryEntry, ...], random: Random
) -> tuple[LibraryEntry, ...]:
    """Return what fills the warm-up after its march."""
    count = (shape.warm_up_ms - _march_ms(shape)) // _LONGEST_WARM_SHARE_MS
    return warming(pool, loaded, count, random)


def _warm_up(
    shape: TimeAllocation, entries: tuple[LibraryEntry, ...], *, water: bool
) -> Iterator[str]:
    march_ms = _march_ms(shape)
    yield "# No rests here. It warms up what the intervals will work. What has no time"
    yield "# of its own shares what is left."
    yield "warm-up:"
    yield f"  for: {duration(shape.warm_up_ms)}"
    yield "  movements:"
    yield f"    - easy march: {duration(march_ms)}"
    for entry in entries:
        yield f"    - {entry.name}"
    if water and entries:
        shares = share_out(shape.warm_up_ms - march_ms, len(entries))
        half = len(entries) // 2
        at_ms = PART_OPENING_MS + march_ms + sum(shares[:half]) + _INTO_MOVEMENT_MS
        yield "  # The first break comes late, so water is offered here as well."
        yield "  cues:"
        yield "    - say: There is time for a sip of water."
        yield f"      at: {duration(at_ms)}"


def _intervals(
    wishes: ClassRequest, shape: TimeAllocation, loaded: tuple[LibraryEntry, ...]
) -> Iterator[str]:
    clock = wishes.clock
    yield "# Each rest shows the next movement. The main muscles change every time, and"
    yield "# lively legs are followed by arms."
    yield "intervals:"
    yield f"  work: {duration(clock.work_ms)}"
    yield f"  rest: {duration(clock.rest_ms)}"
    yield f"  rounds: {shape.rounds}"
    if shape.rounds > 1:
        yield f"  between rounds: {{for: {duration(BREAK_MS)}, with: easy march}}"
    yield "  movements:"
    for entry in loaded:
        yield from _work(wishes, entry)


def _work(wishes: ClassRequest, entry: LibraryEntry) -> Iterator[str]:
    movement = entry.movement
    kit = _kit_used(wishes, entry)
    keys = []
    if movement.sides:
        keys.append(f"sides: [{', '.join(movement.sides)}]")
        work_ms, rest_ms = _times(wishes, entry)
        keys += [f"for: {duration(work_ms)}", f"rest: {duration(rest_ms)}"]
    if kit != movement.equipment:
        keys.append(f"equipment: {kit or 'none'}")
    if not keys:
        yield f"    - {entry.name}"
        return
    yield f"    - movement: {entry.name}"
    for key in keys:
        yield f"      {key}"


def _cool_down(
    shape: TimeAllocation, pool: Pool, loaded: tuple[LibraryEntry, ...]
) -> Iterator[str]:
    feet = [n for n in ("slow march", "toe tap") if pool.named(n)]
    last = [n for n in ("big breath", "ankle pump") if _calm(pool, n)]
    left_ms = shape.cool_down_ms - _COOL_FEET_MS
    held = []
    for entry in stretches(pool, loaded):
        time_ms = _STRETCH_MS * max(1, len(entry.movement.sides))
        if time_ms <= left_ms:
            held.append((entry.name, time_ms))
            left_ms -= time_ms
    yield "# The feet go on moving before anything is held; then what worked is"
    yield "# stretched, each side for half of the time. No bouncing."
    yield "cool-down:"
    yield f"  for: {duration(shape.cool_down_ms)}"
    yield "  movements:"
    for name in feet or ["slow march"]:
        yield f"    - {name}"
    for name, time_ms in held:
        yield f"    - {name}: {duration(time_ms)}"
    for name in last:
        yield f"    - {name}"


def _calm(pool: Pool, name: str) -> bool:
    entry = pool.named(name)
    return entry is not None and HIGH.isdisjoint(tags_of(entry.movement))
