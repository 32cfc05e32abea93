"""What fills a warm-up and a cool-down: what will work, and what has worked."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from cuetrack.movements.contraindications import safe_words
from cuetrack.plan.model import Role
from cuetrack.planning.ordering import changes_seat
from cuetrack.review import limits
from cuetrack.review.case import GENERAL, LEGS, main_region, tags_of

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence
    from random import Random

    from cuetrack.movements.library import LibraryEntry
    from cuetrack.planning.choosing import Pool
    from cuetrack.planning.request import ClassRequest

HIGH: Final = frozenset({"overhead", "above_shoulder"})
MARCH_MS: Final = 60_000
LONG_MARCH_MS: Final = 90_000
_SHORT_WARM_UP_MS: Final = 360_000
_WARM_SHARE_MS: Final = 45_000
_FEWEST_WARM, _MOST_WARM = 3, 8
"""Common practice: a few movements of about a minute, not one after another."""
_SMALL: Final = frozenset({"neck", "hands"})
_SMALL_MOST_MS: Final = limits.HEAD_TURN_MOST_MS
"""Neck and fingers are not moved for longer than this."""
_MARCH_EVERY_MS: Final = 420_000
"""Common practice: a long warm-up comes back to the march, so that effort rises."""
_EASY_EFFORT: Final = 4
_STRETCH_MS: Final = 30_000
_STRETCH_BOTH_MS: Final = 35_000
_SEAT_MS: Final = 10_000
"""What it takes to move forward on the chair and find a place for the feet."""
_FEET_SHARE: Final = 0.4
_FEET_LEAST_MS: Final = 110_000
"""Slow march, toe tap and ankle pump share two fifths of a cool-down or more."""


def march_ms(warm_up_ms: int) -> int:
    """Return how long a warm-up marches first."""
    if warm_up_ms < 2 * _SHORT_WARM_UP_MS // 3:
        return MARCH_MS // 2
    return MARCH_MS if warm_up_ms <= _SHORT_WARM_UP_MS else LONG_MARCH_MS


def warming(
    wishes: ClassRequest,
    pool: Pool,
    loaded: Sequence[LibraryEntry],
    warm_up_ms: int,
    random: Random,
) -> tuple[LibraryEntry, ...]:
    """Return what follows the march of a warm-up, its effort rising.

    First comes what warms up the regions that will be loaded, then something for the
    trunk and for the rest of the body. A long warm-up marches a second time.
    """
    more = warm_up_ms // _MARCH_EVERY_MS
    marching_ms = march_ms(warm_up_ms) * (1 + more)
    count = (warm_up_ms - marching_ms) // _WARM_SHARE_MS
    count = min(max(count, _FEWEST_WARM), _MOST_WARM)
    long = (warm_up_ms - marching_ms) // count > _SMALL_MOST_MS
    easy = [e for e in pool.entries if _may_warm(e, loaded)]
    easy = [e for e in easy if not (long and main_region(e.movement) in _SMALL)]
    random.shuffle(easy)
    easy.sort(key=lambda e: len(safe_words(e.movement, wishes.facts)))
    chosen: list[LibraryEntry] = []
    for region in dict.fromkeys(main_region(entry.movement) for entry in loaded):
        best = [e for e in easy if region in e.movement.regions and e not in chosen]
        best.sort(key=lambda e: e.movement.regions.index(region or "") > 1)
        chosen += best[:1]
    others = [e for e in easy if e not in chosen and not _moves_hands(e)]
    others.sort(key=lambda e: not _moves_trunk(e) or any(map(_moves_trunk, chosen)))
    found = sorted((*chosen, *others)[:count], key=lambda e: e.movement.effort or 0)
    for number in range(more):
        place = len(found) * (more - number) // (more + 1) + 1
        found[place:place] = filter(None, [pool.named("easy march")])
    return tuple(found)


def _may_warm(entry: LibraryEntry, loaded: Sequence[LibraryEntry]) -> bool:
    movement = entry.movement
    tags = tags_of(movement)
    return (
        movement.role in (Role.WARM_UP, Role.TRUNK, Role.ENERGISER)
        and (movement.effort or 0) <= _EASY_EFFORT
        and not (movement.hold or movement.sides or movement.equipment)
        and entry.name != "easy march"
        and all(entry.name != other.name for other in loaded)
        and HIGH.isdisjoint(tags)
        and "isometric" not in tags
        and not changes_seat(entry)
    )


def _moves_hands(entry: LibraryEntry) -> bool:
    return main_region(entry.movement) == "hands"


def _moves_trunk(entry: LibraryEntry) -> bool:
    return "trunk" in entry.movement.regions


def cooling(
    wishes: ClassRequest,
    pool: Pool,
    loaded: Iterable[LibraryEntry],
    cool_down_ms: int,
    random: Random,
) -> tuple[tuple[str, int | None], ...]:
    """Return the names of a cool-down with their times, ms; None shares the rest.

    The feet move before anything is held; what worked most is stretched, first the
    one for which people sit further forward. Then the breath calms.
    """
    feet = [n for n in ("slow march", "toe tap") if pool.named(n)] or ["slow march"]
    last = [n for n in ("big breath", "ankle pump") if _calm(pool, n)]
    feet_ms = max(_FEET_LEAST_MS, round(_FEET_SHARE * cool_down_ms))
    left_ms = cool_down_ms - feet_ms
    held: list[tuple[LibraryEntry, int]] = []
    for entry in _stretches(wishes, pool, loaded, random):
        time_ms = _STRETCH_MS * len(entry.movement.sides) or _STRETCH_BOTH_MS
        time_ms += _SEAT_MS * changes_seat(entry)
        again = changes_seat(entry) and any(changes_seat(e) for e, _ in held)
        if time_ms <= left_ms and not again:
            held.append((entry, time_ms))
            left_ms -= time_ms
    held.sort(key=lambda each: not changes_seat(each[0]))
    return (
        *((name, None) for name in feet),
        *((entry.name, time_ms) for entry, time_ms in held),
        *((name, None) for name in last),
    )


def _calm(pool: Pool, name: str) -> bool:
    entry = pool.named(name)
    return entry is not None and HIGH.isdisjoint(tags_of(entry.movement))


def _stretches(
    wishes: ClassRequest,
    pool: Pool,
    loaded: Iterable[LibraryEntry],
    random: Random,
) -> tuple[LibraryEntry, ...]:
    """Return held stretches, those for what worked most first, a leg among the first.

    None turns sideways on the chair, and none needs more care than is said briefly.
    """
    worked = [r for e in loaded for r in e.movement.regions if r not in GENERAL]
    held = [
        e
        for e in pool.of(Role.STRETCH)
        if e.movement.hold
        and HIGH.isdisjoint(tags_of(e.movement))
        and "seat_edge" not in tags_of(e.movement)
    ]

    def rank(entry: LibraryEntry) -> float:
        care = len(safe_words(entry.movement, wishes.facts))
        times = worked.count(main_region(entry.movement) or "")
        return care - times + random.uniform(0.0, 2.5)

    found = sorted(held, key=rank)
    found.sort(key=lambda e: e is not next(filter(_is_leg, found), None))
    return tuple(found)


def _is_leg(entry: LibraryEntry) -> bool:
    return main_region(entry.movement) in LEGS
