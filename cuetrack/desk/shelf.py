"""The plans of one folder, each known to the browser by an id and never by a path."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from cuetrack.batch.work import PLAN_SUFFIXES
from cuetrack.errors import CuetrackError
from cuetrack.output.track.files import safe_name
from cuetrack.output.track.formats import FORMATS

if TYPE_CHECKING:
    from pathlib import Path

LARGEST_PLAN_BYTES: Final = 1 << 20
MOST_PLANS: Final = 1000
MADE_SUFFIXES: Final = frozenset(
    {".html", ".json", ".mp4", ".pdf", ".png", ".srt", ".svg", ".txt", ".vtt"}
) | {f".{ending}" for ending in FORMATS}
"""What cuetrack makes; a page or a script that a stick brings is never served."""


class NotOnTheShelfError(CuetrackError):
    """No plan of this folder has that id, or no file of it that name."""

    id = "desk"


@dataclass(frozen=True, slots=True, kw_only=True)
class ShelvedPlan:
    """A plan file and its id."""

    id: str
    path: Path


class Shelf:
    """A folder whose plans may be opened; nothing outside of it may."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder.resolve()

    def plans(self) -> tuple[ShelvedPlan, ...]:
        """Return the plans in the order of their names."""
        found = (path for path in sorted(self.folder.iterdir()) if self._is_plan(path))
        shelved = (ShelvedPlan(id=id_of(path.name), path=path) for path in found)
        return tuple(one for one, _ in zip(shelved, range(MOST_PLANS), strict=False))

    def plan(self, plan_id: str) -> Path:
        """Return the file of a plan. Raises NotOnTheShelfError when there is none."""
        for one in self.plans():
            if one.id == plan_id:
                return one.path
        raise NotOnTheShelfError("This class is no longer in the folder.")

    def new_path(self, title: str) -> Path:
        """Return a file that is not there yet, named after a title."""
        base = safe_name(title.casefold().replace(",", "").replace(" ", "-")) or "class"
        return self.free_path(base, ".yaml")

    def free_path(self, base: str, suffix: str) -> Path:
        """Return a file that is not there yet, nor is anything of its name.

        What is made of a plan has the plan's name: a tune of that name would be taken
        for its track, and written over by the next make.
        """
        there = [path.name.casefold() for path in self.folder.iterdir()]
        tried, number = base, 2
        while any(name.startswith(f"{tried}.".casefold()) for name in there):
            tried, number = f"{base}-{number}", number + 1
        return self.folder / f"{tried}{suffix}"

    def made_names(self) -> frozenset[str]:
        """Return the names of what was made of any plan here."""
        bases = tuple(f"{safe_name(one.path.stem)}." for one in self.plans())
        there = (path.name for path in self.folder.iterdir())
        return frozenset(name for name in there if name.startswith(bases))

    def tracks(self) -> frozenset[str]:
        """Return the names of the tracks in the folder."""
        return frozenset(
            path.name
            for path in self.folder.iterdir()
            if path.suffix[1:] in FORMATS and self._is_shown(path)
        )

    def made(self, plan: Path) -> dict[str, Path]:
        """Return what was made of a plan, by what follows the name, the track first."""
        base = f"{safe_name(plan.stem)}."
        found = {
            path.name.removeprefix(base): path
            for path in sorted(self.folder.iterdir())
            if path.name.startswith(base) and path != plan and self._is_shown(path)
        }
        tracks = [ending for ending in FORMATS if ending in found]
        return {ending: found[ending] for ending in dict.fromkeys([*tracks, *found])}

    def _is_plan(self, path: Path) -> bool:
        if path.suffix.casefold() not in PLAN_SUFFIXES or path.name.startswith("."):
            return False
        return self._is_inside(path) and path.stat().st_size <= LARGEST_PLAN_BYTES

    def _is_shown(self, path: Path) -> bool:
        """Whether a file lies inside, is of a made kind, and its name is text."""
        known = path.suffix in MADE_SUFFIXES and shown_name(path) == path.name
        return known and self._is_inside(path)

    def _is_inside(self, path: Path) -> bool:
        """Whether a file lies in the folder itself, links followed."""
        try:
            real = path.resolve(strict=True)
        except (OSError, RuntimeError):
            return False
        return real.is_file() and real.parent == self.folder


def shown_name(path: Path) -> str:
    """Return a file's name as text; what is none is shown as question marks."""
    return path.name.encode("utf-8", "replace").decode()


def id_of(name: str) -> str:
    """Return the id of a file name, which tells nothing of it.

    >>> len(id_of("monday.yaml"))
    16
    """
    return hashlib.blake2b(
        name.encode("utf-8", "surrogateescape"), digest_size=8
    ).hexdigest()
