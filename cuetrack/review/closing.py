"""What is always true, and what was not asked: told once, after the findings."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from cuetrack.languages.group_words import group_words
from cuetrack.movements.contraindications import contraindications, left_out
from cuetrack.review.case import Case, named

if TYPE_CHECKING:
    from cuetrack.cues.model import Timeline
    from cuetrack.movements.group_facts import Fact
    from cuetrack.plan.model import Plan

ALWAYS: Final = (
    "For every class: an emergency plan, a few questions on health before the first "
    "time, and, where the slot allows, about ten minutes each to warm up and to cool "
    "down."
)


def closing_lines(plan: Plan, timeline: Timeline) -> tuple[str, ...]:
    """Return the sentences that close a review, each a paragraph."""
    unasked = _unasked(Case(plan=plan, timeline=timeline))
    return tuple(filter(None, (unasked, ALWAYS)))


def _unasked(case: Case) -> str:
    """Return what was not answered of the group, and what would then be left out."""
    facts = unasked_facts(case.plan)
    if not facts:
        return ""
    says = group_words(case.plan.language).says
    told = "The plan says nothing of " + named([says[fact] for fact in facts], 3)
    told += ", so every caution stays in."
    for movement, _ in case.movements():
        against = [
            fact for fact in facts if left_out(movement, [fact], case.plan.language)
        ]
        if against:
            told += f" {movement.name}: not with {named([says[f] for f in against])}."
    return told


def unasked_facts(plan: Plan) -> tuple[Fact, ...]:
    """Return the facts that rules know and the plan says nothing of."""
    answered = {*plan.group.facts, *plan.group.denied}
    return tuple(
        fact
        for fact, rules in contraindications().items()
        if rules.rows and fact not in answered
    )
