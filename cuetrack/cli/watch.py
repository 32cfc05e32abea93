"""The progress bar: one line a stage, on the error stream, only for people."""

from __future__ import annotations

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

if TYPE_CHECKING:
    from collections.abc import Iterator

    from cuetrack.pipeline.watching import Watcher


@contextmanager
def watching(*, quiet: bool) -> Iterator[Watcher]:
    """Give a watcher that draws one bar per stage; draw nothing when quiet.

    On anything but a terminal nothing is drawn, so logs stay readable.
    """
    screen = console(stderr=True)
    bars = Progress(
        TextColumn("{task.description:<22}", markup=False),
        BarColumn(bar_width=None),
        TaskProgressColumn(),
        TimeElapsedColumn(),
        console=screen,
        disable=quiet or not screen.is_terminal,
    )
    tasks: dict[str, TaskID] = {}

    def watch(stage: str, done: int, total: int) -> None:
        if stage not in tasks:
            tasks[stage] = bars.add_task(stage, total=max(total, 1))
        bars.update(tasks[stage], completed=done if total else 1, total=max(total, 1))

    with bars:
        yield watch
