"""Finding movements by part of the body, by what is at hand, and by what to avoid.

What people say, such as "no shoulder work" or "safe after hip replacement", is
looked up in the vocabulary: each caution there names the tags, regions and
equipment it leaves out.
"""

from __future__ import annotations

import difflib
import re
from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING, TypeVar

from cuetrack.documents.names import movement_key
from cuetrack.languages.group_words import group_words
from cuetrack.languages.vocabulary import Caution, vocabulary
from cuetrack.movements.contraindications import left_out
from cuetrack.movements.group_reading import read_group
from cuetrack.movements.library import EMPTY_HANDS, find, library_entries
from cuetrack.movements.strains import strains_of

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from cuetrack.movements.library import LibraryEntry

T = TypeVar("T")


class UnknownWordError(ValueError):
    """A word that names no region, equipment or caution; ``near`` may be meant."""

    def __init__(self, word: str, near: str | None) -> None:
        self.word, self.near = word, near
        super().__init__(word)


@dataclass(frozen=True, slots=True, kw_only=True)
class Wanted:
    """What a movement is searched by; whatever is empty does not matter.

    ``words`` stand in its names. It works one of the ``regions``, can be done
    with one of ``equipment`` (`EMPTY_HANDS` for nothing), is touched by none of
    the cautions in ``without``, and by all in ``asking``: it is what they leave out.
    """

    words: tuple[str, ...] = ()
    regions: frozenset[str] = frozenset()
    equipment: frozenset[str] = frozenset()
    without: tuple[Caution, ...] = ()
    asking: tuple[Caution, ...] = ()


def touches(caution: Caution, entry: LibraryEntry, language: str = "en") -> bool:
    """Return whether a caution leaves a movement out."""
    movement = entry.movement
    if left_out(movement, caution.facts, language):
        return True
    return bool(
        caution.tags & strains_of(movement).keys()
        or caution.regions & set(movement.regions)
        or movement.equipment in caution.equipment
    )


def fitting(
    entries: Iterable[LibraryEntry], wanted: Wanted
) -> tuple[LibraryEntry, ...]:
    """Return the entries that are as wanted, in their own order."""
    return tuple(entry for entry in entries if _fits(entry, wanted))


def _fits(entry: LibraryEntry, wanted: Wanted) -> bool:
    if wanted.regions and not wanted.regions & set(entry.movement.regions):
        return False
    can_do = set(entry.equipment) | ({EMPTY_HANDS} if entry.empty_hands else set())
    if wanted.equipment and not wanted.equipment & can_do:
        return False
    if any(touches(caution, entry) for caution in wanted.without):
        return False
    if not all(touches(caution, entry) for caution in wanted.asking):
        return False
    names = [movement_key(name) for name in entry.names]
    return all(
        any(movement_key(word) in name for name in names) for word in wanted.words
    )


def region_named(word: str, language: str = "en") -> frozenset[str]:
    """Return the regions a word means, several for a word such as legs.

    Raises
    ------
    UnknownWordError
        When it means none.

    >>> sorted(region_named("legs"))
    ['ankles', 'calves', 'hips', 'thighs']
    """
    return _looked_up(word, _region_words(language))


def equipment_named(word: str, language: str = "en") -> str:
    """Return the equipment a word means, `EMPTY_HANDS` for none.

    Raises
    ------
    UnknownWordError
        When it means none that movements are done with.

    >>> equipment_named("dumbbells")
    'light hand weights'
    """
    known = {**_equipment_words(language), EMPTY_HANDS: EMPTY_HANDS}
    return _looked_up(word, known)


def _looked_up(word: str, known: Mapping[str, T]) -> T:
    plain = _plain(word)
    if plain not in known:
        raise UnknownWordError(word, _near(plain, known))
    return known[plain]


@cache
def _region_words(language: str) -> Mapping[str, frozenset[str]]:
    words = vocabulary(language)
    single = {
        _plain(word): frozenset({region})
        for region, others in words.regions.items()
        for word in (region, *others)
    }
    groups = {
        _plain(word): frozenset(group) for word, group in words.region_groups.items()
    }
    return {**single, **groups}


@cache
def _equipment_words(language: str) -> Mapping[str, str]:
    return {
        _plain(word): thing
        for thing, others in vocabulary(language).equipment.items()
        for word in (thing, *others)
    }


def caution_named(phrase: str, language: str = "en") -> Caution:
    """Return the caution that a phrase means, with or without its "no".

    Raises
    ------
    UnknownWordError
        When it means none.

    >>> caution_named("hip replacement").name
    'safe after hip replacement'
    """
    known = dict(_refusals(language))
    for caution in vocabulary(language).cautions:
        known.update({_plain(words): caution for words in caution.avoiding})
    found = known.get(_plain(phrase)) or _for_group(phrase, language)
    if found is None:
        near = _near(_plain(phrase), known)
        raise UnknownWordError(phrase, known[near].name if near else None)
    return found


def _for_group(phrase: str, language: str) -> Caution | None:
    """Return the caution for what a phrase says of a group, None where nothing."""
    said = read_group(phrase, language)
    if not said.facts or said.unknown:
        return None
    says = group_words(language).says
    name = f"safe with {', '.join(says[fact] for fact in said.facts)}"
    return Caution(name=name, facts=tuple(map(str, said.facts)))


@cache
def _refusals(language: str) -> Mapping[str, Caution]:
    """Return every phrase that by itself says what to avoid."""
    known = vocabulary(language)
    return {
        _plain(phrase): caution
        for caution in known.cautions
        for phrase in (
            caution.name,
            *caution.phrases,
            *(f"{no} {words}" for no in known.refusing for words in caution.avoiding),
            *(f"{safe} {words}" for safe in known.safe for words in caution.phrases),
        )
    }


@cache
def _askings(language: str) -> Mapping[str, Caution]:
    """Return the words for what a movement asks of a body, and nothing else."""
    return {
        _plain(words): caution
        for caution in vocabulary(language).cautions
        if caution.tags and not (caution.regions or caution.facts or caution.equipment)
        for words in caution.avoiding
    }


def _plain(text: str) -> str:
    return " ".join(re.findall(r"[^\W_]+", text.casefold()))


def _near(word: str, known: Iterable[str]) -> str | None:
    found = difflib.get_close_matches(word.casefold(), list(known), n=1, cutoff=0.7)
    return found[0] if found else None


def understood(text: str, language: str = "en") -> Wanted:
    """Return what a few free words ask for, such as "arms, no weights".

    The name of a movement is that; else cautions are taken out, then equipment,
    then regions, then what it asks of a body, such as standing, the longest first,
    and what is left stands in the name.

    >>> wanted = understood("legs, safe after hip replacement")
    >>> wanted.words, sorted(wanted.regions), [c.name for c in wanted.without]
    ((), ['ankles', 'calves', 'hips', 'thighs'], ['safe after hip replacement'])
    """
    cautions, rest = _taken(_plain(text), _refusals(language))
    if rest and find(rest, library_entries(language)):
        return Wanted(words=(rest,), without=tuple(cautions))
    things, rest = _taken(rest, _equipment_words(language))
    regions, rest = _taken(rest, _region_words(language))
    asking, rest = _taken(rest, _askings(language))
    fillers = vocabulary(language).fillers
    words = tuple(word for word in rest.split() if word not in fillers)
    group = _for_group(rest, language) if words else None
    if group is not None:
        cautions, words = [*cautions, group], ()
    return Wanted(
        words=words,
        regions=frozenset().union(*regions),
        equipment=frozenset(things),
        without=tuple(cautions),
        asking=tuple(asking),
    )


def _taken(text: str, known: Mapping[str, T]) -> tuple[list[T], str]:
    """Return what the known phrases in a text mean, and the text without them."""
    found: list[T] = []
    for phrase in sorted(known, key=len, reverse=True):
        without = re.sub(rf"\b{re.escape(phrase)}\b", " ", text)
        if without != text:
            found.append(known[phrase])
            text = " ".join(without.split())
    return found, text
