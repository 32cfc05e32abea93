"""Key positions read from their files, with every mistake told at its place.

A file maps each movement to: ``view`` (side, quarter, front, high or back; then
``upper``, ``feet`` or ``hands`` when only these are shown), ``sits``, ``with`` (a
thing and its line), ``path`` (straight hands, steps, round, and back, rocking),
``start``, and one of ``end``, ``by turns`` and ``one side``, a position or a list of
them. Positions are written as `notation` tells.
"""

from __future__ import annotations

from functools import cache
from importlib.resources import files
from types import MappingProxyType
from typing import TYPE_CHECKING, Any, Final

from cuetrack.documents.problems import Problems, shown
from cuetrack.documents.tree import ListNode, MappingNode, Scalar, read_tree
from cuetrack.movements.positions.motion import (
    Closeness,
    Held,
    Line,
    Motion,
    Seating,
    Sharing,
    Thing,
    View,
)
from cuetrack.movements.positions.notation import NotationError, position_of
from cuetrack.movements.positions.position import SITTING_TALL, Position

if TYPE_CHECKING:
    from collections.abc import Mapping
    from enum import StrEnum

    from cuetrack.documents.tree import Node

PARTS: Final = ("warm-up", "energiser", "arms", "legs", "trunk", "stretch")
"""The files of key positions, in the order of a class."""

_ENDS: Final = {
    "end": Sharing.BOTH,
    "by turns": Sharing.BY_TURNS,
    "one side": Sharing.ONE_SIDE,
}
_PATHS: Final = ("straight hands", "steps", "round", "and back", "rocking")
_KEYS: Final = ("view", "sits", "with", "or with", "path", "start", *_ENDS)


@cache
def motions() -> Mapping[str, Motion]:
    """Return the key positions of every movement cuetrack brings, by its name."""
    folder = files("cuetrack.movements.positions").joinpath("data")
    found: dict[str, Motion] = {}
    for part in PARTS:
        text = folder.joinpath(f"{part}.yaml").read_text("utf-8")
        found |= read_motions(text, f"{part}.yaml")
    return MappingProxyType(found)


def read_motions(text: str, file: str) -> dict[str, Motion]:
    """Return the movements of one file of key positions by their names.

    Raises
    ------
    PlanError
        With every mistake and its line.
    """
    problems = Problems(file)
    found: dict[str, Motion] = {}
    for name, node in _pairs(read_tree(text, file), problems):
        motion = _motion(name, node, problems)
        if motion is not None:
            found[name.text] = motion
    problems.raise_if_any()
    return found


def _pairs(node: Node, problems: Problems) -> list[tuple[Scalar, Node]]:
    if isinstance(node, MappingNode):
        return [(entry.key, entry.value) for entry in node.entries]
    problems.add(node.place, "Keys with values are missing.", 'Write "key: value".')
    return []


def _motion(name: Scalar, node: Node, problems: Problems) -> Motion | None:
    said: dict[str, Node] = {}
    for key, value in _pairs(node, problems):
        said[key.text] = value
        if key.text not in _KEYS:
            what = f"{shown(key.text)} says nothing of a movement."
            problems.add(key.place, what, f"Known: {', '.join(_KEYS)}.")
    ends = [word for word in _ENDS if word in said]
    if len(ends) != 1:
        what = f"{shown(name.text)} must say once how it goes on."
        problems.add(name.place, what, f"Give one of: {', '.join(_ENDS)}.")
        return None
    start = SITTING_TALL
    if "start" in said:
        start = _position(said["start"], SITTING_TALL, problems) or SITTING_TALL
    end = said[ends[0]]
    items = end.items if isinstance(end, ListNode) else (end,)
    keys = [_position(item, start, problems) for item in items]
    looks: dict[str, Any] = {}
    for word, value in said.items():
        looks |= _look(word, value, problems)
    if None in keys or not keys:
        return None
    return Motion(
        name=name.text,
        start=start,
        keys=tuple(position for position in keys if position is not None),
        sharing=_ENDS[ends[0]],
        **looks,
    )


def _position(node: Node, base: Position, problems: Problems) -> Position | None:
    if not isinstance(node, Scalar):
        problems.add(node.place, "A position is one line.", "Write it as a text.")
        return None
    try:
        return position_of(node.text, base)
    except NotationError as error:
        problems.add(node.place, str(error), error.remedy)
        return None


def _look(word: str, node: Node, problems: Problems) -> dict[str, Any]:
    """Return what one key says of how a movement is seen and held."""
    text = node.text if isinstance(node, Scalar) else ""
    first, _, rest = text.partition(", " if word == "view" else " ")

    def one_of(kind: type[StrEnum], found: str) -> StrEnum:
        if found in set(kind):
            return kind(found)
        what = f"{shown(found)} is not known here."
        problems.add(node.place, what, f"Known: {', '.join(kind)}.")
        return next(iter(kind))

    match word:
        case "view":
            close = one_of(Closeness, rest or Closeness.WHOLE)
            return {"view": one_of(View, first), "closeness": close}
        case "sits":
            return {"seating": one_of(Seating, text)}
        case "with" | "or with":
            thing, line = one_of(Thing, first), one_of(Line, rest or Line.IN_HANDS)
            held = Held(thing=Thing(thing), line=Line(line))
            return {"held" if word == "with" else "or_held": held}
        case "path":
            ways = text.split(", ")
            if not set(ways) <= set(_PATHS):
                what = f"{shown(text)} is no path."
                problems.add(node.place, what, f"Known: {', '.join(_PATHS)}.")
            flags = ("straight_hands", "stepping", "rounded", "retraced", "rocking")
            return {f: p in ways for f, p in zip(flags, _PATHS, strict=True)}
        case _:
            return {}
