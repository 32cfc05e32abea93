"""A new plan from a few wishes: complete, commented, ending on its slot.

The same wishes and seed always give the same text.
"""

from __future__ import annotations

from dataclasses import replace
from itertools import chain, islice
from random import Random
from typing import TYPE_CHECKING, Final

from cuetrack.cues.timeline import lay_out
from cuetrack.errors import CuetrackError
from cuetrack.movements.library import load_library
from cuetrack.plan.reading import parse_plan
from cuetrack.planning.choosing import candidates, circuits, pool_for
from cuetrack.planning.new_text import new_text, work_times
from cuetrack.planning.request import LONGEST_SLOT_MS
from cuetrack.planning.time_allocation import RoundTimes, TimeAllocation, shapes
from cuetrack.planning.unmet_wishes import unmet
from cuetrack.review.model import Severity
from cuetrack.review.reviewing import review
from cuetrack.times import duration

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from cuetrack.movements.library import LibraryEntry
    from cuetrack.planning.choosing import Pool
    from cuetrack.planning.request import ClassRequest

    Circuits = tuple[tuple[LibraryEntry, ...], ...]

_TRIES: Final = 40
_TRIES_FOR_WISHES: Final = 6
"""So often a class is sought that leaves out no wish, then one, and so on."""
_ASKED: Final = 8
_SHAPES: Final = 12
_JITTER: Final = 0.3
"""Shapes about as balanced take turns from seed to seed, others after a refusal."""
_NO_SUCH_SLOT: Final = (
    "A class of {} cannot be planned: with the time to warm up, to cool down and for "
    "the safety words, the shortest for this group is {}; more than "
    f"{duration(LONGEST_SLOT_MS)} is too long for most groups. Choose a length between."
)

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
    if not wishes.shortest_ms <= wishes.slot_ms <= LONGEST_SLOT_MS:
        told = duration(wishes.slot_ms), duration(wishes.shortest_ms)
        raise CuetrackError(_NO_SUCH_SLOT.format(*told))
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
        jitter, lacking = _JITTER * (1 + attempt), attempt // _TRIES_FOR_WISHES
        found = _class(wishes, pool, random, jitter=jitter, most_lacking=lacking)
        if found is not None:
            yield found


def _class(
    wishes: ClassRequest,
    pool: Pool,
    random: Random,
    *,
    jitter: float,
    most_lacking: int,
) -> str | None:
    asked = {1: replace(wishes, once=True), 2: wishes}
    fitting = {n: candidates(asked[n], pool, random, n) for n in asked}
    chosen: dict[tuple[tuple[int, ...], int], Circuits] = {}

    def times(counts: tuple[int, ...], rounds: int) -> tuple[RoundTimes, ...]:
        key = counts, min(rounds, 2)
        if key not in chosen:
            few, so = fitting[key[1]], asked[key[1]]
            chosen[key] = circuits(so, few, counts, random, repeats=rounds > 1)
        return tuple(_round_times(asked[key[1]], each) for each in chosen[key])

    def lacking(shape: TimeAllocation) -> int:
        works = chain(*chosen[shape.counts, min(shape.rounds, 2)])
        return unmet(wishes, every, tuple(works))

    every = (*fitting[1], *fitting[2])
    found = shapes(wishes, times, lambda: random.uniform(0.0, jitter))
    for shape in [s for s in found[:_SHAPES] if lacking(s) <= most_lacking]:
        how_often = min(shape.rounds, 2)
        loaded = chosen[shape.counts, how_often]
        text = new_text(asked[how_often], shape, pool, loaded, random)
        if _sound(text, wishes):
            return text
    return None


def _sound(text: str, wishes: ClassRequest) -> bool:
    """Return whether a plan ends on its slot and its review has nothing to mend."""
    plan = parse_plan(text, "new plan", library=load_library)
    timeline = lay_out(plan)
    heavy = [f.rule.id for f in review(plan, timeline) if f.severity != Severity.NOTE]
    return timeline.end_ms == wishes.slot_ms and set(heavy) <= HEARTS_IN_SHORT_SLOTS


def _round_times(wishes: ClassRequest, entries: tuple[LibraryEntry, ...]) -> RoundTimes:
    times = work_times(wishes, entries)
    last_rest_ms = times[-1][1]
    return RoundTimes(sum(map(sum, times)) - last_rest_ms, last_rest_ms)
