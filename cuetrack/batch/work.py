"""The tracks a batch is to make: each plan in each voice and format."""

from __future__ import annotations

from collections import defaultdict
from itertools import product
from pathlib import Path
from typing import TYPE_CHECKING

import msgspec

from cuetrack.errors import UsageError
from cuetrack.output.track.files import safe_name

if TYPE_CHECKING:
    from collections.abc import Sequence

PLAN_SUFFIXES = frozenset({".yaml", ".yml"})


class Work(msgspec.Struct, frozen=True, kw_only=True):
    """One track to make.

    ``voice`` is None for that of the plan. ``overwrite`` lets files be replaced that
    no make of this program wrote, or that were changed since.
    """

    plan: str
    folder: str
    format: str
    voice: str | None = None
    handouts: bool = False
    overwrite: bool = False

    @property
    def track(self) -> Path:
        """The file the track will be."""
        return Path(self.folder) / f"{safe_name(Path(self.plan).stem)}.{self.format}"


def plans_of(source: Path) -> list[Path]:
    """Return the plans in a folder, or those that a list names, a line each.

    The names in a list count from its own folder; empty lines and those that start
    with ``#`` are passed over. A folder is read without those inside it.

    Raises
    ------
    UsageError
        When there is no such folder or list, or no plan in it.
    """
    if source.is_dir():
        plans = sorted(
            path
            for path in source.iterdir()
            if path.suffix.lower() in PLAN_SUFFIXES and path.is_file()
        )
    elif source.suffix.lower() in PLAN_SUFFIXES:
        raise UsageError(
            f"{source} is a plan, or not there. Name a folder of plans, or a list of "
            "them in a text file; one plan alone is made by `cuetrack make`."
        )
    else:
        plans = _listed(source)
    if not plans:
        raise UsageError(f"There is no plan in {source}: files that end in .yaml.")
    return plans


def _listed(source: Path) -> list[Path]:
    try:
        lines = source.read_text(encoding="utf-8-sig").splitlines()
    except (OSError, UnicodeDecodeError) as error:
        raise UsageError(
            f"{source} is no folder, and no list of plans in UTF-8 can be read there "
            f"({error})."
        ) from error
    names = [line.strip() for line in lines]
    return [source.parent / name for name in names if name and name[0] != "#"]


def works_of(
    plans: Sequence[Path],
    *,
    out: Path,
    formats: Sequence[str],
    voices: Sequence[str | None],
    handouts: bool = False,
    overwrite: bool = False,
) -> list[Work]:
    """Return the work on each plan in each voice and format, in their order.

    Where there are several voices or formats, each has a folder of its own in ``out``.

    Raises
    ------
    UsageError
        When two tracks would have the same name.
    """
    works = []
    for plan, voice, extension in product(plans, voices, formats):
        parts = [safe_name(Path(voice or "").name)] if len(voices) > 1 else []
        parts += [extension] if len(formats) > 1 else []
        works.append(
            Work(
                plan=str(plan),
                folder=str(out.joinpath(*parts)),
                format=extension,
                voice=voice,
                handouts=handouts,
                overwrite=overwrite,
            )
        )
    _refuse_same_names(works)
    return works


def _refuse_same_names(works: Sequence[Work]) -> None:
    plans = defaultdict(list)
    for work in works:
        plans[str(work.track).casefold()].append(work)
    for same in plans.values():
        if len(same) > 1:
            names = " and ".join(work.plan for work in same)
            raise UsageError(
                f"{names} would both become {same[0].track}. Give one another name, or "
                "make them into different folders."
            )


def part_of(works: Sequence[Work], part: str) -> list[Work]:
    """Return the ``K``-th of ``N`` parts, as ``K/N`` says; every N-th piece of work.

    Raises
    ------
    UsageError
        When it says no such thing.
    """
    left, _, right = part.partition("/")
    if left.isdecimal() and right.isdecimal() and 1 <= int(left) <= int(right):
        return list(works[int(left) - 1 :: int(right)])
    raise UsageError(f"--part {part}: say K/N with K from 1 to N, such as 3/8.")
