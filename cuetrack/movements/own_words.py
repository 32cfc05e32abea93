"""Movements in a leader's own words: which of them are own, and what they ask."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from cuetrack.documents.names import movement_key
from cuetrack.movements.body_reading import BodySaid, read_body
from cuetrack.movements.library import find, library_entries
from cuetrack.movements.strains import strains_of

if TYPE_CHECKING:
    from collections.abc import Iterator

    from cuetrack.movements.model import Movement


def with_words_read(movement: Movement, language: str = "en") -> Movement:
    """Return a movement with what its own words ask, as far as no library knows them.

    >>> from cuetrack.movements.model import Movement
    >>> waving = Movement(name="Wave", how="Reach up to the ceiling and wave.")
    >>> sorted(with_words_read(waving).read.asked)
    ['above_shoulder', 'overhead']
    """
    entries = library_entries(language)
    entry = find(movement.name, entries)
    known = set(_words(entry.movement)) if entry else set()
    name = () if entry else (movement.name,)
    how = tuple(text for text in _how(movement) if text not in known)
    form = tuple(text for text in _form(movement) if text not in known)
    harder = tuple({movement.harder} - {None, *known})
    if entry and not (how or form or harder):
        return replace(movement, read=BodySaid(understood=True))
    like = None if entry else _like(movement.name, language)
    read = read_body((*name, *how, *form), language)
    told = bool(entry or like) or read_body((*name, *how), language).understood
    return replace(
        movement,
        read=replace(
            read,
            optional=read_body(harder, language).asked - read.asked,
            understood=told,
            like=like,
        ),
    )


def strains_of_own_words(movement: Movement) -> frozenset[str]:
    """Return what a movement asks only because of a leader's own words."""
    if not movement.read.asked:
        return frozenset()
    unread = replace(movement, read=BodySaid(like=movement.read.like))
    return frozenset(strains_of(movement)) - frozenset(strains_of(unread))


def _words(movement: Movement) -> Iterator[str]:
    yield from _how(movement)
    yield from _form(movement)
    yield from filter(None, (movement.harder,))


def _how(movement: Movement) -> Iterator[str]:
    """Yield what is asked of everybody: an easier option is what to do instead."""
    yield from filter(None, (movement.how, movement.how_short))


def _form(movement: Movement) -> Iterator[str]:
    """Yield how it is done well, which alone does not tell what is done."""
    yield from filter(None, (*movement.form, movement.breathing))


def _like(name: str, language: str) -> str | None:
    """Return the movement of the library whose name of several words is in another."""
    key = movement_key(name)
    inside = [
        (len(known), entry.name)
        for entry in library_entries(language)
        for known in entry.names
        if len(known.split()) > 1 and movement_key(known) in key
    ]
    return max(inside)[1] if inside else None
