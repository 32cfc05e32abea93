"""Writing files that belong together, so that they are replaced together.

A track beside the cue sheet of an older one would be measured, captioned and
followed wrongly. The whole set is written into a hidden folder beside its place;
then the old files are set aside and the new ones take their names.
"""

from __future__ import annotations

import os
import shutil
import time
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

from cuetrack.errors import OutputError
from cuetrack.output.track.files import (
    SCRAP,
    explained,
    refuse_folders,
    refuse_taken,
    scrap_beside,
    take_name,
)
from cuetrack.stopping import undisturbed

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

_OLD = ".old"
_SCRAP_AGE_S = 60 * 60
_SWAP_AGE_S = 60
"""No swap takes so long, and no writer leaves its files alone for so long."""


@contextmanager
def replacing_set(paths: Sequence[Path], *, overwrite: bool) -> Iterator[Path]:
    """Give a hidden folder whose files become ``paths`` together if all goes well.

    The body writes a file of the same name for each of ``paths``, which are of one
    folder, made if it is not there. On any exception, an interruption included, what
    it wrote is removed and every file stays as it was. What writers that were killed
    long ago left in the folder is cleared away.

    Raises
    ------
    OutputError
        When a file is already there and may not be replaced, or the folder, the
        disk or the rights do not allow it.
    """
    folder = paths[0].parent
    with explained(folder):
        folder.mkdir(parents=True, exist_ok=True)
    sweep(folder)
    refuse_folders(paths)
    if not overwrite:
        refuse_taken(paths)
    aside = scrap_beside(paths[0])
    with explained(folder):
        aside.mkdir()
    try:
        with _told_of(folder, aside):
            yield aside
        with undisturbed():
            _swap(aside, paths, overwrite=overwrite)
    finally:
        shutil.rmtree(aside, ignore_errors=True)


def sweep(folder: Path) -> None:
    """Clear away what writers left in a folder that were killed long ago.

    A set whose swap had begun is whole: its files take the names that are free.
    """
    for scrap in folder.glob(f".*{SCRAP}"):
        try:
            _clear(scrap)
        except OSError:
            continue  # Another's, or just gone: no reason to stop.


def _clear(scrap: Path) -> None:
    if not scrap.is_dir():
        if _age_s(scrap) > _SCRAP_AGE_S:
            scrap.unlink(missing_ok=True)
        return
    youngest_s = min(map(_age_s, (scrap, *scrap.iterdir())))
    if (scrap / _OLD).exists() and youngest_s > _SWAP_AGE_S:
        for new in scrap.glob("[!.]*"):
            if not os.path.lexists(scrap.parent / new.name):
                new.rename(scrap.parent / new.name)
        shutil.rmtree(scrap)
    elif youngest_s > _SCRAP_AGE_S:
        shutil.rmtree(scrap)


def _age_s(path: Path) -> float:
    return time.time() - path.stat().st_mtime


def _swap(aside: Path, paths: Sequence[Path], *, overwrite: bool) -> None:
    """Set the old files aside and let the new take their names, or put all back."""
    old = aside / _OLD
    with explained(aside.parent):
        old.mkdir()
    gone: list[Path] = []
    placed: list[Path] = []
    try:
        for path in paths:
            if overwrite and os.path.lexists(path):
                with explained(path):
                    path.rename(old / path.name)
                gone.append(path)
        for path in paths:
            with explained(path):
                take_name(aside / path.name, path, overwrite=False)
            placed.append(path)
    except BaseException:
        for path in placed:
            path.unlink()
        for path in gone:
            (old / path.name).rename(path)
        raise


@contextmanager
def _told_of(folder: Path, aside: Path) -> Iterator[None]:
    """Name the file of the set in errors, not the one that was written for it."""
    try:
        yield
    except OutputError as error:
        (problem,) = error.problems
        if Path(problem.file).parent != aside:
            raise
        file = folder / Path(problem.file).name
        raise OutputError(problem.what, problem.remedy, file=file) from error
