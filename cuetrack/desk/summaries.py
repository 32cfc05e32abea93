"""What the list of a folder shows of each class: its title, length and strip."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING, Any

from cuetrack.cues.timeline import lay_out
from cuetrack.desk.look import bars_of
from cuetrack.desk.shelf import MOST_PLANS, id_of, shown_name
from cuetrack.desk.templating import told_lines
from cuetrack.errors import CuetrackError
from cuetrack.output.track.files import safe_name
from cuetrack.output.track.formats import FORMATS
from cuetrack.pipeline.checking import plan_from_text
from cuetrack.times import clock

if TYPE_CHECKING:
    from pathlib import Path

    from cuetrack.desk.shelf import Shelf


@dataclass(frozen=True, slots=True, kw_only=True)
class Summary:
    """A class in the list of the folder; ``trouble`` is why it cannot be shown."""

    id: str
    title: str
    length: str = ""
    bars: tuple[Any, ...] = ()
    made: bool
    trouble: str = ""


def summaries_of(shelf: Shelf) -> tuple[Summary, ...]:
    """Return a summary of each plan; a file is read again when it has changed."""
    tracks, found = shelf.tracks(), []
    for one in shelf.plans():
        names = (f"{safe_name(one.path.stem)}.{ending}" for ending in FORMATS)
        found.append(_summary(one.path, _state(one.path), not tracks.isdisjoint(names)))
    return tuple(found)


def _state(path: Path) -> tuple[int, ...]:
    """Return what tells that a file is not as it was; nothing of one that is gone."""
    try:
        status = path.stat()
    except OSError:
        return ()
    return status.st_ino, status.st_mtime_ns, status.st_size


@lru_cache(MOST_PLANS)
def _summary(path: Path, _: tuple[int, ...], made: bool) -> Summary:  # noqa: FBT001
    try:
        plan = plan_from_text(path.read_text("utf-8"), path)
        timeline = lay_out(plan)
    except (CuetrackError, OSError, UnicodeDecodeError) as error:
        trouble = next(told_lines(error))
        title = shown_name(path)
        return Summary(id=id_of(path.name), title=title, made=made, trouble=trouble)
    return Summary(
        id=id_of(path.name),
        title=plan.title,
        length=clock(timeline.end_ms),
        bars=bars_of(timeline),
        made=made,
    )
