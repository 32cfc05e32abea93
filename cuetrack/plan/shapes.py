"""The shapes that the values of a plan have, as data.

What reads them is in `cuetrack.plan.values`, what describes them to editors in
`cuetrack.plan.schema`; a new shape is one class here and one case in each.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from cuetrack.plan.defaults import LONGEST_SEGMENT_MS

if TYPE_CHECKING:
    from collections.abc import Callable


@dataclass(frozen=True, slots=True, kw_only=True)
class Text:
    """A text of at most ``most`` characters; ``none`` lets it say there is none."""

    most: int = 240
    none: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Texts:
    """One text or a list of at most ``count`` of them.

    ``mistake`` tells what is wrong with one and what to do, None where all is well;
    ``examples`` are some that are right.
    """

    most: int
    count: int
    none: bool = False
    mistake: Callable[[str], tuple[str, str] | None] | None = None
    examples: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Time:
    """A length of time within bounds; ``none`` allows the word for zero."""

    least_ms: int
    most_ms: int = LONGEST_SEGMENT_MS
    none: bool = False
    reason: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Number:
    """A number within bounds, perhaps with its ``unit`` behind it."""

    least: int
    most: int
    unit: str = ""
    whole: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """One of a few words."""

    words: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class YesNo:
    """Yes or no, in the spellings people use."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Sides:
    """``both``, ``each``, or the names of two sides in order."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Moment:
    """A moment of a section, as ``10 s from end``."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Pairs:
    """Keys of the leader's own choice with a text each.

    Where ``known`` is not empty, each key must be one of it, in any case;
    ``key_wanted`` says what the keys are.
    """

    key_most: int
    value_most: int
    known: tuple[str, ...] = ()
    key_wanted: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class MovementShape:
    """A name, a name with a time or with details, or the keys of a movement."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TimeOrMovement:
    """A single value that is either a length of time or a movement's name."""

    time: Time


@dataclass(frozen=True, slots=True, kw_only=True)
class SectionItem:
    """One section of a list: its kind as the only key."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Block:
    """Keys of the table with this name."""

    table: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ListOf:
    """A list of at least one item, all of one shape."""

    item: Shape
    what: str
    example: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Either:
    """A shape each for a single value, a list and keys with values."""

    single: Shape | None = None
    several: Shape | None = None
    keys: Block | None = None


Shape = (
    Text
    | Texts
    | Time
    | Number
    | Choice
    | YesNo
    | Sides
    | Moment
    | Pairs
    | MovementShape
    | TimeOrMovement
    | SectionItem
    | Block
    | ListOf
    | Either
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Field:
    """One key: its shape, its meaning, other words for it, and its default.

    ``default`` is in the form that reading gives: milliseconds for a time.
    """

    key: str
    shape: Shape
    meaning: str
    required: bool = False
    also: tuple[str, ...] = ()
    default: object = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Table:
    """The keys that may stand together; ``what`` names the place in messages."""

    what: str
    under: str
    fields: tuple[Field, ...]
