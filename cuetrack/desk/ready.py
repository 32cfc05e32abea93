"""Classes that are ready to be used, and new ones from a few questions."""

from __future__ import annotations

from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Final

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
    from collections.abc import Mapping

    from cuetrack.documents.editing.changes import Value
    from cuetrack.movements.group_reading import GroupSaid


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
    title, group = _title(said), _group(said)
    slot = duration(answers.slot(said.get("minutes", "") or "25"))
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
    group, title = _group(said), _title(said)
    wishes = ClassRequest(
        slot_ms=answers.slot(said.get("minutes", "") or "25"),
        title=title,
        level=answers.level(said.get("level", "") or "usual"),
        facts=tuple(map(str, group.facts)),
        denied=tuple(map(str, group.denied)),
        equipment=answers.equipment(said.get("equipment", "") or "nothing"),
        regions=answers.regions(said.get("regions", "") or "whole body"),
        coaching=answers.who_coaches(
            group, Coaching(said.get("coaching") or Coaching.EVERYTHING)
        ),
    )
    return generate(wishes, accepts=ACCEPTED), title


def _title(said: Mapping[str, str]) -> str:
    return " ".join(said.get("title", "").split())[:100] or "A class on chairs"


def _group(said: Mapping[str, str]) -> GroupSaid:
    group = answers.who(said.get("who", ""))
    if group.unknown:
        unknown = ", ".join(group.unknown)
        raise ValueError(f'"{unknown}" is not understood. Write it in other words.')
    return group
