"""The music a plan names: files beside it that are there, or a bed of our own."""

from __future__ import annotations

import itertools
from typing import TYPE_CHECKING, Any

from cuetrack.documents.names import nearest
from cuetrack.documents.problems import shown
from cuetrack.plan.blocks import BlockValue
from cuetrack.plan.model import Music, MusicStyle

if TYPE_CHECKING:
    from pathlib import Path

    from cuetrack.documents.places import Place
    from cuetrack.documents.problems import Problems

_NEIGHBOURS_LOOKED_AT = 500


class MusicBuilder:
    """Puts music together; files are looked for from the folder of the plan.

    Without a folder nothing is looked for, and names stay as written.
    """

    def __init__(self, problems: Problems, folder: Path | None) -> None:
        self._problems = problems
        self._folder = folder

    def build(self, value: Any, place: Place) -> Music | None:  # noqa: ANN401
        """Return the music that was said, None where there is none."""
        if value is None:
            return None
        if isinstance(value, BlockValue):
            return self._from_block(value)
        names = (value,) if isinstance(value, str) else value
        return Music(files=self._files(names, place), place=place)

    def _from_block(self, block: BlockValue) -> Music:
        files, own = block.get("files") or (), block.get("own")
        if not block.wrote("files") and not block.wrote("own"):
            what = "This music names neither files nor a bed of our own."
            self._problems.add(block.place, what, 'Add "files: NAME" or "own: calm".')
        if files and own:
            what = "This music names both files and a bed of our own."
            self._problems.add(block.place_of("own"), what, "Keep one of the two.")
        return Music(
            files=self._files(files, block.place_of("files")),
            own=own,
            rights=block.get("rights"),
            tempo_bpm=block.get("tempo"),
            well_under_voice=bool(block.get("well under voice")),
            place=block.place,
        )

    def _files(self, names: tuple[str, ...], place: Place) -> tuple[str, ...]:
        folder = self._folder
        if folder is None:
            return names
        for name in names:
            if name in set(MusicStyle) and not (folder / name).exists():
                what = f"The music file {shown(name)} is not there."
                remedy = f"For music that is made here, write {{own: {name}}}."
                self._problems.add(place, what, remedy)
            else:
                check_file(folder, name, place, self._problems, what="music")
        return tuple(str(folder / name) for name in names)


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
        problems.add(place, found, f"Name the {what} files themselves.")
        return False
    near = nearest(path.name, _neighbours(path.parent))
    remedy = "Put it beside the plan, or correct its name."
    if near:
        remedy = f'Did you mean "{near}"?'
    problems.add(place, f"The {what} file {shown(name)} is not there.", remedy)
    return False


def _neighbours(folder: Path) -> list[str]:
    try:
        paths = itertools.islice(folder.iterdir(), _NEIGHBOURS_LOOKED_AT)
        return sorted(path.name for path in paths if path.suffix)
    except (OSError, ValueError):
        return []
