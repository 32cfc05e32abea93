"""What is wrong with a text that is no YAML, in words for who wrote it."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final, Protocol

from cuetrack.documents.places import Place
from cuetrack.documents.problems import refusal

if TYPE_CHECKING:
    import yaml

    from cuetrack.errors import PlanError

DEPTH_LIMIT: Final = 20

_UNCLOSED: Final = (
    (
        "mapping values are not allowed",
        "A colon stands where no key can be.",
        'Put a text that holds ": " in quotes, and check how the line is indented.',
    ),
    (
        "',' or ']'",
        "A list that was opened with [ does not end.",
        "Put a comma between its items and ] at its end.",
    ),
    (
        "',' or '}'",
        "A group that was opened with { does not end.",
        "Put a comma between its parts and } at its end.",
    ),
    (
        "end of stream",
        "A text that was opened with a quote does not end.",
        "Put the same quote at its end.",
    ),
)
_SYNTAX: Final = (
    (
        "nesting depth",
        f"The plan is nested more than {DEPTH_LIMIT} levels deep.",
        "Check its brackets and its spaces at the start of lines.",
    ),
    (
        "undefined alias",
        "A text starts with * and names nothing.",
        "Put it in quotes.",
    ),
    (
        "could not find expected ':'",
        "This line is neither a key with a colon nor part of a list.",
        'Write "key: value", or start a list item with "- ".',
    ),
    (
        "block sequence entries are not allowed",
        'A list item "- " stands where no list can start.',
        "Start the list on a line of its own below its key.",
    ),
    (
        "expected key",
        "This line does not line up with the keys above it.",
        "Start it with as many spaces as its neighbours.",
    ),
    (
        "expected <block end>",
        "This line does not line up with the lines above it.",
        "Start it with as many spaces as its neighbours.",
    ),
    (
        "expected '-' indicator",
        "This line does not line up with the list above it.",
        'Start it with "- " and as many spaces as its neighbours.',
    ),
)

_LONG_DASH: Final = re.compile(r" *[\u2010-\u2015\u2022\u2212*](?=[ \xa0])")
_BARE_ITEM: Final = re.compile(r" *- +[^:#\[{\"']+$")


class Mark(Protocol):
    """Where the parser is; both of its implementations count from 0."""

    index: int
    line: int
    column: int


def mark_place(mark: Mark | None) -> Place:
    """Return the place of a mark of the parser."""
    if mark is None:
        return Place(line=1, column=1)
    return Place(line=mark.line + 1, column=mark.column + 1)


def syntax_error(error: yaml.MarkedYAMLError, text: str, file: str) -> PlanError:
    """Return the error of a text that the parser gave up on."""
    place = mark_place(error.problem_mark or error.context_mark)
    lines = text.splitlines()
    line = lines[place.line - 1] if place.line <= len(lines) else ""
    if re.match(r" *\t", line):
        return refusal(
            file,
            place,
            "A tab stands at the start of this line.",
            "Indent with spaces; two for each step read well.",
        )
    said = f"{error.problem}"
    above = lines[place.line - 2] if 2 <= place.line <= len(lines) else ""
    if dash := _LONG_DASH.match(above) or _LONG_DASH.match(line):
        return refusal(
            file,
            Place(line=place.line - (dash.string is above), column=dash.end()),
            'A list item starts with a sign that is not "-".',
            'Write the plain "-" of the keyboard and a space.',
        )
    if "mapping values" in said and _BARE_ITEM.match(above):
        return refusal(
            file,
            place,
            "More is said of a list item that has no key.",
            "Write the item above as a key and its value, such as "
            '"- movement: leg extension", and this line under the word "movement".',
        )
    for sign, what, remedy in _UNCLOSED:
        if sign in said:
            opened = mark_place(error.context_mark) if error.context_mark else place
            return refusal(file, opened, what, remedy)
    for sign, what, remedy in _SYNTAX:
        if sign in said:
            return refusal(file, place, what, remedy)
    return refusal(
        file,
        place,
        f"This is not YAML here ({said}).",
        "Put a text with special signs in quotes, and check the line above too.",
    )
