"""The two sides of a body as people name them, and held stretches likewise."""

from __future__ import annotations

from dataclasses import dataclass
from types import MappingProxyType
from typing import TYPE_CHECKING, ClassVar, Final

from cuetrack.documents.editing.writing import scalar_text
from cuetrack.documents.keys import Schema, Shape
from cuetrack.documents.problems import Refusal, shown
from cuetrack.documents.reading import UNREAD, Spot, Unread
from cuetrack.documents.shapes import Text, YesNo
from cuetrack.documents.tree import ListNode, Node

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping
    from typing import Any

    from cuetrack.documents.quantities import Time
    from cuetrack.documents.reading import Reader

NAMED_SIDES: Final[Mapping[str, tuple[str, ...]]] = MappingProxyType(
    {
        "both": (),
        "alternating": (),
        "each": ("right", "left"),
        "each leg": ("right leg", "left leg"),
        "each foot": ("right foot", "left foot"),
        "each arm": ("right arm", "left arm"),
    }
)
"""The sides that a word for them means; alternating ones take turns unannounced."""

_MOST: Final = 30
_REMEDY: Final = "Write both, each, or two names such as [right leg, left leg]."


@dataclass(frozen=True, slots=True)
class SideWords(Shape[str | tuple[str, ...]]):
    """A word of `NAMED_SIDES`, or the names of two sides in order."""

    def read(
        self, node: Node, spot: Spot, reader: Reader
    ) -> str | tuple[str, ...] | Unread:
        if isinstance(node, ListNode):
            return self._two(node, spot, reader)
        raw = reader.text(node, spot, "both, each or two names")
        if raw is UNREAD:
            return UNREAD
        plain = " ".join(raw.casefold().split())
        if plain in NAMED_SIDES:
            return plain
        what = f"{spot.label} is {shown(raw)}, and should be both, each or two names."
        return reader.refuse(node.place, what, _REMEDY)

    def _two(
        self, node: ListNode, spot: Spot, reader: Reader
    ) -> tuple[str, ...] | Unread:
        read = [reader.line(item, _MOST, spot) for item in node.items]
        names = tuple(name for name in read if name is not UNREAD)
        if len(names) != len(read):
            return UNREAD
        if len(names) == 2 and names[0].casefold() != names[1].casefold():
            return names
        what = f"{spot.label} should name two different sides"
        what += f", and here are {len(names)}." if len(names) != 2 else "."
        named = Refusal.ALIKE if len(names) == 2 else ""
        return reader.refuse(node.place, what, _REMEDY, named)

    def write(self, value: str | tuple[str, ...]) -> str:
        return value if isinstance(value, str) else _written(value)

    def schema(self) -> Schema:
        name = Text(_MOST).schema()
        two = {"type": "array", "items": name, "minItems": 2, "maxItems": 2}
        return {"anyOf": [{"enum": list(NAMED_SIDES)}, two]}

    def values(self) -> str:
        return f"{', '.join(NAMED_SIDES)}; or two names, as [right knee, left knee]"


@dataclass(frozen=True, slots=True)
class Sides(Shape[tuple[str, ...]]):
    """The names of the two sides in order; none where both work together."""

    def read(self, node: Node, spot: Spot, reader: Reader) -> tuple[str, ...] | Unread:
        said = SideWords().read(node, spot, reader)
        return NAMED_SIDES[said] if isinstance(said, str) else said

    def write(self, value: tuple[str, ...]) -> str:
        words = {sides: word for word, sides in reversed([*NAMED_SIDES.items()])}
        return words.get(value) or _written(value)

    def schema(self) -> Schema:
        return SideWords().schema()

    def values(self) -> str:
        return SideWords().values()


def _written(names: tuple[str, ...]) -> str:
    return f"[{', '.join(map(scalar_text, names))}]"


@dataclass(frozen=True, slots=True)
class Hold(Shape[int | None]):
    """Whether something is held: no, yes (0 ms), or for how long, in ms."""

    time: Time
    noun: ClassVar[str] = "yes, no or a time"

    def read(self, node: Node, spot: Spot, reader: Reader) -> int | Unread | None:
        if self.time.takes(node):
            return self.time.read(node, spot, reader)
        raw = reader.text(node, spot, self.noun)
        if raw is UNREAD:
            return UNREAD
        answer = YesNo.answer(raw)
        if answer is None:
            what = f"{spot.label} is {shown(raw)}, and should be {self.noun}."
            remedy = "Write yes, no, or how long, such as 30 s."
            return reader.refuse(node.place, what, remedy)
        return 0 if answer else None

    def write(self, value: int | None) -> str:
        return self.time.write(value) if value else "no" if value is None else "yes"

    def schema(self) -> Schema:
        return {"anyOf": [YesNo().schema(), *self.time.schema()["anyOf"]]}

    def values(self) -> str:
        return f"yes, no; or {self.time.values()}"

    def parts(self) -> Iterator[Shape[Any]]:
        yield self.time
