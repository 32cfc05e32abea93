"""One piece of work, done in whatever process it is given to; it never raises."""

from __future__ import annotations

import time
from dataclasses import replace
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING

import msgspec

from cuetrack.claims import claimed
from cuetrack.errors import CuetrackError
from cuetrack.pipeline.checking import read_plan
from cuetrack.pipeline.handing_out import IN_ALL, Handout
from cuetrack.pipeline.receipts import unchanged
from cuetrack.speech.records import default_folder

if TYPE_CHECKING:
    from cuetrack.batch.work import Work
    from cuetrack.plan.model import Plan

CLAIMS = "claims-on-tracks"
"""The folder of the clip store in which processes say which track they make."""


class WorkState(StrEnum):
    """What became of a piece of work."""

    MADE = "made"
    UNCHANGED = "unchanged"
    FAILED = "failed"


class Outcome(msgspec.Struct, frozen=True, kw_only=True):
    """What became of one track; ``problems`` say why there is none.

    ``took_s`` is the time by the clock, with the wait for another process that was
    making the same track. Lengths are None where there is no track, ``spoken_anew``
    too where it was there already.
    """

    plan: str
    voice: str | None
    format: str
    track: str
    state: WorkState
    took_s: float
    duration_ms: int | None = None
    spoken_anew: int | None = None
    problems: tuple[str, ...] = ()


class _Lasting(msgspec.Struct):
    """What is wanted of the report on an earlier make."""

    duration_ms: int


def do(work: Work) -> Outcome:
    """Make a track, if it is not there as it should be, and tell what became of it."""
    started = time.perf_counter()
    try:
        with claimed(default_folder() / CLAIMS, str(work.track.resolve())):
            outcome = _done(work)
    except CuetrackError as error:
        outcome = failed(work, *map(str, error.problems))
    except Exception as error:  # noqa: BLE001 - one plan never stops the others
        told = f"{type(error).__name__}: {error}"
        outcome = failed(work, f"{work.plan}: This is a fault of cuetrack. {told}")
    took_s = round(time.perf_counter() - started, 3)
    return msgspec.structs.replace(outcome, took_s=took_s)


def failed(work: Work, *problems: str) -> Outcome:
    """Return the outcome of work that came to nothing."""
    return _outcome(work, WorkState.FAILED, problems=problems or ("It failed.",))


def _done(work: Work) -> Outcome:
    plan = read_plan(work.plan)
    if work.voice is not None:
        plan = replace(plan, voice=work.voice)
    handouts = IN_ALL if work.handouts else ()
    last = unchanged(work.track, plan, extension=work.format, handouts=handouts)
    if last is not None:
        report = msgspec.json.decode(last.report, type=_Lasting)
        return _outcome(work, WorkState.UNCHANGED, duration_ms=report.duration_ms)
    return _made(work, plan, handouts)


def _made(work: Work, plan: Plan, handouts: tuple[Handout, ...]) -> Outcome:
    from cuetrack.pipeline.making import (  # noqa: PLC0415 - takes a second to load
        MakeRequest,
        make,
    )

    request = MakeRequest(
        folder=Path(work.folder),
        format=work.format,
        overwrite=work.overwrite,
        renew=True,
        handouts=handouts,
    )
    made = make(plan, request)
    return _outcome(
        work,
        WorkState.MADE,
        duration_ms=made.cue_file.duration_ms,
        spoken_anew=made.spoken_anew,
    )


def _outcome(
    work: Work,
    state: WorkState,
    *,
    duration_ms: int | None = None,
    spoken_anew: int | None = None,
    problems: tuple[str, ...] = (),
) -> Outcome:
    return Outcome(
        plan=work.plan,
        voice=work.voice,
        format=work.format,
        track=str(work.track),
        state=state,
        took_s=0,
        duration_ms=duration_ms,
        spoken_anew=spoken_anew,
        problems=problems,
    )
