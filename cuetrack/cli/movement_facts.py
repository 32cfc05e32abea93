"""The table of movements against facts of a group, as a file for a spreadsheet."""

from __future__ import annotations

import csv
import io
from collections import Counter
from typing import TYPE_CHECKING

from cuetrack.errors import UsageError
from cuetrack.languages.group_words import group_words
from cuetrack.languages.vocabulary import vocabulary
from cuetrack.movements.contraindications import (
    Suits,
    contraindications,
    verdict,
)

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping
    from pathlib import Path

    from cuetrack.movements.contraindications import Verdict
    from cuetrack.movements.group_facts import Fact
    from cuetrack.movements.model import Movement


def write_facts(
    movements: Iterable[Movement], to: Path, *, overwrite: bool
) -> Mapping[Fact, Mapping[Suits, int]]:
    """Write how each movement suits each fact, and return how many suit how far.

    Raises
    ------
    UsageError
        When the file is not called .csv.
    OutputError
        When a file is there already, or cannot be written.
    """
    from cuetrack.output.track.files import write_text

    if to.suffix.casefold() != ".csv":
        raise UsageError(
            f'A table cannot be written as "{to.suffix}".',
            "Name a file ending in .csv.",
        )
    facts, says = tuple(contraindications()), group_words().says
    counted: dict[Fact, Counter[Suits]] = {fact: Counter() for fact in facts}
    text = io.StringIO()
    table = csv.writer(text)
    table.writerow(["movement", *(says[fact] for fact in facts)])
    for movement in movements:
        told = {fact: verdict(movement, fact) for fact in facts}
        for fact, each in told.items():
            counted[fact][each.suits] += 1
        table.writerow(
            [movement.name, *(_cell(each, movement) for each in told.values())]
        )
    table.writerow([])
    sources = (contraindications()[fact].source for fact in facts)
    table.writerow(["where the rules come from", *sources])
    write_text(to, text.getvalue(), overwrite=overwrite)
    return counted


def _cell(told: Verdict, movement: Movement) -> str:
    """Return a verdict in words."""
    match told.suits:
        case Suits.FINE:
            return "fine"
        case Suits.SAFE_FORM:
            return f"safe form: {'. '.join(told.words()) or movement.caution}"
        case Suits.LEAVE_OUT:
            meanings = vocabulary().tags
            why = ", ".join(meanings[row.strain] for row in told.against)
            return f"leave out: {why}"
        case Suits.NOT_REVIEWED:
            return "not reviewed"
