"""The movements cuetrack brings, and those of a leader's own files.

A plan that only names a movement takes its words from here. The library is what
movements do to a body, joined to the words of each language it is written in, read
when it is first asked for; a leader's own file holds both together, and the same care
is taken to say where a mistake in it stands.
"""

from __future__ import annotations

import difflib
from dataclasses import replace
from functools import cache
from types import MappingProxyType
from typing import TYPE_CHECKING, Final

from cuetrack.documents.filling import read_keys
from cuetrack.documents.groups import KeyGroup
from cuetrack.documents.keys import Table, Written, declared, inline, key
from cuetrack.documents.lists import ListOf
from cuetrack.documents.names import movement_key
from cuetrack.documents.places import Place
from cuetrack.documents.problems import Problems, Refusal, refusal, shown
from cuetrack.documents.quantities import Time
from cuetrack.documents.reading import (
    UNREAD,
    Partly,
    Reader,
    Spot,
    Unread,
    kind_name,
    suggestion,
)
from cuetrack.documents.schema import document_schema, table_schema
from cuetrack.documents.shapes import Texts
from cuetrack.documents.textfile import read_text
from cuetrack.documents.tree import ListNode, MappingNode, read_tree
from cuetrack.languages.folders import base_language, language_file
from cuetrack.languages.vocabulary import vocabulary
from cuetrack.movements.joining import with_facts
from cuetrack.movements.model import HELD, LONGEST_SEGMENT_MS, Movement
from cuetrack.movements.sides import NAMED_SIDES, SideWords
from cuetrack.times import SECOND_MS

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping
    from pathlib import Path

    from cuetrack.documents.keys import Schema
    from cuetrack.documents.tree import Node

PARTS: Final = ("warm-up", "energiser", "arms", "legs", "trunk", "stretch")
"""The files of the library in each language, in the order of a class."""

EMPTY_HANDS: Final = "none"
_NEAR: Final = 0.8
_LONGEST_COMPARED: Final = 80
_FIRST_LINE: Final = 'Start each movement with a line "- movement: NAME".'


@declared
class LibraryEntry(Written):
    """A movement of the library, with what a plan does not need of it.

    ``movement`` has no times of its own. ``alternating`` sides take turns
    within it, unannounced. ``or_with`` is other equipment it may be done with,
    and ``empty_hands`` says that it needs none. ``usual_ms`` is how long it is
    often done and ``hold_ms`` how long each hold lasts, both None where nothing
    is usual.
    """

    movement: Movement = inline(
        Movement, without=("duration_ms", "rest_ms", "sides", "importance")
    )
    other_names: tuple[str, ...] = key(
        "other names",
        Texts(most=60, count=20),
        "Other names it is found by.",
        also=("other name", "aliases", "also called"),
        default=(),
    )
    sides: str | tuple[str, ...] = key(
        "sides",
        SideWords(),
        "both (together), alternating (by turns), each (right, then left), or the "
        "two names in order.",
        default="both",
    )
    or_with: tuple[str, ...] = key(
        "or with",
        Texts(most=80, count=8),
        "Other equipment it may be done with; none for empty hands.",
        default=(),
    )
    usual_ms: int | None = key(
        "usual time",
        Time(least_ms=5 * SECOND_MS, most_ms=LONGEST_SEGMENT_MS),
        "How long it is often done; plans keep their own times.",
        also=("for", "usual", "time", "duration", "length"),
        default=None,
    )
    hold_ms: int | None = key(
        "hold for",
        HELD,
        "How long each hold lasts, where something is held.",
        default=None,
    )

    @property
    def alternating(self) -> bool:
        """Whether its sides take turns within it, unannounced."""
        return self.sides == "alternating"

    @property
    def empty_hands(self) -> bool:
        """Whether it may be done without any equipment."""
        return self.movement.equipment is None or EMPTY_HANDS in self.or_with

    @property
    def name(self) -> str:
        """The name it is listed by."""
        return self.movement.name

    @property
    def names(self) -> tuple[str, ...]:
        """Every name it is found by."""
        return (self.movement.name, *self.other_names)

    @property
    def equipment(self) -> tuple[str, ...]:
        """All the equipment it may be done with, the usual one first."""
        usual = self.movement.equipment
        others = tuple(thing for thing in self.or_with if thing != EMPTY_HANDS)
        return ((usual,) if usual else ()) + others


@declared
class _MovementFile(Written):
    """What a file of movements holds."""

    movements: tuple[LibraryEntry, ...] = key(
        "movements",
        ListOf(
            item=KeyGroup(
                table=Table(
                    of=LibraryEntry,
                    name="library_movement",
                    what="a movement of a library",
                    under="a file of movements",
                )
            ),
            what="movements",
            example="- movement: NAME, with keys such as how: below it",
        ),
        "The movements, each with its words.",
        unread=(),
    )


FILE: Final = Table(
    of=_MovementFile,
    name="library",
    what="a file of movements",
    under="a file of movements",
)
_READ_WITH: Final = FILE.reachable()


def library_entries(language: str = "en") -> tuple[LibraryEntry, ...]:
    """Return the movements of the library, in the order of a class.

    A language the library is not written in has none.
    """
    folder = language_file(language, "movements")
    return () if folder is None else _entries(folder, base_language(language))


def load_library(language: str = "en") -> Mapping[str, Movement]:
    """Return the movements of the library by the `movement_key` of each name."""
    folder = language_file(language, "movements")
    return {} if folder is None else _by_key(folder, base_language(language))


@cache
def _entries(folder: Path, language: str) -> tuple[LibraryEntry, ...]:
    entries: list[LibraryEntry] = []
    for part in PARTS:
        file = folder / f"{part}.yaml"
        if file.is_file():
            words = read_tree(read_text(file), str(file))
            entries += _movements_in(with_facts(words, part, str(file)), str(file))
    called = vocabulary(language).equipment_names
    return tuple(_with_equipment_called(entry, called) for entry in entries)


def _with_equipment_called(
    entry: LibraryEntry, called: Mapping[str, str]
) -> LibraryEntry:
    """Return an entry whose equipment has the names of a language."""
    usual = entry.movement.equipment
    if usual is not None:
        usual = called.get(usual, usual)
    return replace(
        entry,
        movement=replace(entry.movement, equipment=usual),
        or_with=tuple(called.get(thing, thing) for thing in entry.or_with),
    )


@cache
def _by_key(folder: Path, language: str) -> Mapping[str, Movement]:
    return MappingProxyType(by_name(_entries(folder, language)))


def by_name(entries: Iterable[LibraryEntry]) -> dict[str, Movement]:
    """Return movements by the `movement_key` of each of their names.

    >>> by_name([LibraryEntry(movement=Movement(name="Heel digs"))]).keys()
    dict_keys(['heeldig'])
    """
    return {
        movement_key(name): replace(entry.movement, place=Place())
        for entry in entries
        for name in entry.names
    }


def find(
    name: str, entries: Iterable[LibraryEntry] | None = None
) -> LibraryEntry | None:
    """Return the entry of that name, however it is spelt, or None.

    Without ``entries`` the English library is looked through.
    """
    wanted = movement_key(name)
    for entry in library_entries() if entries is None else entries:
        if any(movement_key(known) == wanted for known in entry.names):
            return entry
    return None


def near(name: str, entries: Iterable[LibraryEntry] | None = None) -> str | None:
    """Return the known name that ``name`` may be a slip of, or None.

    Without ``entries`` the English library is looked through.

    >>> near("side reech")
    'side reach'
    """
    known = {
        movement_key(known): known
        for entry in (library_entries() if entries is None else entries)
        for known in entry.names
    }
    wanted = movement_key(name[:_LONGEST_COMPARED])
    found = difflib.get_close_matches(wanted, known, n=1, cutoff=_NEAR)
    return known[found[0]] if found else None


def read_movements(path: Path, language: str = "en") -> tuple[LibraryEntry, ...]:
    """Return the movements of a leader's own file.

    Tags must be known ones, and regions too where the language has a list.

    Raises
    ------
    PlanError
        With every mistake found in it, in file order.
    """
    entries = parse_movements(read_text(path), str(path))
    _check_words(entries, str(path), language)
    return entries


def parse_movements(text: str, file: str) -> tuple[LibraryEntry, ...]:
    """Return the movements in ``text``; ``file`` is the name messages show.

    Raises
    ------
    PlanError
        With every mistake found, in file order.
    """
    if _holds_nothing(text):
        what = "This file holds no movements."
        raise refusal(file, Place(line=1, column=1), what, _FIRST_LINE)
    return _movements_in(read_tree(text, file), file)


def _movements_in(root: Node, file: str) -> tuple[LibraryEntry, ...]:
    problems = Problems(file)
    reader = Reader(problems, _READ_WITH)
    whole: tuple[LibraryEntry, ...] | Partly[tuple[LibraryEntry, ...]] | Unread
    if isinstance(root, MappingNode):
        found = read_keys(FILE, root.entries, root.place, reader)
        whole = () if found is UNREAD else found.movements
    elif isinstance(root, ListNode):
        listed = FILE.key_of("movements").shape
        whole = listed.read(root, Spot("This file", root.place), reader)
    else:
        what = f"This is no file of movements: here is {kind_name(root)}."
        raise refusal(file, root.place, what, _FIRST_LINE)
    read = whole.value if isinstance(whole, Partly) else whole
    entries = [] if read is UNREAD else [_sided(entry) for entry in read]
    _check_names(entries, problems)
    problems.raise_if_any()
    return tuple(entries)


def _holds_nothing(text: str) -> bool:
    lines = (line.strip("\ufeff \t") for line in text.splitlines())
    return all(line in {"", "---"} or line.startswith("#") for line in lines)


def _sided(entry: LibraryEntry) -> LibraryEntry:
    """Return an entry whose movement has the names of its sides."""
    named = entry.sides
    sides = NAMED_SIDES[named] if isinstance(named, str) else named
    return replace(entry, movement=replace(entry.movement, sides=sides))


def library_schema() -> Schema:
    """Return the JSON Schema (draft 2020-12) of a file of movements.

    >>> library_schema()["title"]
    'cuetrack movements'
    """
    told = "Movements with their words, for plans to draw on."
    schema = document_schema(FILE, "cuetrack movements", told)
    whole = {name: schema.pop(name) for name in [*table_schema(FILE, "#")]}
    movements = FILE.key_of("movements").shape.schema()
    return {**schema, "anyOf": [whole, movements]}


def _check_names(entries: Iterable[LibraryEntry], problems: Problems) -> None:
    """Tell of names that stand for two movements of one file."""
    seen: dict[str, Movement] = {}
    for entry in entries:
        for name in entry.names:
            first = seen.setdefault(movement_key(name), entry.movement)
            if first is not entry.movement:
                what = f"{shown(name)} names two movements, first in line "
                what += f"{first.place.line}."
                remedy = "Give one another name."
                problems.add(entry.movement.place, what, remedy, Refusal.ALIKE)
            elif not movement_key(name):
                what = f"{shown(name)} has no letter or digit in it."
                remedy = "Give it a name to say."
                problems.add(entry.movement.place, what, remedy, Refusal.NOT_UNDERSTOOD)


def _check_words(entries: Iterable[LibraryEntry], file: str, language: str) -> None:
    """Tell of tags and regions that nothing would know."""
    words = vocabulary(language)
    problems = Problems(file)
    for entry in entries:
        movement = entry.movement
        for tag in movement.tags:
            if tag not in words.tags:
                what = f"{shown(tag)} is not a tag."
                problems.add(movement.place, what, suggestion(tag, tuple(words.tags)))
        for region in (
            movement.regions if words.language == base_language(language) else ()
        ):
            if region not in words.regions:
                what = f"{shown(region)} is not a region of the body."
                remedy = suggestion(region, tuple(words.regions))
                problems.add(movement.place, what, remedy)
    problems.raise_if_any()
