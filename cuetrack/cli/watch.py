"""The progress bar: one line a stage, on the error stream, only for people."""

from __future__ import annotations

import time
from contextlib import contextmanager
from typing import TYPE_CHECKING

from rich.progress import (
    BarColumn,
    Progress,
    TaskID,
    TaskProgressColumn,
    TextColumn,
    TimeElapsedColumn,
)

from cuetrack.cli.show import console
from cuetrack.pipeline.watching import unwatched

if TYPE_CHECKING:
    from collections.abc import Iterator

    from rich.console import Console

    from cuetrack.pipeline.watching import Watcher

SECONDS_BETWEEN_LINES = 10.0


@contextmanager
def watching(*, quiet: bool) -> Iterator[Watcher]:
    """Give a watcher that draws one bar per stage; draw nothing when quiet.

    On anything but a terminal nothing is drawn: what takes long tells a line now and
    then, so logs stay readable.
    """
    screen = console(stderr=True)
    if not screen.is_terminal:
        yield unwatched if quiet else _telling(screen)
        return
    bars = Progress(
        TextColumn("{task.description:<22}", markup=False),
        BarColumn(bar_width=None),
        TaskProgressColumn(),
        TimeElapsedColumn(),
        console=screen,
        disable=quiet,
    )
    tasks: dict[str, TaskID] = {}

    def watch(stage: str, done: int, total: int) -> None:
        if stage not in tasks:
            tasks[stage] = bars.add_task(stage, total=max(total, 1))
        bars.update(tasks[stage], completed=done if total else 1, total=max(total, 1))

    with bars:
        yield watch


def _telling(screen: Console) -> Watcher:
    """Return a watcher that prints how far a stage is, seldom."""
    told_at_s = time.monotonic()

    def watch(stage: str, done: int, total: int) -> None:
        nonlocal told_at_s
        if time.monotonic() - told_at_s >= SECONDS_BETWEEN_LINES:
            told_at_s = time.monotonic()
            screen.print(f"{stage}: {100 * done // max(total, 1)} %")

    return watch
