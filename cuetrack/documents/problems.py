"""The mistakes found in one plan, gathered so that all are told at once."""

from __future__ import annotations

from enum import StrEnum
from typing import TYPE_CHECKING

from cuetrack.documents.places import Place
from cuetrack.errors import PlanError, Problem

if TYPE_CHECKING:
    from typing import Final

PROBLEM_LIMIT: Final = 50
"""How many problems are told at once; more help nobody."""


class Refusal(StrEnum):
    """What the reader of any document refuses and no schema can say."""

    KEY_TWICE = "key twice"
    """Two words for one key stand in one group."""
    BESIDE_LIST = "beside the list"
    """Items of a list stand both in it and as keys."""
    NOT_UNDERSTOOD = "not understood"
    """Words that must mean something, and mean nothing known."""
    ALIKE = "alike"
    """Two names that must differ are the same."""
    TIME_RANGE = "time range"
    """A time that is written with its units is too short or too long."""
    CONTROL = "control"
    """A character that steers a screen and shows nothing."""
    TIME_IN_NAME = "time in name"
    """A name ends in a time, whose colon was forgotten."""


def shown(text: str) -> str:
    """Return ``text`` in quotes, cut and escaped so that it fits in a message.

    >>> shown("heel dig")
    '"heel dig"'
    """
    cut = text if len(text) <= 40 else text[:37] + "..."
    return '"' + "".join(c if c.isprintable() else ascii(c)[1:-1] for c in cut) + '"'


def refusal(file: str, place: Place, what: str, remedy: str) -> PlanError:
    """Return the error of a file that cannot be read any further."""
    return PlanError([_problem(file, place, what, remedy)])


def _problem(
    file: str, place: Place, what: str, remedy: str, refusal: str = ""
) -> Problem:
    return Problem(
        file=file,
        line=place.line,
        column=place.column,
        what=what,
        remedy=remedy,
        refusal=refusal,
    )


class Problems:
    """A growing set of problems of one file."""

    def __init__(self, file: str) -> None:
        self.file = file
        self._found: set[Problem] = set()

    def add(self, place: Place, what: str, remedy: str, refusal: str = "") -> None:
        """Keep one problem; told twice, it counts once."""
        self._found.add(_problem(self.file, place, what, remedy, refusal))

    def include(self, error: PlanError) -> None:
        """Keep what was found in another file that the plan draws on."""
        self._found.update(error.problems)

    @property
    def crowded(self) -> bool:
        """More was found than will be told; no need to look for good advice."""
        return len(self._found) > PROBLEM_LIMIT

    def raise_if_any(self) -> None:
        """Raise what was found, if anything was, at most `PROBLEM_LIMIT` of it.

        Raises
        ------
        PlanError
            With every problem in file order; when there are too many, the
            last one says how many more there are.
        """
        in_order = sorted(self._found)
        if not in_order:
            return
        told, more = in_order[:PROBLEM_LIMIT], in_order[PROBLEM_LIMIT:]
        if more:
            place = Place(line=more[0].line, column=more[0].column)
            what = f"There are {len(more)} more problems from here on."
            remedy = "Mend those above first, then check again."
            told.append(_problem(self.file, place, what, remedy))
        raise PlanError(told)
