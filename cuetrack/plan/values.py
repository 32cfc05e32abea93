"""From a node of the file to a value of the shape its key asks for.

Every mistake is told to a `Problems` and the value becomes `UNREAD`, so that
one mistake is told once and the reading goes on.
"""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass
from enum import Enum
from typing import TYPE_CHECKING, Any, Final

from cuetrack.documents.durations import parse_duration
from cuetrack.documents.names import nearest
from cuetrack.documents.problems import shown
from cuetrack.documents.tree import ListNode, MappingNode, Node, Scalar
from cuetrack.plan import shapes
from cuetrack.plan.moments import parse_moment
from cuetrack.plan.parts import NAMED_SIDES
from cuetrack.times import duration

if TYPE_CHECKING:
    from collections.abc import Sequence

    from cuetrack.documents.places import Place
    from cuetrack.documents.problems import Problems
    from cuetrack.plan.model import CountFrom


class Unread(Enum):
    """The one value of something that could not be read."""

    UNREAD = "unread"


UNREAD: Final = Unread.UNREAD

_YES_NO: Final = {
    "yes": True,
    "on": True,
    "true": True,
    "no": False,
    "off": False,
    "false": False,
}
_SIDE_MOST: Final = 30
_KNOWN_SHOWN: Final = 20


@dataclass(frozen=True, slots=True, kw_only=True)
class MomentValue:
    """A moment of a section, as ``at`` names it."""

    offset_ms: int
    count_from: CountFrom


@dataclass(frozen=True, slots=True, kw_only=True)
class Pair:
    """A key of the leader's own choice with its text."""

    key: str
    text: str
    place: Place


@dataclass(frozen=True, slots=True)
class Spot:
    """Where a value stands and what to call it: a key, or an item of a list."""

    label: str
    place: Place


def kind_name(node: Node) -> str:
    """Return what a node is, in words for the leader."""
    match node:
        case Scalar(empty=True):
            return "nothing"
        case Scalar():
            return f"the single value {shown(node.text)}"
        case ListNode():
            return "a list"
        case MappingNode():
            return "a group of keys"


def written_place(node: Node, key_place: Place) -> Place:
    """Return where a value stands; nothing at all stands where its key does."""
    return key_place if isinstance(node, Scalar) and node.empty else node.place


def says_none(node: Node) -> bool:
    """Return whether the writer says there is none of it."""
    return isinstance(node, Scalar) and node.text.strip().casefold() == "none"


class ValueReader:
    """Reads single values and short lists of them; groups of keys are `blocks`."""

    def __init__(self, problems: Problems) -> None:
        self.problems = problems

    def scalar_text(self, node: Node, spot: Spot, wanted: str) -> str | Unread:
        """Return the text of a single value that is not empty."""
        if not isinstance(node, Scalar):
            what = f"{spot.label} should be {wanted}, and here is {kind_name(node)}."
            self.problems.add(node.place, what, f"Write {wanted}.")
            return UNREAD
        if not node.text.strip():
            what = f"{spot.label} is empty."
            place = written_place(node, spot.place)
            self.problems.add(place, what, f"Write {wanted}, or take it out.")
            return UNREAD
        return node.text

    def text(self, node: Node, shape: shapes.Text, spot: Spot) -> str | Unread | None:
        """Return a text in one line, NFC, or None where it says there is none."""
        if shape.none and says_none(node):
            return None
        return self._line(node, shape.most, spot)

    def _line(self, node: Node, most: int, spot: Spot) -> str | Unread:
        raw = self.scalar_text(node, spot, "a text")
        if raw is UNREAD:
            return UNREAD
        line = re.sub(r"[ \t\r\n]+", " ", unicodedata.normalize("NFC", raw)).strip()
        if "\0" in line:
            what = f"{spot.label} holds a character of code 0, which nothing can show."
            self.problems.add(node.place, what, "Delete it.")
            return UNREAD
        if len(line) > most:
            what = f"{spot.label} is {len(line)} characters long, at most {most} fit."
            self.problems.add(node.place, what, "Shorten it.")
            return UNREAD
        return line

    def texts(
        self, node: Node, shape: shapes.Texts, spot: Spot
    ) -> tuple[str, ...] | Unread:
        """Return one text or several."""
        if shape.none and says_none(node):
            return ()
        if isinstance(node, MappingNode):
            what = f"{spot.label} should be a text or a list of texts, "
            what += "and here is a group of keys."
            self.problems.add(node.place, what, 'Put a text that holds ": " in quotes.')
            return UNREAD
        nodes = node.items if isinstance(node, ListNode) else (node,)
        if not nodes or len(nodes) > shape.count:
            what = f"{spot.label} has {len(nodes)} texts."
            remedy = f"Write 1 to {shape.count} of them, or take it out."
            self.problems.add(node.place, what, remedy)
            return UNREAD
        read = [self._one_text(item, shape, spot) for item in nodes]
        good = tuple(line for line in read if line is not UNREAD)
        return good if len(good) == len(read) else UNREAD

    def _one_text(self, node: Node, shape: shapes.Texts, spot: Spot) -> str | Unread:
        line = self._line(node, shape.most, spot)
        if line is UNREAD or shape.mistake is None:
            return line
        mistake = shape.mistake(line)
        if mistake is None:
            return line
        what, remedy = mistake
        self.problems.add(node.place, f"{spot.label} has {what}", remedy)
        return UNREAD

    def time(self, node: Node, shape: shapes.Time, spot: Spot) -> int | Unread:
        """Return a length of time in ms; 0 where it says none and may."""
        if shape.none and says_none(node):
            return 0
        wanted = "a time such as 45 s or 1:30"
        raw = self.scalar_text(node, spot, wanted)
        if raw is UNREAD:
            return UNREAD
        try:
            ms = parse_duration(raw)
        except ValueError as error:
            what = f"{spot.label} has the time {shown(raw)}, which {error}."
            remedy = "Write it as 45 s, 1 min 30 s or 1:30"
            remedy += ", or none." if shape.none else "."
            self.problems.add(node.place, what, remedy)
            return UNREAD
        return ms if self._within(ms, node, shape, spot) else UNREAD

    def _within(self, ms: int, node: Node, shape: shapes.Time, spot: Spot) -> bool:
        if shape.least_ms <= ms <= shape.most_ms:
            return True
        least, most = duration(shape.least_ms), duration(shape.most_ms)
        if ms > shape.most_ms:
            what = f"{spot.label} is {duration(ms)}, longer than makes sense here."
            remedy = f"Make it at most {most}; a bare number counts seconds."
        else:
            because = f": {shape.reason}" if shape.reason else ""
            what = f"{spot.label} is {duration(ms)}, which is too short{because}."
            remedy = f"Make it at least {least}" + (", or none." if shape.none else ".")
        self.problems.add(node.place, what, remedy)
        return False

    def number(
        self, node: Node, shape: shapes.Number, spot: Spot
    ) -> int | float | Unread:
        """Return a number within its bounds."""
        kind = "whole number" if shape.whole else "number"
        wanted = f"a {kind} from {shape.least} to {shape.most}"
        raw = self.scalar_text(node, spot, wanted)
        if raw is UNREAD:
            return UNREAD
        plain = raw.strip().casefold().removesuffix(shape.unit.casefold()).strip()
        pattern = r"[0-9][0-9_]{0,11}" + ("" if shape.whole else r"([.,][0-9]{1,6})?")
        if re.fullmatch(pattern, plain):
            value = float(plain.replace("_", "").replace(",", "."))
            if shape.least <= value <= shape.most:
                return int(value) if shape.whole else value
        what = f"{spot.label} is {shown(raw)}, which does not fit here."
        self.problems.add(node.place, what, f"Write {wanted}.")
        return UNREAD

    def choice(self, node: Node, shape: shapes.Choice, spot: Spot) -> str | Unread:
        """Return one of the words of the shape."""
        wanted = " or ".join(str(word) for word in shape.words)
        raw = self.scalar_text(node, spot, wanted)
        if raw is UNREAD:
            return UNREAD
        plain = raw.strip().casefold()
        for word in shape.words:
            if plain == word:
                return word
        self.problems.add(
            node.place,
            f"{spot.label} is {shown(raw)}, and should be {wanted}.",
            suggestion(raw, shape.words),
        )
        return UNREAD

    def yes_no(self, node: Node, spot: Spot) -> bool | Unread:
        """Return what was answered."""
        raw = self.scalar_text(node, spot, "yes or no")
        if raw is UNREAD:
            return UNREAD
        answer = _YES_NO.get(raw.strip().casefold())
        if answer is None:
            what = f"{spot.label} is {shown(raw)}, and should be yes or no."
            self.problems.add(node.place, what, "Write yes or no.")
            return UNREAD
        return answer

    def sides(self, node: Node, spot: Spot) -> tuple[str, ...] | Unread:
        """Return the names of the two sides; none where both work together."""
        remedy = "Write both, each, or two names such as [right leg, left leg]."
        if isinstance(node, ListNode):
            read = [self._line(item, _SIDE_MOST, spot) for item in node.items]
            names = tuple(name for name in read if name is not UNREAD)
            if len(names) != len(read):
                return UNREAD
            if len(names) == 2 and names[0].casefold() != names[1].casefold():
                return names
            what = f"{spot.label} should name two different sides"
            what += f", and here are {len(names)}." if len(names) != 2 else "."
            self.problems.add(node.place, what, remedy)
            return UNREAD
        raw = self.scalar_text(node, spot, "both, each or two names")
        if raw is UNREAD:
            return UNREAD
        plain = " ".join(raw.casefold().split())
        if plain in NAMED_SIDES:
            return NAMED_SIDES[plain]
        what = f"{spot.label} is {shown(raw)}, and should be both, each or two names."
        self.problems.add(node.place, what, remedy)
        return UNREAD

    def moment(self, node: Node, spot: Spot) -> MomentValue | Unread:
        """Return a moment of the section."""
        raw = self.scalar_text(node, spot, "a moment such as 10 s from end")
        if raw is UNREAD:
            return UNREAD
        try:
            offset_ms, count_from = parse_moment(raw)
        except ValueError as error:
            what = f"{spot.label} is {shown(raw)}, which {error}."
            remedy = "Write it as 20 s, 10 s from end, halfway or 20 s after halfway."
            self.problems.add(node.place, what, remedy)
            return UNREAD
        return MomentValue(offset_ms=offset_ms, count_from=count_from)

    def pairs(
        self, node: Node, shape: shapes.Pairs, spot: Spot
    ) -> tuple[Pair, ...] | Unread:
        """Return free keys with their texts, in the order written."""
        if not isinstance(node, MappingNode):
            what = f"{spot.label} should be words with a text each, "
            what += f"and here is {kind_name(node)}."
            place = written_place(node, spot.place)
            remedy = 'Write a line "WORD: TEXT" for each below it.'
            self.problems.add(place, what, remedy)
            return UNREAD
        pairs: dict[str, Pair] = {}
        seen: dict[str, Place] = {}
        for entry in node.entries:
            key = self._line(entry.key, shape.key_most, spot)
            if key is UNREAD:
                continue
            if shape.known:
                key = key.upper()
            if key in seen:
                self.problems.add(*written_twice(entry.key, seen[key]))
                continue
            seen[key] = entry.key.place
            if shape.known and key not in shape.known:
                what = f"{shown(key)} is not {shape.key_wanted}."
                self.problems.add(entry.key.place, what, suggestion(key, shape.known))
            label = Spot(shown(key), entry.key.place)
            text = self._line(entry.value, shape.value_most, label)
            if text is not UNREAD:
                pairs[key] = Pair(key=key, text=text, place=entry.key.place)
        return tuple(pairs.values())

    def single(self, node: Node, shape: shapes.Shape, spot: Spot) -> Any:  # noqa: ANN401, PLR0911 - one return a shape
        """Return the value of any shape that is not a group of keys.

        Its type is the one that the method of the shape gives.
        """
        match shape:
            case shapes.Text():
                return self.text(node, shape, spot)
            case shapes.Texts():
                return self.texts(node, shape, spot)
            case shapes.Time():
                return self.time(node, shape, spot)
            case shapes.Number():
                return self.number(node, shape, spot)
            case shapes.Choice():
                return self.choice(node, shape, spot)
            case shapes.YesNo():
                return self.yes_no(node, spot)
            case shapes.Sides():
                return self.sides(node, spot)
            case shapes.Moment():
                return self.moment(node, spot)
            case shapes.Pairs():
                return self.pairs(node, shape, spot)
        raise TypeError(f"{shape} is no single shape")


def written_twice(key: Scalar, first: Place) -> tuple[Place, str, str]:
    """Return the problem of a key that stands twice in one place."""
    return (
        key.place,
        f"{shown(key.text)} is written twice, first in line {first.line}.",
        "Keep one of the two.",
    )


def suggestion(word: str, known: Sequence[str]) -> str:
    """Return the remedy for a word that is not among the known ones."""
    near = nearest(word, known)
    if near is not None:
        return f'Did you mean "{near}"?'
    if not known:
        return "None is known here."
    more = ", ..." if len(known) > _KNOWN_SHOWN else "."
    return f"Known here: {', '.join(known[:_KNOWN_SHOWN])}{more}"
