"""What people say of a group, read as facts.

The words stand in ``group.yaml`` of each language. Nothing that was said is lost:
what has no meaning here is given back, to be told.
"""

from __future__ import annotations

import difflib
import re
from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING, Final

from cuetrack.languages.group_words import APOSTROPHES, group_words, words_of
from cuetrack.movements.group_facts import OF_THE_CLASS, Fact

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from cuetrack.languages.group_words import GroupWords, Phrase

_MARKS: Final = re.compile(r"[,;:.!?/&+()\n]+|\s-+\s")
_LONGEST_READ: Final = 500
_SHORTEST_MENDED: Final = 4
_ALIKE: Final = 0.8
_ALIKE_SHORT: Final = 0.85
_SHORT: Final = 5


@dataclass(frozen=True, slots=True, kw_only=True)
class GroupSaid:
    """What a description says of a group.

    ``facts`` are true of somebody, ``denied`` of nobody; ``unknown`` are words
    without a meaning here. Where it says that there is nothing else, every other
    fact of health is denied. All are empty where nothing was answered.
    """

    facts: tuple[Fact, ...] = ()
    denied: tuple[Fact, ...] = ()
    unknown: tuple[str, ...] = ()

    def __bool__(self) -> bool:
        """Whether anything was understood."""
        return bool(self.facts or self.denied)


def read_group(text: str, language: str = "en") -> GroupSaid:
    """Return what a description says of a group.

    >>> said = read_group("Bad knees and high BP, left side weak; nobody is dizzy")
    >>> [*map(str, said.facts)], [*map(str, said.denied)]
    (['knee pain', 'high blood pressure', 'weak left side'], ['dizziness'])
    >>> read_group("sore backs, lupus").unknown
    ('lupus',)
    """
    words = group_words(language)
    text = text[:_LONGEST_READ]
    facts: dict[Fact, None] = {}
    denied: dict[Fact, None] = {}
    unknown: dict[str, None] = {}
    for clause in _clauses(text, words):
        if clause in words.nobody:
            denied.update(dict.fromkeys(health(Fact)))
        elif clause not in words.unanswered:
            found, no, rest = _clause(clause, words)
            (denied if no else facts).update(dict.fromkeys(found))
            unknown.update(dict.fromkeys(rest))
    return GroupSaid(
        facts=_refined(facts),
        denied=tuple(fact for fact in denied if fact not in facts),
        unknown=tuple(_as_written(text, unknown, words)),
    )


def health(facts: Iterable[Fact]) -> tuple[Fact, ...]:
    """Return the facts that say something of people's health."""
    return tuple(fact for fact in facts if fact not in OF_THE_CLASS)


def _as_written(text: str, unknown: Iterable[str], words: GroupWords) -> Iterator[str]:
    """Yield unknown words as they were written."""
    wanted = set(unknown)
    for written in dict.fromkeys(re.findall(rf"[\w{APOSTROPHES}-]+", text)):
        if any(_mended(word, words) in wanted for word in words_of(written)):
            yield written


def _clauses(text: str, words: GroupWords) -> Iterator[tuple[str, ...]]:
    for part in _MARKS.split(text):
        clause: list[str] = []
        for word in words_of(part):
            if word in words.joining:
                yield tuple(clause)
                clause = []
            else:
                clause.append(_mended(word, words))
        yield tuple(clause)


def _mended(word: str, words: GroupWords) -> str:
    """Return what a word is another form or a slip of, else the word itself."""
    if word in words.same:
        return words.same[word]
    known = _known(words.language)
    if word in known or len(word) < _SHORTEST_MENDED or word.isdigit():
        return word
    alike = _ALIKE_SHORT if len(word) <= _SHORT else _ALIKE
    near = difflib.get_close_matches(word, known, n=1, cutoff=alike)
    return words.same.get(near[0], near[0]) if near else word


@cache
def _known(language: str) -> tuple[str, ...]:
    """Return every longer word that means something in a language."""
    words = group_words(language)
    meaning = {w for p in words.phrases for w in (*p.words, *p.beside)}
    others = words.passing | words.complaints | words.same.keys() | words.joining
    whole = {w for clause in words.unanswered | words.nobody for w in clause}
    everything = (
        meaning | others | whole | {w for phrase in words.denying for w in phrase}
    )
    return tuple(sorted(everything))


def _clause(
    clause: tuple[str, ...], words: GroupWords
) -> tuple[tuple[Fact, ...], bool, tuple[str, ...]]:
    """Return the facts in a clause, whether it denies them, and words left over."""
    left = list(clause)
    found: list[Fact] = []
    beside = {_TAKEN}
    for phrase in words.phrases:
        start = _start(phrase, left, clause, words)
        if start is not None:
            found.append(Fact(phrase.fact))
            beside |= set(phrase.beside)
            left[start : start + len(phrase.words)] = [_TAKEN] * len(phrase.words)
    silent = words.passing | beside
    if found:
        silent |= words.complaints
        silent |= {word for phrase in words.denying for word in phrase}
    rest = tuple(w for w in left if w not in silent and not any(map(str.isdigit, w)))
    return tuple(dict.fromkeys(found)), _denies(left, words), rest


_TAKEN: Final = "|"


def _start(
    phrase: Phrase, left: list[str], clause: tuple[str, ...], words: GroupWords
) -> int | None:
    """Return where a phrase starts in what is left of a clause, None if nowhere."""
    if phrase.whole:
        said = [w for w in left if w not in words.passing or w in phrase.words]
        return _row(phrase.words, left) if tuple(said) == phrase.words else None
    if not set(phrase.beside) <= set(clause):
        return None
    return _row(phrase.words, left)


def _row(words: tuple[str, ...], clause: list[str]) -> int | None:
    for start in range(len(clause) - len(words) + 1):
        if tuple(clause[start : start + len(words)]) == words:
            return start
    return None


def _denies(left: list[str], words: GroupWords) -> bool:
    for phrase in words.denying:
        start = _row(phrase, left)
        if start is not None:
            after = left[start + len(phrase) : start + len(phrase) + 1]
            return not after or after[0] not in words.lacking
    return False


def _refined(facts: Iterable[Fact]) -> tuple[Fact, ...]:
    """Return facts without the general one where the side is known."""
    sides = {Fact.WEAK_LEFT, Fact.WEAK_RIGHT}
    known = tuple(facts)
    return tuple(f for f in known if f is not Fact.WEAK_SIDE or sides.isdisjoint(known))


def mistake_in(text: str, language: str = "en") -> tuple[str, str] | None:
    """Return what is not understood of a text, and what to do; None if all is."""
    unknown = read_group(text, language).unknown
    if not unknown:
        return None
    return f'"{" ".join(unknown)}", which is not understood.', other_words(language)


def other_words(language: str = "en") -> str:
    """Return what to do about words that are not understood."""
    words = group_words(language)
    known = ", ".join(words.says[f] for f in health(Fact) if f not in words.asks)
    return (
        "Say it in other words, or take it out and ask the person or their clinician. "
        f"Rules know: {known}."
    )


def echo(said: GroupSaid, language: str = "en") -> str:
    """Return what was understood, in one sentence; empty where nothing was.

    >>> echo(read_group("bad back, left side weak, no falls"))
    'I take it: back pain, a weak left side; nobody with falls.'
    """
    says = group_words(language).says
    has = ", ".join(says[fact] for fact in said.facts)
    every = set(health(Fact)) - set(said.facts)
    nobody = "nobody with " + ", ".join(says[fact] for fact in said.denied)
    if said.denied and every <= set(said.denied):
        nobody = "nobody with anything else" if has else "nobody needs care"
    told = "; ".join(filter(None, (has, nobody if said.denied else "")))
    return f"I take it: {told}." if told else ""


def joined(first: GroupSaid, then: GroupSaid) -> GroupSaid:
    """Return what two answers say together; what somebody has outweighs."""
    facts = _refined(dict.fromkeys((*first.facts, *then.facts)))
    denied = dict.fromkeys((*first.denied, *then.denied))
    return GroupSaid(
        facts=facts,
        denied=tuple(fact for fact in denied if fact not in facts),
        unknown=then.unknown,
    )


def asks(said: GroupSaid, language: str = "en") -> tuple[tuple[str, str], ...]:
    """Return the facts that no rule knows, in words, with whom to ask about each."""
    words = group_words(language)
    return tuple((words.says[f], words.asks[f]) for f in said.facts if f in words.asks)
