"""Classes that are ready to be used, and new ones from a few questions."""

from __future__ import annotations

from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Final, TypeVar

from cuetrack.documents.editing.applying import changed
from cuetrack.documents.editing.changes import AddKey, KeyValues
from cuetrack.errors import UsageError
from cuetrack.pipeline.checking import nothing_to_mend
from cuetrack.plan.model import Coaching
from cuetrack.planning import answers
from cuetrack.planning.generating import generate
from cuetrack.planning.request import ClassRequest, Level
from cuetrack.times import duration

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from cuetrack.documents.editing.changes import Value
    from cuetrack.movements.group_reading import GroupSaid

T = TypeVar("T")


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadyClass:
    """A class that needs no answers: what it is called and what it is like."""

    title: str
    about: str
    wishes: ClassRequest


QUESTIONS: Final = (
    "title",
    "minutes",
    "who",
    "level",
    "equipment",
    "regions",
    "coaching",
)
"""What is asked of a new class, by the names of its fields."""

ACCEPTED: Final = partial(nothing_to_mend, path=Path("new.yaml"))
"""Only a class of which the review says nothing that has to be mended."""

READY_CLASSES: Final = (
    ReadyClass(
        title="Twelve gentle minutes",
        about="For people who are new to it. Nothing in the hands.",
        wishes=ClassRequest(
            slot_ms=12 * 60_000, title="Twelve gentle minutes", level=Level.NEW
        ),
    ),
    ReadyClass(
        title="Twenty-five minutes with light weights",
        about="For those who are used to it. Light hand weights, two rounds.",
        wishes=ClassRequest(
            slot_ms=25 * 60_000,
            title="Twenty-five minutes with light weights",
            level=Level.USUAL,
            equipment=("light hand weights",),
        ),
    ),
    ReadyClass(
        title="Half an hour, legs most",
        about="For those who are used to it. Nothing in the hands.",
        wishes=ClassRequest(
            slot_ms=30 * 60_000,
            title="Half an hour, legs most",
            level=Level.USUAL,
            regions=answers.regions("legs"),
        ),
    ),
)


def ready_class(number: int) -> tuple[str, str]:
    """Return the plan and the title of a ready class."""
    if not 0 <= number < len(READY_CLASSES):
        raise UsageError("There is no such ready class.")
    wishes = READY_CLASSES[number].wishes
    return generate(wishes, accepts=ACCEPTED), wishes.title


EMPTY_PARTS: Final = """
warm-up: [easy march]
intervals: {movements: [heel dig]}
cool-down: [slow march]
"""
"""What a class begins with that its leader fills in."""


def empty_class(said: Mapping[str, str]) -> tuple[str, str]:
    """Return the plan and the title of a class with one movement in each part.

    Raises ValueError, with words for the page, for an answer that is not understood.
    """
    read = _Answers(said)
    title, group = _title(said), read.one(_group, "who", "")
    slot = duration(read.one(answers.slot, "minutes", "25"))
    read.refuse()
    facts = KeyValues(
        tuple(
            (word, tuple(map(str, facts)))
            for word, facts in (("facts", group.facts), ("not", group.denied))
            if facts
        )
    )
    keys: list[tuple[str, Value]] = [("title", title), ("lasts", slot)]
    if facts.entries:
        keys.append(("group", facts))
    if said.get("coaching") == Coaching.CLOCK:
        keys.append(("coaching", str(Coaching.CLOCK)))
    text = EMPTY_PARTS.lstrip()
    for index, (key, value) in enumerate(keys):
        text = changed(text, AddKey(path=(), key=key, value=value, index=index), "new")
    return text, title


def new_class(said: Mapping[str, str]) -> tuple[str, str]:
    """Return the plan and the title of a class by its answers.

    Raises ValueError, with words for the page, for an answer that is not understood.
    """
    read, title = _Answers(said), _title(said)
    group = read.one(_group, "who", "")
    wishes = ClassRequest(
        slot_ms=read.one(answers.slot, "minutes", "25"),
        title=title,
        level=read.one(answers.level, "level", "usual"),
        facts=tuple(map(str, group.facts)),
        denied=tuple(map(str, group.denied)),
        equipment=read.one(answers.equipment, "equipment", "nothing"),
        regions=read.one(answers.regions, "regions", "whole body"),
        coaching=answers.who_coaches(
            group, Coaching(said.get("coaching") or Coaching.EVERYTHING)
        ),
    )
    read.refuse()
    return generate(wishes, accepts=ACCEPTED), title


class _Answers:
    """The answers of a page, read one by one; all that is not understood is told."""

    def __init__(self, said: Mapping[str, str]) -> None:
        self._said = said
        self._troubles: list[str] = []

    def one(self, read: Callable[[str], T], name: str, usual: str) -> T:
        """Return what an answer means, the usual one where it cannot be understood."""
        try:
            return read(self._said.get(name, "") or usual)
        except ValueError as error:
            self._troubles.append(str(error))
            return read(usual)

    def refuse(self) -> None:
        """Raise ValueError if any answer was not understood."""
        if self._troubles:
            raise ValueError("\n".join(self._troubles))


def _title(said: Mapping[str, str]) -> str:
    return " ".join(said.get("title", "").split())[:100] or "A class on chairs"


def _group(answer: str) -> GroupSaid:
    group = answers.who(answer)
    if group.unknown:
        unknown = ", ".join(group.unknown)
        raise ValueError(
            f'"{unknown}" is not understood. Say what to take care of in other words, '
            "such as sore knees, or leave it out."
        )
    return group
