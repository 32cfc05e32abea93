"""One press for what the review advises, where a small change does it.

Each rule that can be mended so has a way; its candidates are tried on the review in
turn, and the first one is taken that it no longer speaks of, or less, with nothing new
of weight found.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Final

from cuetrack.cues.timeline import lay_out
from cuetrack.desk.fields import word_in
from cuetrack.desk.movement_forms import named_movement
from cuetrack.desk.part_forms import longer_by
from cuetrack.documents.places import Place
from cuetrack.errors import PlacementError, UsageError
from cuetrack.movements.contraindications import left_out
from cuetrack.movements.library import library_entries
from cuetrack.pipeline.checking import reviewed
from cuetrack.plan.model import Coaching, SectionKind
from cuetrack.planning.alternatives import usual_break
from cuetrack.planning.fitting import FittedPlan, fit
from cuetrack.review.case import main_region
from cuetrack.review.model import Severity
from cuetrack.review.reviewing import review

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Mapping

    from cuetrack.desk.fields import Fields
    from cuetrack.plan.model import Movement, Plan, Section
    from cuetrack.review.model import Finding

    RemedyWay = Callable[[Plan, str], Iterator[Plan]]

LONGER_MS: Final = (60_000, 120_000, 180_000, 240_000, 300_000, 480_000, 660_000)
MARCH_MS: Final = (60_000, 90_000, 120_000)
REST_STEPS: Final = 8
STEP_MS: Final = 5_000
MOST_WORK_MS: Final = 60_000
MOST_TRIED: Final = 8
EASY_FIRST: Final = "slow march"
UPRIGHT: Final = "shoulder-blade squeeze"


def mend(plan: Plan, fields: Fields) -> Plan:
    """Return a plan in which a rule finds nothing more, or less, at one place.

    Raises UsageError when no small change does that.
    """
    rule, piece = word_in(fields, "rule"), word_in(fields, "piece")
    before, shown = reviewed(plan), _at_a_glance(plan)
    for number, candidate in enumerate(_WAYS[WAY_OF[rule]](plan, piece)):
        if number == MOST_TRIED:
            break
        seen = _hits(shown, rule)
        if seen and _hits(_at_a_glance(candidate), rule) >= seen:
            continue
        if _is_better(before, candidate, rule):
            return candidate
    raise UsageError(
        "No small change of this kind mends it.", "Change it as the review advises."
    )


def _at_a_glance(plan: Plan) -> tuple[Finding, ...]:
    """Return what the review finds before anything is placed, which is quick."""
    return review(plan, lay_out(plan))


def _is_better(before: tuple[Finding, ...], candidate: Plan, rule: str) -> bool:
    try:
        after = reviewed(candidate)
    except PlacementError:
        return False
    fewer = _hits(after, rule) < _hits(before, rule)
    return fewer and _weighty(after) <= _weighty(before)


def _hits(findings: tuple[Finding, ...], rule: str) -> int:
    return sum(one.rule.id == rule and not one.acknowledged for one in findings)


def _weighty(findings: tuple[Finding, ...]) -> set[str]:
    return {
        one.rule.id
        for one in findings
        if one.severity is not Severity.NOTE and not one.acknowledged
    }


def _at(piece: str) -> tuple[int, int | None]:
    """Return the section and the movement that an id of the page stands for.

    >>> _at("piece-2-0"), _at("part-1")
    ((2, 0), (1, None))
    """
    _, section, *movement = piece.split("-")
    return int(section), int(movement[0]) if movement else None


def _with(plan: Plan, index: int, section: Section) -> Plan:
    sections = (*plan.sections[:index], section, *plan.sections[index + 1 :])
    return replace(plan, sections=sections)


def _of_kind(plan: Plan, kind: SectionKind) -> Iterator[tuple[int, Section]]:
    return ((n, one) for n, one in enumerate(plan.sections) if one.kind is kind)


def _longer(kind: SectionKind) -> RemedyWay:
    def way(plan: Plan, _: str) -> Iterator[Plan]:
        for index, section in _of_kind(plan, kind):
            for by_ms in LONGER_MS:
                yield _with(plan, index, longer_by(section, by_ms))

    return way


def _march_first(plan: Plan, _: str) -> Iterator[Plan]:
    """Yield plans whose cool-down begins with easy feet."""
    march = replace(named_movement(plan, EASY_FIRST), place=Place())
    for index, section in _of_kind(plan, SectionKind.COOL_DOWN):
        for length_ms in MARCH_MS:
            first = replace(march, duration_ms=length_ms)
            movements = (first, *section.movements)
            yield _with(plan, index, replace(section, movements=movements))


def _more_rest(plan: Plan, piece: str) -> Iterator[Plan]:
    """Yield plans with longer rests where it was found, or in all rounds."""
    here = _at(piece)[0] if piece else None
    for index, section in _of_kind(plan, SectionKind.INTERVALS):
        clock = section.intervals
        if clock is None or here not in {None, index}:
            continue
        for step in range(1, REST_STEPS + 1):
            rest_ms = clock.rest_ms + step * STEP_MS
            longer = replace(section, intervals=replace(clock, rest_ms=rest_ms))
            yield _with(plan, index, longer)


def _even_clock(plan: Plan, _: str) -> Iterator[Plan]:
    """Yield plans that rest as long as they work, the whole of both as it was."""
    for index, section in _of_kind(plan, SectionKind.INTERVALS):
        if section.intervals:
            half_ms = (section.intervals.work_ms + section.intervals.rest_ms) // 2
            half_ms -= half_ms % STEP_MS
            clock = replace(section.intervals, work_ms=half_ms, rest_ms=half_ms)
            yield _with(plan, index, replace(section, intervals=clock))


def _shorter_work(plan: Plan, _: str) -> Iterator[Plan]:
    for index, section in _of_kind(plan, SectionKind.INTERVALS):
        if section.intervals and section.intervals.work_ms > MOST_WORK_MS:
            clock = replace(section.intervals, work_ms=MOST_WORK_MS)
            yield _with(plan, index, replace(section, intervals=clock))


def _with_breaks(plan: Plan, _: str) -> Iterator[Plan]:
    for index, section in _of_kind(plan, SectionKind.INTERVALS):
        clock = section.intervals
        if clock is not None and clock.between_rounds is None and clock.rounds > 1:
            clock = replace(clock, between_rounds=usual_break(plan.language))
            yield _with(plan, index, replace(section, intervals=clock))


def _as_stated(plan: Plan, _: str) -> Iterator[Plan]:
    """Yield the class fitted to its stated length, else its true length stated."""
    if plan.lasts_ms is not None:
        fitted = fit(plan, plan.lasts_ms)
        if isinstance(fitted, FittedPlan):
            yield fitted.plan
    yield replace(plan, lasts_ms=lay_out(plan).end_ms)


def _another(plan: Plan, piece: str) -> Iterator[Plan]:
    """Yield plans with another movement there, for the same of the body first."""
    index, number = _at(piece)
    if number is None:
        return
    section = plan.sections[index]
    old = section.movements[number]
    for new in _alike(plan, old):
        timed = replace(new, duration_ms=old.duration_ms, rest_ms=old.rest_ms)
        movements = list(section.movements)
        movements[number] = replace(timed, place=Place())
        yield _with(plan, index, replace(section, movements=tuple(movements)))


def _alike(plan: Plan, old: Movement) -> list[Movement]:
    """Return movements that suit the group and are not in the class yet."""
    taken = {movement.name for movement, _ in plan.movements()}
    known = (entry.movement for entry in library_entries(plan.language))
    new = [
        one
        for one in known
        if one.name not in taken
        and one.role is old.role
        and one.equipment in {None, old.equipment}
        and not left_out(one, plan.group.facts, plan.language)
    ]
    return sorted(new, key=lambda one: main_region(one) != main_region(old))


def _upright(plan: Plan, _: str) -> Iterator[Plan]:
    movement = replace(named_movement(plan, UPRIGHT), place=Place())
    for index, section in _of_kind(plan, SectionKind.WARM_UP):
        usual_ms = section.movements[-1].duration_ms
        movements = (*section.movements, replace(movement, duration_ms=usual_ms))
        yield _with(plan, index, replace(section, movements=movements))


def _voice_coaches(plan: Plan, _: str) -> Iterator[Plan]:
    yield replace(plan, coaching=Coaching.EVERYTHING)


def _unanswered(plan: Plan, _: str) -> Iterator[Plan]:
    """Yield plans without one of the answers that nothing asks for."""
    for one in plan.acknowledged:
        others = tuple(other for other in plan.acknowledged if other is not one)
        yield replace(plan, acknowledged=others)


_WAYS: Final[Mapping[str, RemedyWay]] = {
    "warm-up": _longer(SectionKind.WARM_UP),
    "cool-down": _longer(SectionKind.COOL_DOWN),
    "march": _march_first,
    "even": _even_clock,
    "rest": _more_rest,
    "work": _shorter_work,
    "breaks": _with_breaks,
    "length": _as_stated,
    "another": _another,
    "upright": _upright,
    "coaching": _voice_coaches,
    "unanswer": _unanswered,
}
_RULES: Final = {
    "warm-up": "T01 T02 T03",
    "cool-down": "T04 T05 T18",
    "march": "T07 S11",
    "even": "T09",
    "rest": "T10 T11 T13 C01 C05 C15",
    "work": "T12",
    "breaks": "T14",
    "length": "T17",
    "another": "I01 S06 S07 S08 S09 S12 S13 O01 O02 H01 H03 K01 K02 K03 B01 D01 D03 "
    "N01 W01 U01 F01 F02 R01 M03 M08 M09 M12",
    "upright": "O03",
    "coaching": "E04",
    "unanswer": "X01",
}
WAY_OF: Final = {rule: way for way, rules in _RULES.items() for rule in rules.split()}
"""How each rule that can be mended with one press is mended."""

OF_A_MOVEMENT: Final = frozenset({"another"})
"""Ways that need the movement where it was found."""
