"""Rules on safety words, water, breath, and what is hard on anybody."""

from __future__ import annotations

from functools import partial
from itertools import groupby
from typing import TYPE_CHECKING, Final

from cuetrack import cuekinds
from cuetrack.cues.model import MOVING, SegmentKind
from cuetrack.cues.writing.coaching import EFFORT_TAGS
from cuetrack.plan.model import Role, SectionKind
from cuetrack.review import limits
from cuetrack.review.case import (
    done_times,
    named,
    tags_of,
    total_ms,
)
from cuetrack.review.easing_rules import eased_ms, easing_least_ms
from cuetrack.review.model import Hit
from cuetrack.review.texts import asked_of
from cuetrack.times import clock, duration

if TYPE_CHECKING:
    import re
    from collections.abc import Callable, Iterable, Iterator, Mapping

    from cuetrack.cues.model import PlacedCue, Segment
    from cuetrack.languages.review_words import ReviewWords
    from cuetrack.plan.model import Movement
    from cuetrack.review.case import Case


def _safety_before(case: Case, until_ms: int) -> tuple[PlacedCue, ...]:
    return tuple(p for p in case.said(cuekinds.SAFETY) if p.start_ms < until_ms)


def _first_work_ms(case: Case) -> int:
    return case.works[0].start_ms if case.works else case.timeline.end_ms


def _says_all(
    said: Iterable[PlacedCue],
    words: ReviewWords | None,
    *wanted: Callable[[ReviewWords], re.Pattern[str]],
) -> bool:
    """Return whether each thing is named; without known words anything said will do."""
    text = " ".join(placed.wording.text for placed in said)
    if words is None:
        return bool(text)
    return all(each(words).search(text) for each in wanted)


def stop_signs(case: Case) -> Iterator[Hit]:
    """S01."""
    said = _safety_before(case, _first_work_ms(case))
    if not _says_all(
        said, case.words, lambda w: w.chest, lambda w: w.dizzy, lambda w: w.breath
    ):
        what = "No warning signs are said before the first interval."
        yield Hit(what=what, segments=_first_id(case))


def chair_check(case: Case) -> Iterator[Hit]:
    """S02."""
    said = _safety_before(case, _first_work_ms(case))
    if not _says_all(said, case.words, lambda w: w.chair, lambda w: w.firm_chair):
        what = "Nothing is said of a firm chair before the first interval."
        yield Hit(what=what, segments=_first_id(case))


def standing_up(case: Case) -> Iterator[Hit]:
    """S03: in the last part, and after the last work."""
    if not case.segments:
        return
    from_ms = case.works[-1].end_ms if case.works else case.segments[-1].start_ms
    said = [p for p in case.said(cuekinds.SAFETY) if p.start_ms >= from_ms]
    if not _says_all(said, case.words, lambda w: w.stand_up, lambda w: w.slowly):
        what = "The end says nothing of standing up slowly."
        yield Hit(what=what, segments=(case.segments[-1].id,))


def _first_id(case: Case) -> tuple[str, ...]:
    return tuple(segment.id for segment in case.segments[:1])


def no_water(case: Case) -> Iterator[Hit]:
    """S04: no offer at any break of a long class, or none for long.

    A leader who coaches live offers it herself.
    """
    if not case.works or not case.voice_coaches:
        return
    end_ms = case.works[-1].end_ms
    breaks = [s for s in case.segments if s.kind is SegmentKind.RECOVERY]
    offers = [p for p in case.said() if _offers_water(case, p)]
    long = end_ms > limits.WATER_EVERY_MS
    if (
        breaks
        and long
        and not any(p.cue.segment in {b.id for b in breaks} for p in offers)
    ):
        what = f"Water is offered in none of {len(breaks)} breaks."
        yield Hit(what=what, segments=tuple(b.id for b in breaks))
    since_ms = 0
    for at_ms in [*(p.start_ms for p in offers if p.start_ms < end_ms), end_ms]:
        if at_ms - since_ms > limits.WATER_LATEST_MS:
            what = f"No water is offered from {clock(since_ms)} to {clock(at_ms)}."
            yield Hit(what=what)
        since_ms = at_ms


def _offers_water(case: Case, placed: PlacedCue) -> bool:
    if case.words is None:
        return placed.cue.kind is cuekinds.REST
    return bool(case.words.water.search(placed.wording.text))


def is_effort(case: Case, movement: Movement) -> bool:
    """Return whether a movement works against a weight, a band or itself."""
    if movement.hold and "isometric" not in tags_of(movement):
        return False
    if movement.effort is not None and movement.effort <= limits.EASY_EFFORT:
        return False
    loaded = case.words and case.words.resistance.search(movement.equipment or "")
    return bool(loaded) or not EFFORT_TAGS.isdisjoint(tags_of(movement))


def no_breathing(case: Case) -> Iterator[Hit]:
    """S05: said by the voice the first time, else written for the leader."""
    breaths = {p.cue.segment for p in case.said(cuekinds.BREATH)}
    told: set[str] = set()
    for parts in done_times(case):
        movement = parts[0].movement
        if movement is None or not is_effort(case, movement) or movement.name in told:
            continue
        told.add(movement.name)
        coached = case.coaches_in(parts[0])
        if coached and breaths.isdisjoint(part.id for part in parts):
            what = f"{movement.name} is done for the first time without a word on "
            what += "breathing."
        elif not coached and not movement.breathing:
            what = f"{movement.name} has no words on breathing for the leader to say."
        else:
            continue
        segments = tuple(part.id for part in parts)
        yield Hit(what=what, place=movement.place, segments=segments)


def long_strain(case: Case) -> Iterator[Hit]:
    """S06."""
    for movement, segment in case.movements():
        if _strains(movement, segment):
            what = f"{movement.name} is held for {duration(segment.length_ms)}."
            yield Hit(what=what, place=movement.place, segments=(segment.id,))


def _strains(movement: Movement, segment: Segment) -> bool:
    strained = movement.hold and "isometric" in tags_of(movement)
    return strained and segment.length_ms > limits.LONGEST_STRAIN_MS


def high_cool_down(case: Case) -> Iterator[Hit]:
    """S07: what goes on; an arm held up for one short stretch is no arm work."""
    high = {"overhead", "above_shoulder"}
    for movement, segment in case.movements():
        cooling = segment.section_kind is SectionKind.COOL_DOWN
        works = cooling and not movement.hold
        if works and not high.isdisjoint(tags_of(movement)):
            what = f"{movement.name} lifts the hands above the shoulders."
            yield Hit(what=what, place=movement.place, segments=(segment.id,))


def much_overhead(case: Case) -> Iterator[Hit]:
    """S08: for too long at a stretch, or too much of the works of a section."""
    for section, run in groupby(case.works, key=lambda s: s.section):
        works = tuple(run)
        high = tuple(w for w in works if w.movement and _is_overhead(w.movement))
        longest_ms = _longest_run_ms(works, _is_overhead)
        share = total_ms(high) / total_ms(works)
        short = total_ms(high) <= limits.OVERHEAD_MOST_MS
        if short or (
            longest_ms <= limits.OVERHEAD_MOST_MS
            and share <= limits.OVERHEAD_MOST_SHARE
        ):
            continue
        names = named([w.movement.name for w in high if w.movement])
        what = f"{names}: {share:.0%} of the work is overhead, "
        what += f"up to {duration(longest_ms)} at a stretch."
        place = case.plan.sections[section].place
        yield Hit(what=what, place=place, segments=tuple(w.id for w in high))


def _is_overhead(movement: Movement) -> bool:
    return "overhead" in tags_of(movement)


def _longest_run_ms(
    works: tuple[Segment, ...], wanted: Callable[[Movement], bool]
) -> int:
    """Return the longest time of works that follow each other and are wanted."""
    runs = groupby(works, key=lambda w: w.movement is not None and wanted(w.movement))
    return max(
        (total_ms(tuple(run)) for is_wanted, run in runs if is_wanted), default=0
    )


def head_down(case: Case) -> Iterator[Hit]:
    """S09: by its tag, or by words that ask for it."""
    for movement, segment in case.movements():
        what = None
        if "head_below_heart" in tags_of(movement):
            what = f"{movement.name} takes the head below the heart."
        elif case.words:
            words = asked_of(case.words, movement, case.words.head_down)
            what = f'{movement.name} says "{words}".' if words else None
        if what:
            yield Hit(what=what, place=movement.place, segments=(segment.id,))


def held_breath(case: Case) -> Iterator[Hit]:
    """S14: by words that ask for it."""
    known = case.words
    if known is None:
        return
    for movement, segment in case.movements():
        words = asked_of(known, movement, known.held_breath)
        if words:
            what = f'{movement.name} says "{words}".'
            yield Hit(what=what, place=movement.place, segments=(segment.id,))


def arms_alone(case: Case) -> Iterator[Hit]:
    """S10: lively arm movements after one another."""
    for section, run in groupby(case.works, key=lambda s: s.section):
        works = tuple(run)
        lively = partial(_is_arm_cardio, case)
        if _longest_run_ms(works, lively) <= limits.ARMS_ONLY_MOST_MS:
            continue
        arms = [w.movement.name for w in works if w.movement and lively(w.movement)]
        what = f"{named(arms)} follow each other with still feet."
        yield Hit(what=what, place=case.plan.sections[section].place)


def _is_arm_cardio(case: Case, movement: Movement) -> bool:
    lively = movement.role in (None, Role.ENERGISER) and not is_effort(case, movement)
    return "arms_only" in tags_of(movement) and lively


def early_stretch(case: Case) -> Iterator[Hit]:
    """S11: where T07 does not tell it already."""
    if not case.works or eased_ms(case) < easing_least_ms(case):
        return
    least_ms = easing_least_ms(case)
    end_ms = case.works[-1].end_ms
    cooling = [
        s
        for s in case.segments
        if s.kind in MOVING
        and s.start_ms >= end_ms
        and s.section_kind is SectionKind.COOL_DOWN
    ]
    for segment in cooling:
        into_ms = segment.start_ms - cooling[0].start_ms
        if segment.movement and segment.movement.hold:
            if into_ms < least_ms:
                what = f"{segment.movement.name} is held {duration(into_ms)} into the "
                place = segment.movement.place
                yield Hit(what=f"{what}cool-down.", place=place, segments=(segment.id,))
            return


CHECKS: Final[Mapping[str, Callable[[Case], Iterator[Hit]]]] = {
    "S06": long_strain,
    "S07": high_cool_down,
    "S08": much_overhead,
    "S09": head_down,
    "S14": held_breath,
    "S10": arms_alone,
    "S11": early_stretch,
}

SHEET_CHECKS: Final[Mapping[str, Callable[[Case], Iterator[Hit]]]] = {
    "S01": stop_signs,
    "S02": chair_check,
    "S03": standing_up,
    "S04": no_water,
    "S05": no_breathing,
}
"""Rules that need to know what is said when."""
