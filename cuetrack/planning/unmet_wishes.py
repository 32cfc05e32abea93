"""What of a request a new class leaves out, and why."""

from __future__ import annotations

from dataclasses import replace
from random import Random
from typing import TYPE_CHECKING

from cuetrack.movements.group_facts import Fact
from cuetrack.planning.choosing import is_for_knees, pool_for, works_for
from cuetrack.planning.request import LONGEST_SLOT_MS
from cuetrack.planning.time_allocation import twice_fits
from cuetrack.times import duration

if TYPE_CHECKING:
    from collections.abc import Sequence

    from cuetrack.movements.library import LibraryEntry
    from cuetrack.planning.ordering import Candidate
    from cuetrack.planning.request import ClassRequest


def unmet(
    wishes: ClassRequest,
    fitting: Sequence[Candidate],
    entries: Sequence[LibraryEntry],
) -> int:
    """Return how many wishes some works leave out for which there is something.

    They are the regions to be worked, the use of what is at hand, and, for two, the
    front of the thighs where knees are sore.
    """
    kinds = [
        [each for each in fitting if wishes.regions & each.groups],
        [each for each in fitting if each.thing in wishes.equipment],
    ]
    if Fact.SORE_KNEE in wishes.facts:
        kinds += [[each for each in fitting if is_for_knees(each)]] * 2
    chosen = {entry.name for entry in entries}
    return sum(
        bool(kind) and chosen.isdisjoint(each.entry.name for each in kind)
        for kind in kinds
    )


def why_unused(wishes: ClassRequest, thing: str) -> str:
    """Return why a new class does nothing with a thing that is at hand."""
    slots_ms = range(wishes.slot_ms, LONGEST_SLOT_MS + 1, 60_000)
    needed_ms = next((ms for ms in slots_ms if _lifts(wishes, ms, thing)), None)
    if needed_ms is None:
        return "nothing done with it suits this group"
    if needed_ms > wishes.slot_ms:
        least = duration(needed_ms)
        return f"so short a class lifts nothing often enough, one of {least} does"
    return "something else is used for the same, so name it alone to have it"


def _lifts(wishes: ClassRequest, slot_ms: int, thing: str) -> bool:
    """Return whether a class of a length can do something with a thing alone."""
    once = replace(wishes, slot_ms=slot_ms, equipment=(thing,), once=True)
    twice = replace(once, once=False)
    pool, any_order = pool_for(once), Random(0)  # noqa: S311 - all are looked at
    works = works_for(once, pool, any_order, rounds=1)
    if twice_fits(twice):
        works += works_for(twice, pool, any_order, rounds=2)
    return any(entry.movement.equipment == thing for entry in works)
