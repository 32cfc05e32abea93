"""Whether the music files a plan names can be played at all, told with their line."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from cuetrack.errors import PlanError, Problem, TrackError
from cuetrack.sound.decoding import open_sound

if TYPE_CHECKING:
    from collections.abc import Iterator

    from cuetrack.plan.model import Music, Plan


def refuse_unplayable(plan: Plan) -> None:
    """Raise PlanError for every music file of a plan that holds no sound.

    Only the beginning of each file is read, so that checking stays quick.
    """
    problems = []
    for music in musics(plan):
        for name in music.files:
            trouble = _trouble(Path(name))
            if trouble is not None:
                problems.append(
                    Problem(
                        file=plan.file,
                        line=music.place.line,
                        column=music.place.column,
                        what="This music cannot be played.",
                        remedy=trouble,
                    )
                )
    if problems:
        raise PlanError(problems)


def musics(plan: Plan) -> Iterator[Music]:
    """Yield the music of the class and of each section that names some."""
    if plan.music is not None:
        yield plan.music
    yield from (section.music for section in plan.sections if section.music is not None)


def _trouble(path: Path) -> str | None:
    """Return why the beginning of a file gives no sound, None when it does."""
    try:
        first = next(iter(open_sound(path).blocks()), None)
    except TrackError as error:
        return str(error)
    if first is None or not len(first):
        return f"{path}: holds no sound. Name another file."
    return None
