"""Rules that what the group told of itself switches on, by the contraindications."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING, Final

from cuetrack.languages.body_words import question
from cuetrack.languages.group_words import group_words
from cuetrack.languages.vocabulary import vocabulary
from cuetrack.movements.contraindications import (
    Suits,
    contraindications,
    left_out,
    safe_words,
    verdicts,
    without_rule,
)
from cuetrack.movements.group_facts import OF_THE_CLASS, Fact
from cuetrack.movements.library import find, library_entries
from cuetrack.movements.own_words import strains_of_own_words
from cuetrack.movements.strains import strains_of
from cuetrack.plan.cautions import unsaid
from cuetrack.plan.model import Role
from cuetrack.review.case import main_region, named
from cuetrack.review.model import Hit

if TYPE_CHECKING:
    from collections.abc import Callable, Collection, Iterator, Mapping

    from cuetrack.plan.model import Movement
    from cuetrack.review.case import Case


def against_group(case: Case, rule: str) -> Iterator[Hit]:
    """Yield each movement that no safe form makes right for the group."""
    meanings = vocabulary(case.plan.language).tags
    says = group_words(case.plan.language).says
    for movement, segment in case.movements():
        for told in verdicts(movement, case.plan.group.facts, case.plan.language):
            asked = [row.strain for row in told.against if row.rule == rule]
            if not asked:
                continue
            why = named([meanings.get(strain, strain) for strain in asked])
            what = f"{movement.name}, with {says[told.fact]} in the group: {why}."
            other = instead_of(case, movement)
            if other is not None:
                what += f" Take {other} instead."
            yield Hit(what=what, place=movement.place, segments=(segment.id,))


def instead_of(case: Case, movement: Movement) -> str | None:
    """Return a movement of the library for the same muscles that suits the group.

    It serves the same purpose; of a movement whose muscles nobody told there is none.
    """
    facts, language = case.plan.group.facts, case.plan.language
    region, taken = main_region(movement), {m.name for m, _ in case.movements()}
    suiting = [
        other
        for entry in library_entries(language)
        if (other := entry.movement).name not in taken
        and region is not None
        and main_region(other) == region
        and other.hold == movement.hold
        and other.role in _purposes(movement)
        and "standing" not in strains_of(other)
        and not left_out(other, facts, language)
    ]
    suiting.sort(
        key=lambda other: (
            len(safe_words(other, facts, language)),
            -len(set(other.regions) & set(movement.regions)),
            abs((other.effort or 0) - (movement.effort or other.effort or 0)),
        )
    )
    return suiting[0].name if suiting else None


def _purposes(movement: Movement) -> Collection[Role]:
    """Return what a movement is for, or may be for where nobody says."""
    if movement.role in (Role.TRUNK, Role.STRETCH, Role.STRENGTH):
        return (movement.role,)
    if movement.hold:
        return (Role.STRETCH,)
    if movement.role is None:
        return (Role.ENERGISER, Role.STRENGTH, Role.TRUNK)
    return (Role.ENERGISER, Role.WARM_UP, Role.RECOVERY)


def not_reviewed(case: Case) -> Iterator[Hit]:
    """G01: movements of whose risk for the group nothing tells."""
    health = [f for f in case.plan.group.facts if Fact(f) not in OF_THE_CLASS]
    if not health:
        return
    language = case.plan.language
    says = group_words(language).says
    for movement, segment in case.movements():
        told = [
            each
            for each in verdicts(movement, health, language)
            if each.suits is Suits.NOT_REVIEWED
        ]
        questions = dict.fromkeys(q for each in told for q in each.open_questions)
        if not told or find(movement.name, library_entries(language)):
            continue
        facts = named([says[each.fact] for each in told], 3)
        what = f"{movement.name} is not reviewed for {facts}: nothing tells "
        what += f"{named([question(key, language) for key in questions])}."
        yield Hit(what=what, place=movement.place, segments=(segment.id,))


def own_words_in_safe_form(case: Case) -> Iterator[Hit]:
    """G04: what the words of a leader's own movement ask, where a safe form helps."""
    language = case.plan.language
    says, meanings = group_words(language).says, vocabulary(language).tags
    for movement, segment in case.movements():
        told = [
            each
            for each in verdicts(movement, case.plan.group.facts, language)
            if each.ways
        ]
        rows = (row for each in told for row in contraindications()[each.fact].rows)
        own = strains_of_own_words(movement)
        asked = dict.fromkeys(meanings[r.strain] for r in rows if r.strain in own)
        if asked:
            words = dict.fromkeys(w for each in told for w in each.words(language))
            what = (
                f"{movement.name}, with {named([says[t.fact] for t in told])} in the "
            )
            what += f"group: {named(list(asked))}."
            what += f" The voice says: {'. '.join(words)}." if words else ""
            yield Hit(what=what, place=movement.place, segments=(segment.id,))
    yield from _harder_options(case)


def _harder_options(case: Case) -> Iterator[Hit]:
    """Yield what only a harder option asks: nobody has to take it."""
    language = case.plan.language
    says, meanings = group_words(language).says, vocabulary(language).tags
    rules = contraindications()
    for movement, segment in case.movements():
        optional = movement.read.optional
        told = {
            Fact(fact): {r.strain for r in rules[Fact(fact)].rows} & optional
            for fact in case.plan.group.facts
            if Fact(fact) in rules
        }
        asked = sorted(meanings[s] for s in set().union(*told.values()))
        if asked:
            facts = named([says[fact] for fact, strains in told.items() if strains])
            what = f"{movement.name}, its harder option: {named(asked)}. "
            what += f"It is not for {facts}."
            yield Hit(what=what, place=movement.place, segments=(segment.id,))


def no_rule_for_fact(case: Case) -> Iterator[Hit]:
    """G02: with the movements that the question is about."""
    words = group_words(case.plan.language)
    for fact in without_rule(map(Fact, case.plan.group.facts)):
        what = f"The review has no rule for {words.says[fact]}: ask {words.asks[fact]}."
        strains = _ASKED_ABOUT.get(fact, frozenset())
        about = [m.name for m, _ in case.movements() if strains & strains_of(m).keys()]
        yield Hit(what=f"{what} It concerns {named(about)}." if about else what)


_ASKED_ABOUT: Final = {
    Fact.PACEMAKER: frozenset(
        {"overhead", "above_shoulder", "held_reach", "far_shoulder", "pulled_limb"}
    )
}
"""Common practice: for weeks after it was put in, that arm stays below the shoulder."""


def unsaid_safe_form(case: Case) -> Iterator[Hit]:
    """G03: where the plan's language has no words for it."""
    language = case.plan.language
    for movement, segment in case.movements():
        for told in verdicts(movement, case.plan.group.facts, language):
            words = list(unsaid(movement, told, language))
            if words:
                what = f"{movement.name} does not say: {'. '.join(words)}."
                yield Hit(what=what, place=movement.place, segments=(segment.id,))


CHECKS: Final[Mapping[str, Callable[[Case], Iterator[Hit]]]] = {
    **{
        rule: partial(against_group, rule=rule)
        for rules in contraindications().values()
        for rule in (row.rule for row in rules.rows)
    },
    "G01": not_reviewed,
    "G02": no_rule_for_fact,
    "G03": unsaid_safe_form,
    "G04": own_words_in_safe_form,
}
