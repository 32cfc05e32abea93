"""The music a plan names: files beside it that are there, or a bed of our own."""

from __future__ import annotations

import itertools
from dataclasses import replace
from typing import TYPE_CHECKING

from cuetrack.documents.names import nearest
from cuetrack.documents.problems import shown
from cuetrack.plan.refusals import PlanRefusal
from cuetrack.plan.words import MusicStyle

if TYPE_CHECKING:
    from pathlib import Path

    from cuetrack.documents.places import Place
    from cuetrack.documents.problems import Problems
    from cuetrack.plan.parts import Music

_NEIGHBOURS_LOOKED_AT = 500


def found_music(
    music: Music | None, folder: Path | None, problems: Problems
) -> Music | None:
    """Return music whose files are named from the folder of the plan.

    Without a folder nothing is looked for, and names stay as written.
    """
    if music is None:
        return None
    if not music.wrote("files") and not music.wrote("own"):
        what = "This music names neither files nor a bed of our own."
        remedy = 'Add "files: NAME" or "own: calm".'
        problems.add(music.place, what, remedy, PlanRefusal.MUSIC)
    if music.files and music.own:
        what = "This music names both files and a bed of our own."
        place = music.place_of("own")
        problems.add(place, what, "Keep one of the two.", PlanRefusal.MUSIC)
    if folder is None:
        return music
    place = music.place_of("files")
    for name in music.files:
        if name in set(MusicStyle) and not (folder / name).exists():
            what = f"The music file {shown(name)} is not there."
            remedy = f"For music that is made here, write {{own: {name}}}."
            problems.add(place, what, remedy, PlanRefusal.FILE)
        else:
            check_file(folder, name, place, problems, what="music")
    return replace(music, files=tuple(str(folder / name) for name in music.files))


def check_file(
    folder: Path, name: str, place: Place, problems: Problems, *, what: str
) -> bool:
    """Return whether a file the plan names is there; tell the problems if not."""
    path = folder / name
    try:
        is_there, is_file = path.exists(), path.is_file()
    except (OSError, ValueError):
        is_there = is_file = False
    if is_file:
        return True
    if is_there:
        found = f"The {what} {shown(name)} is a folder or no ordinary file."
        remedy = f"Name the {what} files themselves."
    else:
        near = nearest(path.name, _neighbours(path.parent))
        found = f"The {what} file {shown(name)} is not there."
        remedy = "Put it beside the plan, or correct its name."
        remedy = f'Did you mean "{near}"?' if near else remedy
    problems.add(place, found, remedy, PlanRefusal.FILE)
    return False


def is_beside(folder: Path, name: str) -> bool:
    """Return whether a file of YAML a plan names lies in the plan's folder, not hidden.

    What others keep elsewhere is not to be read out in a message: plans are handed on.
    """
    try:
        inside = (folder / name).resolve().relative_to(folder.resolve())
    except (OSError, RuntimeError, ValueError):
        return False
    is_hidden = any(part.startswith(".") for part in inside.parts)
    return inside.suffix.lower() in {".yaml", ".yml"} and not is_hidden


def _neighbours(folder: Path) -> list[str]:
    try:
        paths = itertools.islice(folder.iterdir(), _NEIGHBOURS_LOOKED_AT)
        return sorted(path.name for path in paths if path.suffix)
    except (OSError, ValueError):
        return []
