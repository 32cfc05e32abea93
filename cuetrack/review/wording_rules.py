"""Rules on the sentences of the plan."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final

from cuetrack.languages.normalisation import unspeakable
from cuetrack.languages.reading_level import sentences_of, unwanted_words
from cuetrack.languages.telling_apart import foreign_language
from cuetrack.review import limits
from cuetrack.review.model import Hit
from cuetrack.review.texts import SaidText, plan_texts

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Mapping

    from cuetrack.review.case import Case


def long_sentences(case: Case) -> Iterator[Hit]:
    """C11: one hit for each text that is too long to be followed by ear."""
    known = case.reading
    if known is None:
        return
    for text in plan_texts(case):
        words = len(text.text.split())
        longest = max((len(s.split()) for s in _heard(text)), default=0)
        if longest > known.longest_sentence * limits.MOST_LONGER:
            what = f"{text.owner} has a sentence of {longest} words: "
        elif words > known.longest_cue * limits.MOST_LONGER:
            what = f"{text.owner} has a cue of {words} words: "
        else:
            continue
        yield Hit(what=f"{what}{_start_of(text.text)}", place=text.place)


def _heard(text: SaidText) -> tuple[str, ...]:
    """Return the sentences as they are heard; colon and comma make a pause too."""
    parts = (re.split(r"[:,;]", s) for s in sentences_of(text.text))
    return tuple(part for some in parts for part in some if part.strip())


def _start_of(text: str) -> str:
    words = text.split()
    return f'"{" ".join(words[:6])}{" ..." if len(words) > 6 else ""}"'


def hard_script(case: Case) -> Iterator[Hit]:
    """C12: the level of all sentences together."""
    known = case.reading
    if known is None or known.level is None:
        return
    script = "\n".join(dict.fromkeys(text.text for text in plan_texts(case)))
    counts = known.count(script)
    reached = known.level.level(counts)
    if reached is None or counts.words < known.level.from_words:
        return
    if known.level.is_too_hard(reached):
        scale = known.level.scale
        yield Hit(what=f"The sentences of the plan read at {scale} {reached:.1f}.")


def _unwanted(case: Case, kind: str) -> Iterator[Hit]:
    for text in plan_texts(case):
        words = [
            found.word
            for found in unwanted_words(text.text, case.plan.language)
            if found.kind == kind
        ]
        if words:
            what = f'{text.owner} says "{words[0]}": {_start_of(text.text)}'
            yield Hit(what=what, place=text.place)


def talking_down(case: Case) -> Iterator[Hit]:
    """C13."""
    return _unwanted(case, "talking down")


def jargon(case: Case) -> Iterator[Hit]:
    """C14."""
    return _unwanted(case, "jargon")


def single_words(case: Case) -> Iterator[Hit]:
    """A04: sentences of the leader's own that are one word; names go into phrases."""
    for text in plan_texts(case):
        if len(text.text.split()) == 1 and text.text[:1].isalpha():
            what = f"{text.owner} has a cue of one word: {_start_of(text.text)}"
            yield Hit(what=what, place=text.place)


def unsaid_signs(case: Case) -> Iterator[Hit]:
    """A05: pictures and signs that the voice leaves out, but for pronounced ones."""
    told = {sign for written, _ in case.plan.pronunciations for sign in written}
    for text in plan_texts(case):
        lost = [s for s in unspeakable(text.text, case.plan.language) if s not in told]
        if lost:
            what = f"{text.owner} has {' '.join(lost)}, which will not be said: "
            yield Hit(what=f"{what}{_start_of(text.text)}", place=text.place)


def foreign_texts(case: Case) -> Iterator[Hit]:
    """A06: one hit for each part of the class that speaks another language."""
    told = set()
    for text in plan_texts(case):
        other = foreign_language(text.text, case.plan.language)
        if other is not None and text.place not in told:
            told.add(text.place)
            what = f"{text.owner} has a text in {other}: {_start_of(text.text)}"
            yield Hit(what=what, place=text.place)


CHECKS: Final[Mapping[str, Callable[[Case], Iterator[Hit]]]] = {
    "C11": long_sentences,
    "C12": hard_script,
    "C13": talking_down,
    "C14": jargon,
    "A04": single_words,
    "A05": unsaid_signs,
    "A06": foreign_texts,
}
