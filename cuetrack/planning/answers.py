"""Plain answers understood: how long, who comes, what is at hand, what to work.

Everything here takes the words of a person and gives a value, or raises ValueError
with a sentence that says what would be understood.
"""

from __future__ import annotations

import re
from dataclasses import replace
from typing import TYPE_CHECKING, Final, TypeVar

from cuetrack.documents.durations import parse_duration
from cuetrack.movements.group_facts import OF_THE_CLASS, Fact
from cuetrack.movements.group_reading import read_group
from cuetrack.movements.library import EMPTY_HANDS
from cuetrack.movements.library_search import (
    UnknownWordError,
    equipment_named,
    region_named,
)
from cuetrack.plan.model import Coaching
from cuetrack.planning.request import LONGEST_SLOT_MS, SHORTEST_SLOT_MS, Level
from cuetrack.times import duration

if TYPE_CHECKING:
    from collections.abc import Callable

    from cuetrack.movements.group_reading import GroupSaid

T = TypeVar("T")

NOTHING_SPECIAL: Final = frozenset(
    {"", "nobody", "none", "no", "nothing", "everyone", "everybody", "all", "anyone"}
)
_LEVELS: Final = {
    Level.NEW: ("new", "beginner", "first", "never", "just starting"),
    Level.USUAL: ("usual", "some", "normal", "middle", "mixed", "a few weeks"),
    Level.EXPERIENCED: ("experienced", "regular", "used to it", "fit", "long"),
}
_COACHING: Final = {
    Coaching.EVERYTHING: ("everything", "voice", "all", "yes", "track", "full"),
    Coaching.CLOCK: ("clock", "me", "myself", "live", "i do", "leader", "no"),
}
_OF_AN_HOUR: Final = {
    "quarter hour": "15 min",
    "half hour": "30 min",
    "three quarters hour": "45 min",
    "hour": "60 min",
}


def slot(answer: str) -> int:
    """Return a length of class, ms; a bare number counts minutes.

    >>> slot("45") == slot("45 minutes") == slot("three quarters of an hour")
    True
    """
    plain = answer.strip().casefold()
    if re.fullmatch(r"\d+(?:[.,]\d+)?", plain):
        plain += " min"
    plain = _OF_AN_HOUR.get(re.sub(r"\b(an?|of|one) ?", "", plain), plain)
    try:
        length_ms = parse_duration(plain)
    except ValueError as error:
        raise ValueError("Please write minutes, such as 30.") from error
    if not SHORTEST_SLOT_MS <= length_ms <= LONGEST_SLOT_MS:
        raise ValueError(
            f"A sound class takes from {duration(SHORTEST_SLOT_MS)} (a quarter each "
            f"to warm up and to cool down) to {duration(LONGEST_SLOT_MS)}."
        )
    return length_ms


def level(answer: str) -> Level:
    """Return how used to it the group is.

    >>> level("They are all beginners")
    <Level.NEW: 'new'>
    """
    return _chosen(answer, _LEVELS, "Please write new, usual or experienced.")


def coaching(answer: str) -> Coaching:
    """Return who coaches.

    >>> coaching("I do it myself")
    <Coaching.CLOCK: 'clock'>
    """
    wanted = "Please write everything (the voice coaches) or clock (you do)."
    return _chosen(answer, _COACHING, wanted)


def who_coaches(group: GroupSaid, asked: Coaching) -> Coaching:
    """Return who coaches: where somebody is at home alone, the voice, all of it.

    >>> who_coaches(who("home alone"), Coaching.CLOCK)
    <Coaching.EVERYTHING: 'everything'>
    """
    return Coaching.EVERYTHING if Fact.HOME_ALONE in group.facts else asked


def _chosen(answer: str, words: dict[T, tuple[str, ...]], wanted: str) -> T:
    plain = answer.casefold()
    for value, known in words.items():
        if any(re.search(rf"\b{re.escape(word)}", plain) for word in known):
            return value
    raise ValueError(wanted)


def _parts(answer: str) -> list[str]:
    parts = re.split(r",|;|\band\b|\n", answer.casefold())
    return [part.strip(" .") for part in parts if part.strip(" .")]


def who(answer: str) -> GroupSaid:
    """Return what an answer says of a group; its level is asked apart.

    >>> said = who("a new hip, and some with sore knees")
    >>> [*map(str, said.facts)]
    ['hip replacement', 'knee pain']
    """
    said = read_group(answer)
    facts = tuple(fact for fact in said.facts if fact not in NOT_ASKED)
    return replace(said, facts=facts)


NOT_ASKED: Final = OF_THE_CLASS - {Fact.HOME_ALONE}
"""Facts that no answer to "who comes" gives."""


def equipment(answer: str) -> tuple[str, ...]:
    """Return the things at hand, as the library calls them.

    >>> equipment("dumbbells and a ball")
    ('light hand weights', 'a soft ball')
    """
    things = _looked_up(answer, equipment_named, "Known are weights, band, ball, towel")
    return tuple(dict.fromkeys(t for t in things if t != EMPTY_HANDS))


def regions(answer: str) -> frozenset[str]:
    """Return the regions to be worked most, empty for the whole body.

    >>> sorted(regions("trunk, everything"))
    ['trunk']
    """
    wanted = "Known are legs, arms, shoulders, chest, back, trunk"
    return frozenset().union(*_looked_up(answer, region_named, wanted))


_EVERYTHING: Final = frozenset({"whole body", "everything", "the whole body", "body"})


def _looked_up(answer: str, look_up: Callable[[str], T], wanted: str) -> list[T]:
    found = []
    for part in _parts(answer):
        if part in NOTHING_SPECIAL | _EVERYTHING:
            continue
        plain = re.sub(r"^(an?|the|some|our|my)\s+", "", part)
        try:
            found.append(look_up(plain))
        except UnknownWordError as error:
            near = f' Did you mean "{error.near}"?' if error.near else ""
            raise ValueError(f'"{part}" is not known here.{near} {wanted}.') from error
    return found
