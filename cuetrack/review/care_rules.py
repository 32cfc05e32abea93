"""Rules on what surrounds a class: rights, plans for trouble, being alone."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from cuetrack.languages.pack import missing_files
from cuetrack.plan.model import SectionKind
from cuetrack.review import limits
from cuetrack.review.model import Hit
from cuetrack.times import duration

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Mapping

    from cuetrack.review.case import Case


def no_rights(case: Case) -> Iterator[Hit]:
    """L01."""
    own = (section.music for section in case.plan.sections)
    for music in (case.plan.music, *own):
        if music and music.files and not music.rights:
            what = f"Nothing is said of the right to play {len(music.files)} music "
            what += "files." if len(music.files) > 1 else "file."
            yield Hit(what=what, place=music.place)


def nobody_stays(case: Case) -> Iterator[Hit]:
    """E03: in a group with heart conditions, the close is short."""
    closing = [s for s in case.plan.sections if s.kind is SectionKind.CLOSE]
    close_ms = sum(section.duration_ms or 0 for section in closing)
    if case.has("heart condition") and close_ms < limits.OBSERVATION_MS:
        what = f"The close lasts {duration(close_ms)}, and then the track is over."
        place = closing[-1].place if closing else case.plan.sections[-1].place
        yield Hit(what=what, place=place)


def alone_without_coaching(case: Case) -> Iterator[Hit]:
    """E04."""
    if case.has("home alone") and not case.voice_coaches:
        yield Hit(what="Coaching is left to a leader, and nobody leads at home.")


def language_in_part(case: Case) -> Iterator[Hit]:
    """X03."""
    for file in missing_files(case.plan.language):
        what = f'The language "{case.plan.language}" has no {file.name}: '
        yield Hit(what=f"{what}{file.effect}.")


CHECKS: Final[Mapping[str, Callable[[Case], Iterator[Hit]]]] = {
    "L01": no_rights,
    "E03": nobody_stays,
    "E04": alone_without_coaching,
    "X03": language_in_part,
}
