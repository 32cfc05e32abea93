"""Rules on the movements themselves: sides, muscles, options, loads, lengths."""

from __future__ import annotations

from collections import defaultdict
from itertools import groupby, pairwise
from typing import TYPE_CHECKING, Final

from cuetrack import cuekinds
from cuetrack.cues.model import SegmentKind
from cuetrack.documents.names import movement_key, nearest
from cuetrack.languages.vocabulary import vocabulary
from cuetrack.movements.library import load_library
from cuetrack.movements.strains import tag_form
from cuetrack.plan.model import Role
from cuetrack.review import limits
from cuetrack.review.case import (
    ARMS,
    LEGS,
    TRUNK,
    done_times,
    main_region,
    named,
    tags_of,
)
from cuetrack.review.model import Hit
from cuetrack.times import duration

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Mapping

    from cuetrack.cues.model import Segment
    from cuetrack.languages.review_words import ReviewWords
    from cuetrack.movements.model import Movement
    from cuetrack.review.case import Case

_KG_A_POUND: Final = 0.45359237


def unequal_sides(case: Case) -> Iterator[Hit]:
    """M01: a side missing, or more time for one than for the other."""
    for movement, segment in case.movements():
        if "one_sided" in tags_of(movement) and not movement.sides:
            what = f"{movement.name} works one side, and the plan says both."
            yield Hit(what=what, place=movement.place, segments=(segment.id,))
    for parts in done_times(case):
        lengths_ms = [part.length_ms for part in parts]
        apart_ms = max(lengths_ms) - min(lengths_ms)
        if apart_ms > limits.SIDES_MOST_APART_MS and parts[0].movement:
            what = (
                f"{parts[0].movement.name} has {duration(apart_ms)} more on one side."
            )
            yield Hit(what=what, place=parts[0].movement.place, segments=(parts[0].id,))
    if case.words:
        yield from _named_sides(case, case.words)


def _named_sides(case: Case, words: ReviewWords) -> Iterator[Hit]:
    """Yield sides that stand as movements of their own and differ."""
    times: dict[str, dict[str, int]] = defaultdict(lambda: {"left": 0, "right": 0})
    first: dict[str, Segment] = {}
    for segment, *_ in done_times(case):
        movement = segment.movement
        if movement is None or movement.sides:
            continue
        is_left = words.left.search(movement.name) is not None
        if not is_left and not words.right.search(movement.name):
            continue
        key = movement_key(words.right.sub("", words.left.sub("", movement.name)))
        times[key]["left" if is_left else "right"] += segment.length_ms
        first.setdefault(key, segment)
    for key, sides in times.items():
        movement = first[key].movement
        apart_ms = abs(sides["left"] - sides["right"])
        if movement and apart_ms > limits.SIDES_MOST_APART_MS:
            what = f"{movement.name}: left has {duration(sides['left'])}, right "
            what += f"{duration(sides['right'])}."
            yield Hit(what=what, place=movement.place, segments=(first[key].id,))


def unannounced_side(case: Case) -> Iterator[Hit]:
    """M02: nothing names the other side early enough."""
    starts_ms = [p.start_ms for p in case.said(cuekinds.SIDE_CHANGE)]
    for parts in done_times(case):
        movement = parts[0].movement
        for before, after in pairwise(parts):
            latest_ms = after.start_ms - limits.SIDE_LEAD_MS
            if movement and not any(
                before.start_ms <= s <= latest_ms for s in starts_ms
            ):
                what = f"{movement.name} changes sides without being announced."
                yield Hit(what=what, place=movement.place, segments=(after.id,))


def same_muscles(case: Case) -> Iterator[Hit]:
    """M03: runs of works that all have one main region, or one name."""
    works = [p[0] for p in done_times(case) if p[0].kind is SegmentKind.WORK]
    told: set[str] = set()
    for key, run in groupby(works, key=_likeness):
        same = list(run)
        if key is None or len(same) <= limits.SAME_REGION_MOST or key in told:
            continue
        told.add(key)
        names = named([s.movement.name for s in same if s.movement])
        what = f"{len(same)} works in a row are for the same muscles ({key}): {names}."
        place = same[limits.SAME_REGION_MOST].movement
        yield Hit(
            what=what,
            place=place.place if place else case.section(same[0]).place,
            segments=tuple(s.id for s in same),
        )


def _likeness(segment: Segment) -> str | None:
    if segment.movement is None:
        return None
    return main_region(segment.movement) or segment.movement.name


def odd_repetitions(case: Case) -> Iterator[Hit]:
    """M04: strength work whose pace is known; too few only over all rounds."""
    for movement, segment in case.work_movements():
        if movement.role is not Role.STRENGTH or not movement.repetitions:
            continue
        count = segment.length_ms * movement.repetitions // 60_000
        clock = case.section(segment).intervals
        in_all = count * (clock.rounds if clock else 1)
        easy = movement.effort is not None and movement.effort <= limits.EASY_EFFORT
        few = in_all < limits.FEWEST_REPETITIONS and not easy
        if few or count > limits.MOST_REPETITIONS:
            each = " on each side" if movement.sides else ""
            what = f"{movement.name} comes to {count} repetitions{each} in "
            what += f"{duration(segment.length_ms)}."
            yield Hit(what=what, place=movement.place, segments=(segment.id,))


def left_out_regions(case: Case) -> Iterator[Hit]:
    """M06: in long classes whose movements all say what they work."""
    movements = [m for m, _ in case.movements() if not m.hold]
    if case.timeline.end_ms <= limits.ALL_REGIONS_FROM_MS or not case.works:
        return
    if not all(movement.regions for movement in movements):
        return
    worked = {region for movement in movements for region in movement.regions}
    parts = {"legs": LEGS, "arms": ARMS, "trunk": TRUNK | {"upper back"}}
    missing = [name for name, regions in parts.items() if not regions & worked]
    if missing:
        yield Hit(what=f"Nothing works the {named(missing)}.")


def no_easier_way(case: Case) -> Iterator[Hit]:
    """M07: one hit for all works that lack it, but light ones."""
    without = [
        m
        for m, _ in case.work_movements()
        if not m.easier and (m.effort is None or m.effort > limits.LIGHT_EFFORT)
    ]
    if without:
        what = f"No easier way is told for {named([m.name for m in without])}."
        yield Hit(what=what, place=without[0].place)


def heavy_weights(case: Case) -> Iterator[Hit]:
    """M08: a weight written in what is brought or picked up."""
    for thing in case.plan.bring:
        if _heaviest_kg(case, thing) > limits.HEAVIEST_KG:
            yield Hit(what=f'People bring "{thing}".')
    for movement, segment in case.movements():
        if _heaviest_kg(case, movement.equipment or "") > limits.HEAVIEST_KG:
            what = f"{movement.name} is done with {movement.equipment}."
            yield Hit(what=what, place=movement.place, segments=(segment.id,))


def _heaviest_kg(case: Case, text: str) -> float:
    if case.words is None:
        return 0.0
    units = ((case.words.kilograms, 1.0), (case.words.pounds, _KG_A_POUND))
    return max(
        (
            float(found["number"].replace(",", ".")) * kg
            for pattern, kg in units
            for found in pattern.finditer(text)
        ),
        default=0.0,
    )


def stretch_length(case: Case) -> Iterator[Hit]:
    """M10: held stretches; what strains is told by S06.

    A time that nobody wrote for it is a share of its section's, and may be longer.
    """
    least_ms = limits.STRETCH_LEAST_MS
    for movement, segment in case.movements():
        shared = not movement.says_time
        most_ms = limits.STRETCH_SHARED_MOST_MS if shared else limits.STRETCH_MOST_MS
        stretch = movement.role in (None, Role.STRETCH)
        held = movement.hold and stretch and "isometric" not in tags_of(movement)
        if held and not least_ms <= segment.length_ms <= most_ms:
            each = " on each side" if movement.sides else ""
            what = f"{movement.name} is held for {duration(segment.length_ms)}{each}."
            yield Hit(what=what, place=movement.place, segments=(segment.id,))


def one_under_two_names(case: Case) -> Iterator[Hit]:
    """M11: two names of the library for one movement, told alike, among the works.

    In a warm-up doing the same once more is no loss.
    """
    library = load_library(case.plan.language)
    first: dict[str, Movement] = {}
    for movement, segment in case.movements():
        known = library.get(movement_key(movement.name))
        if known is None:
            continue
        before = first.setdefault(known.name, movement)
        same_name = movement_key(before.name) == movement_key(movement.name)
        works = segment.kind is SegmentKind.WORK
        if works and not same_name and before.how == movement.how:
            what = f"{before.name} and {movement.name} are one movement."
            yield Hit(what=what, place=movement.place, segments=(segment.id,))


def quick_weights(case: Case) -> Iterator[Hit]:
    """M12: a weight or a band moved to a quick beat."""
    for movement, segment in case.movements():
        bpm, held = movement.tempo_bpm or 0, movement.equipment
        if bpm <= limits.SLOW_WITH_WEIGHTS_BPM or not (case.words and held):
            continue
        if case.words.resistance.search(held):
            what = f"{movement.name} moves {held} at {bpm} beats a minute."
            yield Hit(what=what, place=movement.place, segments=(segment.id,))


def unknown_tags(case: Case) -> Iterator[Hit]:
    """X02."""
    known = vocabulary(case.plan.language).tags
    for movement, _ in case.movements():
        for tag in sorted(set(map(tag_form, movement.tags)) - set(known)):
            near = nearest(tag, known)
            meant = f' Did you mean "{near}"?' if near else ""
            what = f'{movement.name} has the tag "{tag}", which is not known.{meant}'
            yield Hit(what=what, place=movement.place)


CHECKS: Final[Mapping[str, Callable[[Case], Iterator[Hit]]]] = {
    "M01": unequal_sides,
    "M03": same_muscles,
    "M04": odd_repetitions,
    "M06": left_out_regions,
    "M07": no_easier_way,
    "M08": heavy_weights,
    "M10": stretch_length,
    "M11": one_under_two_names,
    "M12": quick_weights,
    "X02": unknown_tags,
}

SHEET_CHECKS: Final[Mapping[str, Callable[[Case], Iterator[Hit]]]] = {
    "M02": unannounced_side
}
"""Rules that need to know what is said when."""
