"""Long work in a process of its own, so that the page never stalls.

A make goes on when its tab is closed, and stops when it is cancelled; whatever it
wrote to then is as it was before.
"""

from __future__ import annotations

import multiprocessing
import threading
import time
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

from cuetrack.errors import CuetrackError

if TYPE_CHECKING:
    from multiprocessing.connection import Connection
    from multiprocessing.process import BaseProcess

_SPAWN: Final = multiprocessing.get_context("spawn")
SHARES: Final = {
    "reading the music": 0.02,
    "readying the music": 0.05,
    "speaking": 0.65,
    "hearing the mix": 0.05,
    "measuring the mix": 0.05,
    "writing the track": 0.13,
    "making the handouts": 0.05,
}
"""How much of the whole work each stage is about; speech is most of a first make."""
A_WHILE_S: Final = 300.0
"""How long a piece, a fit or a tune may take on a slow or busy computer."""
WHOLE_TRACK_S: Final = 3600.0
"""The same for what goes through a whole track, three hours at most."""
FILM_STAGE: Final = "making the film"
FILM_SHARE: Final = 0.6
"""The film's part of a make with one: it takes longer than all the rest."""


@dataclass(slots=True)
class MakeState:
    """How far a make has come: ``running``, ``done``, ``failed`` or ``cancelled``."""

    state: str = "running"
    stage: str = ""
    share: float = 0.0
    started_s: float = 0.0
    told: str = ""
    film: bool = False

    @property
    def minutes_left(self) -> int | None:
        """How long it will take, by the time so far; None while it is too early.

        In whole minutes, 0 for less than one: no more can be known before it is done.
        """
        passed_s = time.monotonic() - self.started_s
        if self.state != "running" or self.share < 0.05 or passed_s < 2:
            return None
        return round(passed_s * (1 - self.share) / self.share / 60)


class Maker:
    """Makes one track of each plan at a time, each in a process of its own."""

    def __init__(self) -> None:
        self._states: dict[str, MakeState] = {}
        self._processes: dict[str, BaseProcess] = {}
        self._lock = threading.Lock()

    def state(self, plan_id: str) -> MakeState | None:
        """Return how far the last make of a plan is, None where there was none."""
        return self._states.get(plan_id)

    def start(self, plan_id: str, plan: Path, *, film: bool = False) -> None:
        """Begin to make a plan's track and what goes with it, unless that runs."""
        with self._lock:
            state = self._states.get(plan_id)
            if state is not None and state.state == "running":
                return
            mine, theirs = _SPAWN.Pipe(duplex=False)
            process = _SPAWN.Process(
                target=_make, args=(str(plan), film, theirs), daemon=True
            )
            state = MakeState(started_s=time.monotonic(), film=film)
            self._states[plan_id], self._processes[plan_id] = state, process
            process.start()
        theirs.close()
        threading.Thread(target=_watch, args=(mine, state), daemon=True).start()

    def cancel(self, plan_id: str) -> None:
        """Stop a make that runs."""
        with self._lock:
            process, state = self._processes.get(plan_id), self._states.get(plan_id)
            if process is not None and state is not None and state.state == "running":
                state.state = "cancelled"
                process.terminate()

    def close(self) -> None:
        """Stop all that runs."""
        for plan_id in tuple(self._processes):
            self.cancel(plan_id)


def _watch(messages: Connection, state: MakeState) -> None:
    while state.state == "running":
        try:
            kind, content = messages.recv()
        except (EOFError, OSError):
            if state.state == "running":
                state.state, state.told = "failed", "The make ended without a word."
            return
        if kind == "stage":
            step(state, *content)
        else:
            state.state, state.told = kind, content
    messages.close()


def step(state: MakeState, stage: str, done: int, total: int) -> None:
    """Take in how far a stage has come."""
    before, rest = 0.0, 1.0 - FILM_SHARE if state.film else 1.0
    shares = {name: share * rest for name, share in SHARES.items()}
    for name, share in (shares | {FILM_STAGE: FILM_SHARE}).items():
        if name == stage:
            reached = before + share * done / max(total, 1)
            state.stage, state.share = stage, max(state.share, reached)
            return
        before += share


def _make(plan: str, film: bool, messages: Connection) -> None:  # noqa: FBT001
    """Make a track; runs in the process of its own."""
    from cuetrack.pipeline.checking import read_plan  # noqa: PLC0415 - loads the sound
    from cuetrack.pipeline.handing_out import IN_ALL, Handout  # noqa: PLC0415
    from cuetrack.pipeline.making import MakeRequest, make  # noqa: PLC0415
    from cuetrack.stopping import heeding_stops  # noqa: PLC0415

    def watch(stage: str, done: int, total: int) -> None:
        messages.send(("stage", (stage, done, total)))

    path = Path(plan)
    handouts = (*IN_ALL, Handout.FILM) if film else IN_ALL
    request = MakeRequest(
        folder=path.parent, overwrite=True, handouts=handouts, watch=watch
    )
    try:
        with heeding_stops():
            made = make(read_plan(path), request)
    except CuetrackError as error:
        messages.send(("failed", str(error)))
    except OSError as error:
        messages.send(("failed", error.strerror or str(error)))
    else:
        messages.send(("done", made.files.track.name))


def in_process(target: Any, *arguments: Any, seconds: float = A_WHILE_S) -> Any:  # noqa: ANN401
    """Return what ``target(*arguments)`` gives, run in a process of its own.

    Raises CuetrackError when it does, or when it takes too long.
    """
    mine, theirs = _SPAWN.Pipe(duplex=False)
    process = _SPAWN.Process(target=_run, args=(target, arguments, theirs), daemon=True)
    process.start()
    theirs.close()
    try:
        if not mine.poll(seconds):
            raise CuetrackError(
                "That took too long.", "Try it when this computer has less to do."
            )
        good, result = mine.recv()
    except EOFError as error:
        raise CuetrackError("That ended without a word.", "Try it again.") from error
    finally:
        process.terminate()
        mine.close()
    if not good:
        raise CuetrackError(result)
    return result


def _run(target: Any, arguments: tuple[Any, ...], messages: Connection) -> None:  # noqa: ANN401
    try:
        messages.send((True, target(*arguments)))
    except (CuetrackError, OSError) as error:
        messages.send((False, str(error)))
