"""Whether the music files a plan names can be used, told with their line."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from cuetrack.errors import MusicError, PlanError, Problem
from cuetrack.sound.music import KEPT_BYTES, prune_music
from cuetrack.sound.songs import proven_tune

if TYPE_CHECKING:
    from collections.abc import Callable

    from cuetrack.plan.model import Plan


def refuse_unusable(plan: Plan, watch: Callable[[int, int], None]) -> None:
    """Raise PlanError for every music file of a plan that a track cannot be made of.

    Each file is read to its end, once: what is made ready of it is kept, so that
    making the track need not do it again. ``watch`` is told how many files are done
    of how many.
    """
    named = [(music, name) for music in plan.musics() for name in music.files]
    if not named:
        return
    problems, tunes = [], set()
    for place, (music, name) in enumerate(named):
        watch(place, len(named))
        try:
            tunes.add(proven_tune(Path(name), music.tempo_bpm).path)
        except MusicError as error:
            (problem,) = error.problems
            problems.append(
                Problem(
                    file=plan.file,
                    line=music.place.line,
                    column=music.place.column,
                    what=f"This music cannot be used. {replace(problem, remedy='')}",
                    remedy=problem.remedy,
                )
            )
    watch(len(named), len(named))
    prune_music(KEPT_BYTES, needed=tunes)
    if problems:
        raise PlanError(problems)
