"""Work done by several processes of this machine, any of which may die."""

from __future__ import annotations

import multiprocessing
import signal
from collections import deque
from contextlib import suppress
from dataclasses import dataclass
from multiprocessing.connection import wait
from typing import TYPE_CHECKING

from cuetrack.batch.doing import do, failed
from cuetrack.stopping import Stopped, heeding_stops

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator
    from multiprocessing.connection import Connection
    from multiprocessing.process import BaseProcess

    from cuetrack.batch.doing import Outcome
    from cuetrack.batch.work import Work

MOST_TRIES = 2
"""A process may be ended because another took all the memory; not twice."""

_STOP_S = 30


def done_by_processes(works: Iterable[Work], count: int) -> Iterator[Outcome]:
    """Yield what becomes of each piece of work, as it is done by ``count`` processes.

    A process that dies is replaced, and what it was at is tried once more. Whatever
    ends the iteration stops them all.
    """
    waiting = deque(_Task(work=work) for work in works)
    workers = [_WorkProcess() for _ in range(min(count, len(waiting)))]
    try:
        for worker in workers:
            worker.begin(waiting.popleft())
        while busy := {one.link: one for one in workers if one.task is not None}:
            for link in wait(list(busy)):
                worker = busy[link]  # type: ignore[index]
                outcome = worker.outcome(waiting)
                if waiting:
                    worker.begin(waiting.popleft())
                if outcome is not None:
                    yield outcome
    finally:
        for worker in workers:
            worker.stop()


@dataclass(slots=True, kw_only=True)
class _Task:
    work: Work
    tries: int = 0


class _WorkProcess:
    """A process at the other end of a pipe, and what it is at."""

    def __init__(self) -> None:
        self.task: _Task | None = None
        self._start()

    def _start(self) -> None:
        context = multiprocessing.get_context("spawn")
        self.link, theirs = context.Pipe()
        self._process: BaseProcess = context.Process(
            target=_serve, args=(theirs,), daemon=True
        )
        self._process.start()
        theirs.close()

    def begin(self, task: _Task) -> None:
        """Give it something to do."""
        self.task = task
        task.tries += 1
        with suppress(OSError):  # Should it have died, `outcome` finds out.
            self.link.send(task.work)

    def outcome(self, waiting: deque[_Task]) -> Outcome | None:
        """Return what came of it; None where it died and the task waits again."""
        task, self.task = self.task, None
        try:
            found: Outcome = self.link.recv()
        except (EOFError, OSError):
            ended = self._ended()
            self._start()
            if task is None:
                return None
            if task.tries < MOST_TRIES:
                waiting.append(task)
                return None
            return failed(task.work, f"{task.work.plan}: {ended}")
        return found

    def _ended(self) -> str:
        self.stop()
        code = self._process.exitcode or 0
        how = f"was killed by signal {-code}" if code < 0 else f"ended with {code}"
        return (
            f"The process that made it {how}, {MOST_TRIES} times. If memory is short, "
            "use fewer processes with --processes."
        )

    def stop(self) -> None:
        """End the process; it cleans up what it was writing."""
        self._process.terminate()
        self._process.join(_STOP_S)
        if self._process.is_alive():
            self._process.kill()
            self._process.join()
        self.link.close()


def _serve(link: Connection) -> None:
    """Do what comes through the pipe until it is closed; Ctrl-C is for the parent."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    with suppress(EOFError, OSError, Stopped), heeding_stops():
        while True:
            link.send(do(link.recv()))
