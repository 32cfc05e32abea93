"""Key positions read from their files, with every mistake told at its place."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from importlib.resources import files
from types import MappingProxyType
from typing import TYPE_CHECKING, Any, Final

import yaml

from cuetrack.errors import PlanError, Problem
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
    from collections.abc import Iterator, Mapping

PARTS: Final = ("warm-up", "energiser", "arms", "legs", "trunk", "stretch")
"""The files of key positions, in the order of a class."""

_ENDS: Final = {
    "end": Sharing.BOTH,
    "by turns": Sharing.BY_TURNS,
    "one side": Sharing.ONE_SIDE,
    "round": Sharing.ROUND,
}
_KEYS: Final = ("view", "sits", "with", "path", "start", *_ENDS)
_LOADER: Final = getattr(yaml, "CSafeLoader", yaml.SafeLoader)


@cache
def motions() -> Mapping[str, Motion]:
    """Return the key positions of every movement cuetrack brings, by its name."""
    folder = files("cuetrack.movements.positions").joinpath("data")
    found: dict[str, Motion] = {}
    for part in PARTS:
        file = folder.joinpath(f"{part}.yaml")
        if file.is_file():
            found |= read_motions(file.read_text("utf-8"), f"{part}.yaml")
    return MappingProxyType(found)


def read_motions(text: str, file: str) -> dict[str, Motion]:
    """Return the movements of one file of key positions by their names.

    Raises
    ------
    PlanError
        With every mistake and its line.
    """
    reader = _Reader(file)
    found = dict(reader.movements(text))
    if reader.problems:
        raise PlanError(reader.problems)
    return found


class _Reader:
    def __init__(self, file: str) -> None:
        self.file = file
        self.problems: list[Problem] = []

    def movements(self, text: str) -> Iterator[tuple[str, Motion]]:
        try:
            root = yaml.compose(text, Loader=_LOADER)
        except yaml.MarkedYAMLError as error:
            mark = error.problem_mark
            line, column = (mark.line + 1, mark.column + 1) if mark else (0, 0)
            what = f"This is not YAML here ({error.problem})."
            remedy = "Look at the line above too."
            problem = Problem(
                file=self.file, line=line, column=column, what=what, remedy=remedy
            )
            raise PlanError([problem]) from error
        for key, value in self._pairs(root):
            motion = self._motion(key.value, key, value)
            if motion is not None:
                yield key.value, motion

    def _tell(self, node: Any, what: str, remedy: str) -> None:  # noqa: ANN401
        mark = node.start_mark
        self.problems.append(
            Problem(
                file=self.file,
                line=mark.line + 1,
                column=mark.column + 1,
                what=what,
                remedy=remedy,
            )
        )

    def _pairs(self, node: Any) -> Iterator[tuple[Any, Any]]:  # noqa: ANN401
        if isinstance(node, yaml.MappingNode):
            yield from node.value
        elif node is not None:
            self._tell(
                node, "Keys with values are missing here.", 'Write "key: value".'
            )

    def _motion(self, name: str, key: Any, value: Any) -> Motion | None:  # noqa: ANN401
        said = {k.value: v for k, v in self._pairs(value)}
        for word, node in said.items():
            if word not in _KEYS:
                remedy = f"Known: {', '.join(_KEYS)}."
                self._tell(node, f'"{word}" says nothing of a movement.', remedy)
        ends = [word for word in _ENDS if word in said]
        if len(ends) != 1:
            remedy = f"Give one of: {', '.join(_ENDS)}."
            self._tell(key, f'"{name}" must say how it goes on, once.', remedy)
            return None
        known = len(self.problems)
        start = self._position(said["start"], SITTING_TALL) if "start" in said else None
        start = start or SITTING_TALL
        keys = [self._position(node, start) for node in _items(said[ends[0]])]
        looks = self._looks(said)
        if len(self.problems) > known:
            return None
        return replace(
            looks,
            name=name,
            start=start,
            keys=tuple(position for position in keys if position),
            sharing=_ENDS[ends[0]],
        )

    def _position(self, node: Any, base: Position) -> Position | None:  # noqa: ANN401
        try:
            return position_of(str(node.value), base)
        except NotationError as error:
            self._tell(node, str(error), error.remedy)
            return None

    def _looks(self, said: dict[str, Any]) -> Motion:
        motion = Motion(name="", start=SITTING_TALL, keys=(SITTING_TALL,))
        for word, node in said.items():
            try:
                motion = replace(motion, **_look(word, str(node.value)))
            except ValueError as error:
                self._tell(
                    node, f"{str(error).capitalize()}.", "See the words there are."
                )
        return motion


def _items(node: Any) -> list[Any]:  # noqa: ANN401
    return node.value if isinstance(node, yaml.SequenceNode) else [node]


def _look(word: str, text: str) -> dict[str, Any]:
    match word:
        case "view":
            view, _, close = text.partition(", ")
            closeness = Closeness(close) if close else Closeness.WHOLE
            return {"view": View(view), "closeness": closeness}
        case "sits":
            return {"seating": Seating(text)}
        case "with":
            thing, _, line = text.partition(" ")
            found = Line(line) if line else Line.IN_HANDS
            return {"held": Held(thing=Thing(thing), line=found)}
        case "path":
            ways = set(text.split(", "))
            if not ways <= {"straight hands", "steps"}:
                raise ValueError(f'"{text}" is no path')
            return {
                "straight_hands": "straight hands" in ways,
                "stepping": "steps" in ways,
            }
    return {}
