"""Rules on words, and on what is missing, for what the group told of itself."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from cuetrack.plan.model import Role
from cuetrack.review.model import Hit
from cuetrack.review.texts import asked_of

if TYPE_CHECKING:
    import re
    from collections.abc import Callable, Iterator, Mapping

    from cuetrack.languages.review_words import ReviewWords
    from cuetrack.review.case import Case


def _worded(
    case: Case, wanted: Callable[[ReviewWords], re.Pattern[str]]
) -> Iterator[Hit]:
    """Yield a hit for each movement whose words ask for something."""
    known = case.words
    if known is None:
        return
    for movement, segment in case.movements():
        words = asked_of(known, movement, wanted(known))
        if words:
            what = f'{movement.name} says "{words}".'
            yield Hit(what=what, place=movement.place, segments=(segment.id,))


def nothing_upright(case: Case) -> Iterator[Hit]:
    """O03: as far as the plan knows which regions work."""
    movements = [m for m, _ in case.movements()]
    upright = any(
        "upper back" in m.regions and not m.hold and m.role is not Role.STRETCH
        for m in movements
    )
    known = all(m.regions for m in movements)
    if case.has("osteoporosis") and known and not upright:
        yield Hit(what="No movement works the upper back.")


def words_for_new_hip(case: Case) -> Iterator[Hit]:
    """H02."""
    if case.has("hip replacement"):
        yield from _worded(case, lambda words: words.high_knees)


def jerky_knees(case: Case) -> Iterator[Hit]:
    """K03."""
    if case.has("knee pain"):
        yield from _worded(case, lambda words: words.jerky_knees)


def swung_backs(case: Case) -> Iterator[Hit]:
    """B02."""
    if case.has("back pain"):
        yield from _worded(case, lambda words: words.leaning)


def dizzying(case: Case) -> Iterator[Hit]:
    """D02."""
    if case.has("dizziness"):
        yield from _worded(case, lambda words: words.dizzying)


CHECKS: Final[Mapping[str, Callable[[Case], Iterator[Hit]]]] = {
    "O03": nothing_upright,
    "H02": words_for_new_hip,
    "K03": jerky_knees,
    "B02": swung_backs,
    "D02": dizzying,
}
