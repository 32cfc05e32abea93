"""What a plan says of safety for its own group, put in before anything is made of it.

A movement that suits somebody only in a safe form says so, in its caution. A caution
for nobody is dropped only where the plan answers that there is nobody: what was not
asked keeps it.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from cuetrack.languages.group_words import group_words, has_group_words
from cuetrack.languages.reading_level import sentences_of
from cuetrack.movements.contraindications import facts_named, verdicts
from cuetrack.movements.own_words import with_words_read
from cuetrack.plan.on_foot import with_way_down

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator

    from cuetrack.languages.phrases import Phrases
    from cuetrack.movements.contraindications import Verdict
    from cuetrack.plan.model import Group, Movement, Plan, Section


def with_cautions_for_group(plan: Plan) -> Plan:
    """Return a plan whose movements say what its group has to mind."""
    if not has_group_words(plan.language):
        return plan
    if not plan.group.facts and not plan.group.denied:
        return plan
    return _changed(plan, lambda m: cautioned(m, plan.group, plan.language))


def with_own_words_read(plan: Plan) -> Plan:
    """Return a plan whose movements know what a leader's own words ask of a body."""
    return _changed(plan, lambda m: with_words_read(m, plan.language))


def with_ways_down(plan: Plan, phrases: Phrases) -> Plan:
    """Return a plan in which nobody is left standing, or told to stand unasked."""
    return _changed(plan, lambda m: with_way_down(m, phrases))


def _changed(plan: Plan, change: Callable[[Movement], Movement]) -> Plan:
    """Return a plan with every movement in it changed."""
    sections = tuple(_section(section, change) for section in plan.sections)
    return replace(plan, sections=sections)


def _section(section: Section, change: Callable[[Movement], Movement]) -> Section:
    movements = tuple(change(m) for m in section.movements)
    clock = section.intervals
    if clock is None or clock.between_rounds is None:
        return replace(section, movements=movements)
    pause = clock.between_rounds
    easy = change(pause.movement)
    clock = replace(clock, between_rounds=replace(pause, movement=easy))
    return replace(section, movements=movements, intervals=clock)


def cautioned(movement: Movement, group: Group, language: str) -> Movement:
    """Return a movement with the caution that a group needs, its own facts first."""
    own = movement.caution
    if own is not None:
        own = _for_somebody(own, group, language)
    told = verdicts(movement, group.facts, language)
    added = _for_whom(movement, told, language)
    if own == movement.caution and not added:
        return movement
    said = [part.rstrip(" .") for part in (*added, own) if part]
    return replace(movement, caution=". ".join(said) or None)


def _for_whom(
    movement: Movement, told: Iterable[Verdict], language: str
) -> tuple[str, ...]:
    """Return the safe forms that a movement does not say, with whom they are for."""
    facts: dict[str, list[str]] = {}
    for each in told:
        for form in unsaid(movement, each, language):
            facts.setdefault(form, []).append(each.fact.value)
    words = group_words(language)
    return tuple(words.safe_form_for(about, form) for form, about in facts.items())


def _for_somebody(caution: str, group: Group, language: str) -> str | None:
    """Return the sentences of a caution but those for whom there is nobody."""
    told = sentences_of(caution)
    kept = [
        sentence
        for sentence in told
        if not (about := facts_named(sentence, language))
        or not set(map(str, about)) <= set(group.denied)
    ]
    return caution if len(kept) == len(told) else ". ".join(kept) or None


def unsaid(movement: Movement, told: Verdict, language: str) -> Iterator[str]:
    """Yield the words of a safe form that the movement does not say by itself."""
    texts = (movement.how, *movement.form, movement.breathing)
    to_them = (
        sentence
        for sentence in (movement.caution or "").split(". ")
        if told.fact in (facts_named(sentence, language) or (told.fact,))
    )
    said = " ".join(filter(None, (*texts, *to_them))).casefold()
    forms = group_words(language).safe_forms
    for way in told.ways:
        form = forms.get(way)
        if form and not any(words in said for words in form.said):
            yield form.say
