"""Rules on what is said that can hurt: people do what the voice says."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING, Final

from cuetrack.plan.model import Role
from cuetrack.review import limits
from cuetrack.review.case import tags_of
from cuetrack.review.model import Hit
from cuetrack.review.texts import asked_of, plan_texts, sentences
from cuetrack.times import duration

if TYPE_CHECKING:
    import re
    from collections.abc import Callable, Iterator, Mapping

    from cuetrack.languages.review_words import ReviewWords
    from cuetrack.review.case import Case
    from cuetrack.review.texts import SaidText

    PatternOf = Callable[[ReviewWords], re.Pattern[str]]


def _said(
    case: Case, wanted: PatternOf, *, facts: tuple[str, ...] = ()
) -> Iterator[Hit]:
    """Yield a hit for each text of the plan that asks for something."""
    known = case.words
    if known is None or (facts and not case.has(*facts)):
        return
    for text in plan_texts(case):
        words = _asked(known, text.text, wanted(known))
        if words:
            yield _quoting(text, words)


def _asked(known: ReviewWords, text: str, wanted: re.Pattern[str]) -> str | None:
    found = (known.asks_for(sentence, wanted) for sentence in sentences(text))
    return next(filter(None, found), None)


def _quoting(text: SaidText, words: str) -> Hit:
    return Hit(what=f'{text.owner} says "{words}".', place=text.place)


def past_the_signs(case: Case) -> Iterator[Hit]:
    """S15: to go on in spite of a sign to stop at, or through pain."""
    known = case.words
    if known is None:
        return
    for text in plan_texts(case):
        words = _asked(known, text.text, known.through_pain)
        sign = known.alarm_sign.search(text.text)
        if sign and not _asked(known, text.text, known.ease_off):
            words = words or _asked(known, text.text, known.go_on)
        if words:
            yield _quoting(text, words)


def loose_chair(case: Case) -> Iterator[Hit]:
    """S16: in what is said, and in what people are to bring."""
    yield from _said(case, lambda words: words.loose_chair)
    for thing in case.plan.bring:
        if case.words and case.words.asks_for(thing, case.words.loose_chair):
            yield Hit(what=f'People bring "{thing}".')


def standing_unheld(case: Case) -> Iterator[Hit]:
    """F02: on foot with the eyes shut, or with no hand on anything."""
    known = case.words
    if known is None:
        return
    for movement, segment in case.movements():
        stands = "standing" in tags_of(movement)
        if not stands and not asked_of(known, movement, known.on_foot):
            continue
        words = asked_of(known, movement, known.eyes_shut)
        words = words or asked_of(known, movement, known.unheld)
        if words:
            what = f'{movement.name} is done standing and says "{words}".'
            yield Hit(what=what, place=movement.place, segments=(segment.id,))


def weights_kept(case: Case) -> Iterator[Hit]:
    """W02: by what is said, or by a stretch that is held with weights."""
    known = case.words
    if known is None:
        return
    yield from _said(case, lambda words: words.weights_kept)
    for movement, segment in case.movements():
        stretch = movement.role in (None, Role.STRETCH) and movement.hold
        if stretch and known.kept_in_hand.search(movement.equipment or ""):
            what = f"{movement.name} is held with {movement.equipment}."
            yield Hit(what=what, place=movement.place, segments=(segment.id,))


def long_head_turns(case: Case) -> Iterator[Hit]:
    """D03: head turns to a quick beat, or for long."""
    if not case.has("dizziness"):
        return
    for movement, segment in case.movements():
        bpm = movement.tempo_bpm or 0
        if "head_turn" not in tags_of(movement):
            continue
        if bpm > limits.HEAD_TURN_MOST_BPM:
            what = f"{movement.name} turns the head at {bpm} beats a minute."
        elif segment.length_ms > limits.HEAD_TURN_MOST_MS:
            what = f"{movement.name} turns the head for {duration(segment.length_ms)}."
        else:
            continue
        yield Hit(what=what, place=movement.place, segments=(segment.id,))


_FEET: Final = ("diabetes", "sore feet")

CHECKS: Final[Mapping[str, Callable[[Case], Iterator[Hit]]]] = {
    "S15": past_the_signs,
    "S16": loose_chair,
    "S17": partial(_said, wanted=lambda words: words.hurried_rising),
    "S18": partial(_said, wanted=lambda words: words.loose_band),
    "F02": standing_unheld,
    "R02": partial(_said, wanted=lambda words: words.overbreathing),
    "W02": weights_kept,
    "N02": partial(_said, wanted=lambda words: words.strained_neck),
    "D03": long_head_turns,
    "Y01": partial(_said, wanted=lambda words: words.fasting, facts=("diabetes",)),
    "Y02": partial(_said, wanted=lambda words: words.bare_feet, facts=_FEET),
}
