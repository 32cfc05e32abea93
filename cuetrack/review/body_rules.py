"""Rules that what the group told of itself switches on."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from cuetrack.plan.model import Role
from cuetrack.review.case import END_RANGE, TURNS, named, tags_of
from cuetrack.review.model import Hit
from cuetrack.review.texts import asked_of

if TYPE_CHECKING:
    import re
    from collections.abc import Callable, Iterator, Mapping

    from cuetrack.languages.review_words import ReviewWords
    from cuetrack.review.case import Case

TAG_WORDS: Final[Mapping[str, str]] = {
    "flexion_end_range": "rounds the back as far as it goes",
    "rotation_end_range": "turns the trunk as far as it goes",
    "combined_bend_twist": "bends and turns at once",
    "hip_flexion_gt90": "bends the hip past a right angle",
    "crosses_midline_leg": "crosses the legs",
    "hip_int_rotation": "turns a leg inward",
    "overhead": "takes the hands overhead",
    "above_shoulder": "takes the hands above the shoulders",
    "rapid": "is quick",
}
AGAINST_NEW_HIPS: Final = frozenset(
    {
        "hip_flexion_gt90",
        "crosses_midline_leg",
        "hip_int_rotation",
        "rotation_end_range",
        "combined_bend_twist",
    }
)


def _tagged(case: Case, unwanted: frozenset[str]) -> Iterator[Hit]:
    """Yield a hit for each movement that has an unwanted tag."""
    for movement, segment in case.movements():
        found = unwanted & tags_of(movement)
        if "overhead" in found:
            found -= {"above_shoulder"}
        if found:
            does = named([TAG_WORDS[tag] for tag in sorted(found)])
            what = f"{movement.name} {does}."
            yield Hit(what=what, place=movement.place, segments=(segment.id,))


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


def far_with_thin_bones(case: Case) -> Iterator[Hit]:
    """O01."""
    if case.has("osteoporosis"):
        yield from _tagged(case, END_RANGE)


def loaded_with_thin_bones(case: Case) -> Iterator[Hit]:
    """O02: a bend with weight, a turn with speed; not what O01 tells already."""
    if not case.has("osteoporosis"):
        return
    for movement, segment in case.movements():
        tags = tags_of(movement)
        if END_RANGE & tags:
            continue
        if {"loaded", "spinal_flexion"} <= tags:
            what = f"{movement.name} rounds the back against a weight."
        elif {"rapid", "rotation"} <= tags:
            what = f"{movement.name} turns the trunk quickly."
        else:
            continue
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


def against_new_hip(case: Case) -> Iterator[Hit]:
    """H01."""
    if case.has("hip replacement"):
        yield from _tagged(case, AGAINST_NEW_HIPS)


def words_for_new_hip(case: Case) -> Iterator[Hit]:
    """H02."""
    if case.has("hip replacement"):
        yield from _worded(case, lambda words: words.high_knees)


def jerky_knees(case: Case) -> Iterator[Hit]:
    """K01."""
    if not case.has("knee pain"):
        return
    told: set[str] = set()
    for hit in _worded(case, lambda words: words.jerky_knees):
        told.update(hit.segments)
        yield hit
    for movement, segment in case.movements():
        quick = {"knee_load", "rapid"} <= tags_of(movement)
        if quick and segment.id not in told:
            what = f"{movement.name} loads the knee quickly."
            yield Hit(what=what, place=movement.place, segments=(segment.id,))


def high_with_sore_shoulders(case: Case) -> Iterator[Hit]:
    """K02."""
    if case.has("shoulder pain"):
        yield from _tagged(case, frozenset({"overhead", "above_shoulder"}))


def turns_with_sore_backs(case: Case) -> Iterator[Hit]:
    """B01."""
    if not case.has("back pain"):
        return
    yield from _tagged(case, END_RANGE)
    for movement, segment in case.movements():
        tags = tags_of(movement)
        if "rapid" in tags and TURNS & tags and not END_RANGE & tags:
            what = f"{movement.name} turns the trunk quickly."
            yield Hit(what=what, place=movement.place, segments=(segment.id,))
    yield from _worded(case, lambda words: words.leaning)


def dizzying(case: Case) -> Iterator[Hit]:
    """D01."""
    if not case.has("dizziness"):
        return
    yield from _worded(case, lambda words: words.dizzying)
    for movement, segment in case.movements():
        if {"head_turn", "rapid"} <= tags_of(movement):
            what = f"{movement.name} turns the head quickly."
            yield Hit(what=what, place=movement.place, segments=(segment.id,))


CHECKS: Final[Mapping[str, Callable[[Case], Iterator[Hit]]]] = {
    "O01": far_with_thin_bones,
    "O02": loaded_with_thin_bones,
    "O03": nothing_upright,
    "H01": against_new_hip,
    "H02": words_for_new_hip,
    "K01": jerky_knees,
    "K02": high_with_sore_shoulders,
    "B01": turns_with_sore_backs,
    "D01": dizzying,
}
