"""The text of a new plan, with notes for whoever changes it."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from cuetrack.documents.editing.writing import scalar_text
from cuetrack.movements.group_facts import Fact
from cuetrack.movements.group_reading import health
from cuetrack.movements.library import find
from cuetrack.plan.lengths import share_out
from cuetrack.plan.model import Coaching
from cuetrack.planning.easy_parts import cooling, march_ms, warming
from cuetrack.planning.ordering import changes_seat
from cuetrack.planning.request import Level
from cuetrack.planning.time_allocation import (
    BREAK_MS,
    OPENINGS_MS,
    PART_OPENING_MS,
)
from cuetrack.review import limits
from cuetrack.times import duration

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence
    from random import Random

    from cuetrack.movements.library import LibraryEntry
    from cuetrack.movements.model import Movement
    from cuetrack.planning.choosing import Pool
    from cuetrack.planning.request import ClassRequest
    from cuetrack.planning.time_allocation import TimeAllocation

    Circuits = tuple[tuple[LibraryEntry, ...], ...]

_INTO_MOVEMENT_MS: Final = 12_000
"""Well after a movement is named, and well before the next one is."""
_FIRST_WATER_MS: Final = 19 * 60_000
"""The first break offers water; twenty minutes are the most without it."""
_REST_AROUND_SEATS_MS: Final = 40_000
"""Before and after a movement for which one moves forward on the chair."""
_REST_FOR_HANDS_MS: Final = 35_000
"""To lay one thing down or to pick one up, and to be told what comes."""
_REST_FOR_SWAP_MS: Final = 40_000
_REST_WITH_THE_SAME_MS: Final = 30_000
"""To be told what comes, with the same thing in the hands."""
_REST_STEP_MS: Final = 5_000
_LESS_IF_SHORT_MS: Final = 5_000
"""In short slots no band is put in a place, and words are fewer."""


def work_times(
    wishes: ClassRequest, entries: Sequence[LibraryEntry]
) -> list[tuple[int, int]]:
    """Return the work and the rest of each movement of a circuit, ms.

    Who moves forward or back on the chair has a longer rest for it, and who lays
    something down or picks it up.
    """
    clock = wishes.clock
    times = []
    for index, entry in enumerate(entries):
        work_ms, rest_ms = clock.work_ms, clock.rest_ms
        if entry.movement.sides:
            work_ms, rest_ms = clock.both_sides_ms, clock.rest_after_sides_ms
        following = entries[(index + 1) % len(entries)]
        if not wishes.tight:
            hands_ms = _for_hands_ms(entry.movement, following.movement)
            hands_ms -= _LESS_IF_SHORT_MS * wishes.short
            moves = changes_seat(entry) != changes_seat(following)
            rest_ms = max(rest_ms, hands_ms, _REST_AROUND_SEATS_MS * moves)
        times.append((work_ms, rest_ms))
    return times


def _for_hands_ms(before: Movement, after: Movement) -> int:
    """Return the shortest rest in which hands are empty or full again, ms.

    It grows with what tells where a band goes, and how it comes off.
    """
    placed = [before.afterwards] if before.is_set_up else []
    placed += [after.set_up] if after.is_set_up else []
    rest_ms = _REST_WITH_THE_SAME_MS if placed else 0
    if before.equipment != after.equipment:
        swaps = before.equipment and after.equipment
        rest_ms = _REST_FOR_SWAP_MS if swaps else _REST_FOR_HANDS_MS
    words = sum(len((text or "").split()) for text in placed)
    rest_ms += words * 60_000 // limits.WORDS_A_MINUTE
    return round(rest_ms / _REST_STEP_MS) * _REST_STEP_MS


def new_text(
    wishes: ClassRequest,
    shape: TimeAllocation,
    pool: Pool,
    circuits: Circuits,
    random: Random,
) -> str:
    """Return the text of a plan."""
    lines = _lines(wishes, shape, pool, circuits, random)
    return "\n".join(lines) + "\n"


def _lines(
    wishes: ClassRequest,
    shape: TimeAllocation,
    pool: Pool,
    circuits: Circuits,
    random: Random,
) -> Iterator[str]:
    loaded = tuple(entry for circuit in circuits for entry in circuit)
    warm = warming(wishes, pool, loaded, shape.warm_up_ms, random)
    cool = cooling(wishes, pool, loaded, shape.cool_down_ms, random)
    first_break_ms = shape.welcome_ms + OPENINGS_MS + shape.warm_up_ms
    first_break_ms += sum(map(sum, work_times(wishes, circuits[0])))
    water = first_break_ms > _FIRST_WATER_MS
    parts = [
        [
            "# Safety comes first: the voice says when to stop and how to sit.",
            f"welcome: {duration(shape.welcome_ms)}",
        ],
        [*_warm_up(shape, warm, water=water)],
        *([*_intervals(wishes, shape, circuits, n)] for n in range(len(circuits))),
        [*_cool_down(shape, cool)],
        [
            "# The voice says how to stand up slowly.",
            f"close: {duration(shape.close_ms)}",
        ],
    ]
    yield from _head(wishes, loaded)
    if len(circuits) > 1:
        yield ""
        yield "sections:"
        parts = [_as_item(part) for part in parts]
    for part in parts:
        yield ""
        yield from part


def _as_item(lines: list[str]) -> list[str]:
    """Return the lines of a section as an item of a list."""
    first = next(index for index, line in enumerate(lines) if line[0] != "#")
    return [
        *(f"  {line}" for line in lines[:first]),
        f"  - {lines[first]}",
        *(f"    {line}" for line in lines[first + 1 :]),
    ]


_HOW_HEAVY = {"light hand weights": " you can lift easily, or none"}
"""What is said of a thing that people choose themselves: empty hands do as well."""


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
    used = {entry.movement.equipment for entry in loaded}
    for thing in wishes.equipment:
        if thing in used:
            yield f"  - {thing}{_HOW_HEAVY.get(thing, '')}"
    yield "  - water to drink"
    yield "  - a sturdy chair without wheels or arms"
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


def _warm_up(
    shape: TimeAllocation, entries: tuple[LibraryEntry, ...], *, water: bool
) -> Iterator[str]:
    first_ms = march_ms(shape.warm_up_ms)
    yield "# No rests here. It warms up what the intervals will work. What has no time"
    yield "# of its own shares what is left."
    yield "warm-up:"
    yield f"  for: {duration(shape.warm_up_ms)}"
    yield "  movements:"
    yield f"    - easy march: {duration(first_ms)}"
    marches = [entry.name == "easy march" for entry in entries]
    for entry, again in zip(entries, marches, strict=True):
        yield f"    - {entry.name}" + (f": {duration(first_ms)}" if again else "")
    if water:
        left_ms = shape.warm_up_ms - first_ms * (1 + sum(marches))
        shares = iter(share_out(left_ms, len(marches) - sum(marches)))
        times = [first_ms if again else next(shares) for again in marches]
        before_ms = first_ms + sum(times[: len(times) // 2])
        at_ms = PART_OPENING_MS + before_ms + _INTO_MOVEMENT_MS
        yield "  # The first break comes late, so water is offered here as well."
        yield "  cues:"
        yield "    - say: Stop for a sip of water if you like. Then join in again."
        yield f"      at: {duration(at_ms)}"


def _intervals(
    wishes: ClassRequest, shape: TimeAllocation, circuits: Circuits, number: int
) -> Iterator[str]:
    clock, circuit = wishes.clock, circuits[number]
    if number == 0:
        yield "# Each rest shows the next movement. The main muscles change every time,"
        yield "# and effort builds up and eases off again."
    else:
        yield "# Other movements, a little livelier."
    yield "intervals:"
    yield f"  work: {duration(clock.work_ms)}"
    yield f"  rest: {duration(clock.rest_ms)}"
    yield f"  rounds: {shape.rounds}"
    last = number == len(circuits) - 1
    pause = f"{{for: {duration(BREAK_MS)}, with: easy march}}"
    if shape.rounds > 1 or not last:
        yield f"  between rounds: {pause if shape.pause_ms else 'none'}"
    if not last:
        yield "  break after last: yes"
    yield "  movements:"
    for entry, times in zip(circuit, work_times(wishes, circuit), strict=True):
        yield from _work(wishes, entry, *times)


def _work(
    wishes: ClassRequest, entry: LibraryEntry, work_ms: int, rest_ms: int
) -> Iterator[str]:
    movement, clock = entry.movement, wishes.clock
    keys = []
    if movement.sides:
        keys.append(f"sides: [{', '.join(movement.sides)}]")
    if work_ms != clock.work_ms:
        keys.append(f"for: {duration(work_ms)}")
    if rest_ms != clock.rest_ms:
        keys.append(f"rest: {duration(rest_ms)}")
    known = find(entry.name)
    if known is None or movement.equipment != known.movement.equipment:
        keys.append(f"equipment: {movement.equipment or 'none'}")
    if not keys:
        yield f"    - {entry.name}"
        return
    yield f"    - movement: {entry.name}"
    for key in keys:
        yield f"      {key}"


def _cool_down(
    shape: TimeAllocation, movements: Sequence[tuple[str, int | None]]
) -> Iterator[str]:
    yield "# The feet go on moving before anything is held; then what worked is"
    yield "# stretched, each side for half of the time. No bouncing."
    yield "cool-down:"
    yield f"  for: {duration(shape.cool_down_ms)}"
    yield "  movements:"
    for name, time_ms in movements:
        yield f"    - {name}" + (f": {duration(time_ms)}" if time_ms else "")
