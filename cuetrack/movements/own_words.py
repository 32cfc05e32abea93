"""Movements in a leader's own words: which of them are own, and what they ask."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from cuetrack.documents.names import movement_key
from cuetrack.movements.body_reading import BodySaid, read_body
from cuetrack.movements.library import find, library_entries

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
    other = tuple(text for text in _other(movement) if text not in known)
    if entry and not how and not other:
        return replace(movement, read=BodySaid(understood=True))
    like = None if entry else _like(movement.name, language)
    read = read_body((*name, *how), language)
    more = read_body(other, language)
    asked = read.asked | more.asked
    return replace(
        movement,
        read=replace(
            read,
            asked=asked,
            whole=read.whole | more.whole,
            unclear=tuple(each for each in read.unclear if each[0] not in asked),
            understood=read.understood or bool(entry or like),
            like=like,
        ),
    )


def _words(movement: Movement) -> Iterator[str]:
    yield from _how(movement)
    yield from _other(movement)


def _how(movement: Movement) -> Iterator[str]:
    yield from filter(None, (movement.how, movement.how_short))


def _other(movement: Movement) -> Iterator[str]:
    more = (*movement.form, movement.easier, movement.harder, movement.breathing)
    yield from filter(None, more)


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
