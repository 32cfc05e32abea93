"""``cuetrack movements``: what the library knows, and what suits whom."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from rich.table import Column, Table
from rich.text import Text

from cuetrack.cli.show import console, figures, headed
from cuetrack.errors import UsageError
from cuetrack.times import duration

if TYPE_CHECKING:
    from argparse import ArgumentParser, Namespace
    from collections.abc import Iterable, Iterator

    from rich.console import Console

    from cuetrack.cli.subcommands import Commands
    from cuetrack.movements.library import LibraryEntry
    from cuetrack.movements.library_search import Wanted
    from cuetrack.plan.model import Plan

ABOUT = """\
List the movements a plan can name without saying more, or those that fit.

  cuetrack movements arms, no weights
  cuetrack movements legs --without "hip replacement"
  cuetrack movements side reach
  cuetrack movements legs --pictures legs.pdf
  cuetrack movements --facts table.csv

What a movement is searched by says nothing about a person: advice from their own
clinician, your training and the rules of the venue come first.
"""

DEFERRAL = (
    "A list is no advice: what a person's own clinician says, your training and the "
    "rules of the venue come first."
)


def add_to(commands: Commands) -> None:
    """Add this command to the command line."""
    command = commands.add_parser(
        "movements",
        help="list and search the movements a plan can name",
        description=ABOUT,
    )
    command.set_defaults(run=run)
    _ask_what_fits(command)
    command.add_argument(
        "--pictures",
        type=Path,
        metavar="FILE",
        help="draw what fits on one sheet, .png or .pdf, or each into a folder",
    )
    command.add_argument(
        "--facts",
        type=Path,
        metavar="FILE",
        help="write whom what fits suits, and why not, as a table (.csv)",
    )
    command.add_argument(
        "--overwrite", action="store_true", help="replace files of that name"
    )


def _ask_what_fits(command: ArgumentParser) -> None:
    """Add what movements are searched by."""
    command.add_argument(
        "words",
        nargs="*",
        metavar="WORDS",
        help="a name, or what it is for: legs, no shoulder work, with a towel",
    )
    command.add_argument(
        "--without",
        action="append",
        default=[],
        metavar="CAUTION",
        help='what to avoid, such as "shoulder work", standing or "hip replacement"; '
        "may be given again",
    )
    command.add_argument(
        "--library",
        type=Path,
        action="append",
        default=[],
        metavar="FILE",
        help="movements of your own, as a plan names them with library: FILE",
    )


def run(arguments: Namespace) -> int:
    """Show what fits; 1 when nothing does."""
    from cuetrack.movements.library_search import fitting

    screen = console()
    entries = _entries(arguments.library)
    text = " ".join(arguments.words)
    files = arguments.pictures or arguments.facts
    named = None if files or arguments.without else _of_that_name(text, entries)
    if named is not None:
        _show_card(screen, named)
        return 0
    wanted = _wanted(arguments.without, text)
    found = fitting(entries, wanted)
    if not found:
        screen.print(Text(f"No movement fits. {_advice(text, wanted, entries)}"))
        return 1
    if arguments.pictures is not None:
        return _draw(screen, found, arguments)
    if arguments.facts is not None:
        return _write_facts(screen, found, arguments)
    if len(found) == 1 and text and not wanted.without:
        _show_card(screen, found[0])
        return 0
    _show_table(screen, found, wanted)
    return 0


def _of_that_name(text: str, entries: tuple[LibraryEntry, ...]) -> LibraryEntry | None:
    """Return the movement a text names, though others have that name in theirs."""
    from cuetrack.documents.names import movement_key

    key = movement_key(text)
    return next((each for each in entries if movement_key(each.name) == key), None)


def _draw(screen: Console, found: Iterable[LibraryEntry], arguments: Namespace) -> int:
    from cuetrack.cli.movement_pictures import write_pictures

    names = [entry.name for entry in found]
    to: Path = arguments.pictures
    left = write_pictures(names, to, overwrite=arguments.overwrite)
    screen.print(Text(f"{len(names) - len(left)} movements drawn: {to}"))
    if left:
        screen.print(Text(f"No picture yet of: {', '.join(left)}."))
    return 0


def _write_facts(
    screen: Console, found: Iterable[LibraryEntry], arguments: Namespace
) -> int:
    from cuetrack.cli.movement_facts import write_facts
    from cuetrack.languages.group_words import group_words
    from cuetrack.movements.contraindications import Suits

    to: Path = arguments.facts
    movements = [entry.movement for entry in found]
    counted = write_facts(movements, to, overwrite=arguments.overwrite)
    suits = [kind for kind in Suits if any(told[kind] for told in counted.values())]
    table = headed(
        Column("with", no_wrap=True), *(figures(kind.value) for kind in suits)
    )
    for fact, told in counted.items():
        table.add_row(
            group_words().says[fact], *(str(told.get(kind, 0)) for kind in suits)
        )
    screen.print(table)
    screen.print(Text(f"{len(movements)} movements, one by one: {to}"))
    screen.print(DEFERRAL, style="dim")
    return 0


def show_unknown(screen: Console, plan: Plan) -> None:
    """Show which movements of a plan nobody is told how to do, if any."""
    from cuetrack.movements.unknown import unknown_movements

    notes = unknown_movements(plan.movements(), plan.language)
    if notes:
        screen.print()
        screen.print("Movements without words", style="bold")
    for note in notes:
        place = f"{plan.file}:{note.place.line}:{note.place.column}"
        screen.print(Text(f"{place}: {note}"), soft_wrap=True)


def _entries(own: Iterable[Path]) -> tuple[LibraryEntry, ...]:
    """Return the movements of own files, then those of the library they leave."""
    from cuetrack.movements.library import find, library_entries, read_movements

    mine = [entry for path in own for entry in read_movements(path)]
    rest = (e for e in library_entries() if find(e.name, mine) is None)
    return (*mine, *rest)


def _wanted(avoided: Iterable[str], text: str) -> Wanted:
    from dataclasses import replace

    from cuetrack.movements.library_search import (
        UnknownWordError,
        caution_named,
        understood,
    )

    free = understood(text)
    try:
        return replace(free, without=(*free.without, *map(caution_named, avoided)))
    except UnknownWordError as error:
        raise UsageError(_unknown(error.word, error.near)) from error


def _unknown(word: str, near: str | None) -> str:
    from cuetrack.languages.vocabulary import vocabulary

    what = f'"{word}" is no caution the library knows.'
    if near is not None:
        return f'{what} Did you mean "{near}"?'
    known = ", ".join(caution.name for caution in vocabulary().cautions)
    return f"{what} Known: {known}."


def _advice(text: str, wanted: Wanted, entries: tuple[LibraryEntry, ...]) -> str:
    from cuetrack.movements.library import near

    meant = near(text, entries) if wanted.words else None
    if meant is not None:
        return f'Did you mean "{meant}"?'
    return "Ask for less at once, or see them all with: cuetrack movements"


def _show_table(
    screen: Console, found: tuple[LibraryEntry, ...], wanted: Wanted
) -> None:
    screen.print()
    for caution in wanted.without:
        kept = f" {caution.remember}" if caution.remember else ""
        screen.print(Text(f"{caution.name.capitalize()}.{kept}", style="bold"))
    name, role = Column("movement", no_wrap=True), Column("for", no_wrap=True)
    table = headed(name, role, "works", "with", figures("effort"), "take care")
    for entry in found:
        movement = entry.movement
        table.add_row(
            Text(movement.name, style="bold"),
            movement.role or "",
            ", ".join(movement.regions),
            equipment(entry),
            "" if movement.effort is None else str(movement.effort),
            Text(_care(entry, wanted), style="dim"),
        )
    screen.print(table)
    screen.print()
    screen.print(
        f"{len(found)} movements. Effort is from 0 (sitting) to 10 (all out). One of "
        "them in full:  cuetrack movements NAME",
        style="dim",
    )
    if wanted.without:
        screen.print(DEFERRAL, style="dim")


def _care(entry: LibraryEntry, wanted: Wanted) -> str:
    """Return what to mind in a movement, with its safe form for what was asked."""
    from cuetrack.movements.contraindications import safe_words

    movement = entry.movement
    facts = [fact for caution in wanted.without for fact in caution.facts]
    return ". ".join(filter(None, (movement.caution, *safe_words(movement, facts))))


def _show_card(screen: Console, entry: LibraryEntry) -> None:
    movement = entry.movement
    screen.print()
    screen.print(Text(movement.name, style="bold"))
    screen.print(Text(movement.told))
    screen.print()
    table = Table(box=None, pad_edge=False, show_header=False)
    table.add_column(style="dim")
    table.add_column()
    for label, value in _details(entry):
        if value:
            table.add_row(label, Text(value))
    screen.print(table)


def _details(entry: LibraryEntry) -> Iterator[tuple[str, str]]:
    from cuetrack.languages.vocabulary import vocabulary
    from cuetrack.movements.strains import strains_of

    movement = entry.movement
    yield "in short", movement.how_short or ""
    for number, point in enumerate(movement.form):
        yield "form" if not number else "", point
    yield "easier", movement.easier or ""
    yield "harder", movement.harder or ""
    yield "breathing", movement.breathing or ""
    yield "between sides", movement.between_sides or ""
    yield "afterwards", movement.afterwards or ""
    yield "caution", movement.caution or ""
    yield "for", movement.role or ""
    yield "works", ", ".join(movement.regions)
    yield "sides", sides(entry)
    yield "with", equipment(entry)
    yield "pace", pace(entry)
    yield "often done for", duration(entry.usual_ms) if entry.usual_ms else ""
    yield "each hold", duration(entry.hold_ms) if entry.hold_ms else ""
    if movement.effort is not None:
        yield "effort", f"{movement.effort} of 10, where 0 is sitting and 10 all out"
    meanings = vocabulary().tags
    yield from _suiting(entry)
    strains = [tag for tag in strains_of(movement) if not tag.startswith("care_")]
    for number, tag in enumerate(sorted(strains)):
        label = "asks" if not number else ""
        yield label, f"{tag}: {meanings.get(tag, 'a tag of your own')}"
    yield "also found as", ", ".join(entry.other_names)


def _suiting(entry: LibraryEntry) -> Iterator[tuple[str, str]]:
    """Yield for whom a movement has a safe form, and for whom it is left out."""
    from cuetrack.languages.group_words import group_words
    from cuetrack.movements.contraindications import (
        Suits,
        contraindications,
        verdict,
    )

    says = group_words().says
    told: dict[str, list[str]] = {}
    for fact in contraindications():
        found = verdict(entry.movement, fact)
        if found.suits is Suits.SAFE_FORM:
            way = ", ".join(found.words()) or entry.movement.caution or ""
            told.setdefault(way, []).append(says[fact])
        elif found.suits is Suits.LEAVE_OUT:
            told.setdefault("", []).append(says[fact])
    for number, (way, facts) in enumerate(told.items()):
        if way:
            label = "safe form" if not any(list(told)[:number]) else ""
            yield label, f"{way} ({', '.join(facts)})"
    yield "not with", ", ".join(told.get("", ()))


def sides(entry: LibraryEntry) -> str:
    """Return how the sides share the work, in a few words."""
    if entry.movement.sides:
        return ", then ".join(entry.movement.sides)
    return "by turns" if entry.alternating else "both"


def equipment(entry: LibraryEntry) -> str:
    """Return what is held, and whether it can be done with empty hands."""
    things = " or ".join(entry.equipment)
    if not things:
        return "empty hands"
    if entry.movement.equipment is None:
        return f"empty hands or {things}"
    return f"{things} or empty hands" if entry.empty_hands else things


def pace(entry: LibraryEntry) -> str:
    """Return its speed in words."""
    movement = entry.movement
    if movement.tempo_bpm:
        return f"{movement.tempo_bpm} beats a minute"
    if movement.repetitions:
        return f"about {movement.repetitions} times a minute"
    return "held" if movement.hold else ""
