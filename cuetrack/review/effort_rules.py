"""Rules on effort, pulse and tempo."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final

from cuetrack import cuekinds
from cuetrack.review import limits
from cuetrack.review.case import named
from cuetrack.review.model import Hit
from cuetrack.review.texts import plan_texts
from cuetrack.times import clock

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Mapping

    from cuetrack.cues.model import Segment
    from cuetrack.plan.model import Movement
    from cuetrack.review.case import Case

AGE_FROM: Final = re.compile(r"\b220\s*(?P<sign>[-\u2212\u2013])?")
"""The start of the old formula for the fastest pulse."""


def near_the_limit(case: Case) -> Iterator[Hit]:
    """I01."""
    for movement, segment in case.movements():
        if (movement.effort or 0) > limits.HIGHEST_EFFORT:
            what = f"{movement.name} asks for effort {movement.effort} of 10."
            yield Hit(what=what, place=movement.place, segments=(segment.id,))


def effort_unsaid(case: Case) -> Iterator[Hit]:
    """I02: one hit for all works without an effort."""
    unsaid = [m for m, _ in case.work_movements() if m.effort is None]
    if unsaid:
        what = f"No effort is said for {named([m.name for m in unsaid])}."
        yield Hit(what=what, place=unsaid[0].place)


def no_talk_check(case: Case) -> Iterator[Hit]:
    """I03: the time from movement to check, and from check to check, until the end.

    A leader who coaches live sees how people are.
    """
    if not case.works or not case.voice_coaches:
        return
    end_ms = case.works[-1].end_ms
    checks_ms = [p.start_ms for p in case.said(cuekinds.TALK_CHECK)]
    since_ms, most_ms = 0, limits.FIRST_TALK_CHECK_MS
    for check_ms in [*(c for c in checks_ms if c < end_ms), end_ms]:
        if check_ms - since_ms > most_ms:
            what = f"From {clock(since_ms)} to {clock(check_ms)} nobody is asked to "
            yield Hit(what=f"{what}say a few words.")
        since_ms, most_ms = check_ms, limits.TALK_CHECK_EVERY_MS


def pulse_target(case: Case) -> Iterator[Hit]:
    """I04."""
    words = case.words
    if words is None or not case.has("beta blocker", "heart condition"):
        return
    for text in plan_texts(case):
        found = words.pulse.search(text.text)
        if found:
            what = f'{text.owner} speaks of "{found.group()}".'
            yield Hit(what=what, place=text.place)


def old_formula(case: Case) -> Iterator[Hit]:
    """I05."""
    for text in plan_texts(case):
        if _takes_an_age(case, text.text):
            what = f"{text.owner} takes an age from 220."
            yield Hit(what=what, place=text.place)


def _takes_an_age(case: Case, text: str) -> bool:
    return any(
        found["sign"] or (case.words and case.words.minus.match(text, found.end()))
        for found in AGE_FROM.finditer(text)
    )


def other_age(case: Case) -> Iterator[Hit]:
    """I06."""
    if case.plan.group.age < limits.COMPENDIUM_AGE:
        what = f"The group is {case.plan.group.age} years old, and the energy values "
        yield Hit(what=f"{what}begin at {limits.COMPENDIUM_AGE}.")


def fast_beat(case: Case) -> Iterator[Hit]:
    """I07: fast movements one by one, and one hit for all that fast music hurries."""
    hurried: dict[str, Segment] = {}
    for movement, segment in case.movements():
        tempo = movement.tempo_bpm or 0
        music_bpm = _music_bpm(case, segment) or 0
        if tempo > limits.FASTEST_BPM:
            what = f"{movement.name} goes at {tempo} beats a minute."
            yield Hit(what=what, place=movement.place, segments=(segment.id,))
        elif music_bpm > limits.COMFORTABLE_BPM and hurries(movement, music_bpm):
            hurried[f"{movement.name} ({tempo})"] = segment
    if hurried:
        first = next(iter(hurried.values()))
        what = f"The music has {_music_bpm(case, first)} beats a minute, more than "
        what += f"suits {named(list(hurried))}."
        place = case.section(first).place
        yield Hit(what=what, place=place, segments=(first.id,))


def _music_bpm(case: Case, segment: Segment) -> int | None:
    own = case.section(segment).music
    music = case.plan.music if own is None else own
    return music.tempo_bpm if music else None


def hurries(movement: Movement, music_bpm: float) -> bool:
    """Return whether music drives a movement; twice its beat is the same beat."""
    tempo = movement.tempo_bpm or 0
    if tempo < limits.BEAT_LEAST_BPM:
        return False
    faster = music_bpm / tempo
    same_beat = any(
        abs(faster / times - 1) <= limits.MOST_FASTER - 1 for times in (2, 4)
    )
    return faster > limits.MOST_FASTER and not same_beat


CHECKS: Final[Mapping[str, Callable[[Case], Iterator[Hit]]]] = {
    "I01": near_the_limit,
    "I02": effort_unsaid,
    "I04": pulse_target,
    "I05": old_formula,
    "I06": other_age,
    "I07": fast_beat,
}

SHEET_CHECKS: Final[Mapping[str, Callable[[Case], Iterator[Hit]]]] = {
    "I03": no_talk_check
}
"""Rules that need to know what is said when."""
