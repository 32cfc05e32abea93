"""Thousands of hostile plans, cue sheets and sound files, each within its limits.

``python tests/benchmarks/fuzz.py`` tries 10,000 plans, 2,000 cue sheets and 500 sound
files; ``--short`` a few of each, in some seconds. Each is given to the command line as
a stranger's file would be, and must be taken or refused in words: no other error, no
warning of the libraries, nothing that steers a terminal, no more time or memory than
the limits below. What fails is named by its number, and tried again by
``--only KIND NUMBER``, which leaves the file and shows the error. For Linux.
"""

from __future__ import annotations

import argparse
import contextlib
import io
import json
import multiprocessing
import os
import re
import resource
import signal
import sys
import tempfile
import time
import traceback
import warnings
from dataclasses import dataclass
from functools import cache
from multiprocessing.connection import wait
from pathlib import Path
from random import Random
from typing import TYPE_CHECKING, Any

import numpy as np
import soundfile
from msgspec import structs

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))
from cuetrack.cli.main import main as command_line
from cuetrack.cues.tonekinds import ToneKind
from cuetrack.errors import MusicError
from cuetrack.output.track.cue_rows import SegmentRow
from cuetrack.output.track.cuefile import to_json
from cuetrack.output.track.formats import FORMATS
from cuetrack.sound.music import ready_tune
from cuetrack.speech.speaker import StoredSpeaker
from cuetrack.speech.store import ClipStore
from cuetrack.speech.voices import find_voice
from tests.benchmarks import hostile
from tests.output.sounds import noise, written
from tests.verification.tracks import build

WHOLE = {"plan": 10_000, "sheet": 2_000, "sound": 500}
SHORT = {"plan": 160, "sheet": 40, "sound": 40}
MOST_CPU_S = 20
MOST_WALL_S = 300
MOST_MIB = 1024
"""More than the programs themselves take."""
CASES_OF_A_WORKER = 250
_STEERS = re.compile("[\x00-\x09\x0b-\x1f\x7f-\x9f\u202a-\u202e\u2066-\u2069]")


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """What became of one case; ``fault`` is empty where all is well."""

    kind: str
    number: int
    taken: bool = False
    fault: str = ""
    cpu_s: float = 0.0
    peak_mib: int = 0


class TooLongError(Exception):
    """More processor time than one case may take."""


def run_case(kind: str, number: int, folder: Path) -> bool:
    """Try one case; return whether it was taken. Raises whatever goes wrong."""
    draw = Random(f"{kind} {number}")
    return {"plan": try_plan, "sheet": try_sheet, "sound": try_sound}[kind](
        draw, folder
    )


def try_plan(draw: Random, folder: Path) -> bool:
    """Check a plan."""
    path = folder / "case.yaml"
    path.write_bytes(hostile.plan(draw))
    return told(["check", str(path)])


def try_sheet(draw: Random, folder: Path) -> bool:
    """Measure a small track by a cue sheet."""
    track, sheet = good_track(folder)
    path = folder / "case.cues.json"
    path.write_bytes(hostile.cue_sheet(draw, sheet))
    return told(["verify", str(track), "--cues", str(path)])


def try_sound(draw: Random, folder: Path) -> bool:
    """Measure a sound file as a track, or make it ready as music."""
    ending, data = hostile.sound(draw, good_sounds(folder))
    path = folder / f"case.{ending}"
    path.write_bytes(data)
    good_track(folder)
    if draw.random() < 0.5:
        sheet = folder / "good.cues.json"
        return told(["verify", str(path), "--cues", str(sheet), "--brief"])
    try:
        ready_tune(path, folder / "music")
    except MusicError:
        return False
    return True


def told(words: Sequence[str]) -> bool:
    """Run one command; return whether it did its work, raise where it tells wrongly."""
    shown, said = io.StringIO(), io.StringIO()
    with contextlib.redirect_stdout(shown), contextlib.redirect_stderr(said):
        status = command_line(words)
    text = said.getvalue().rstrip()
    if status not in {0, 1}:
        raise AssertionError(f"status {status}: {text}")
    if status == 1 and not text.endswith((".", "?")) and not shown.getvalue():
        raise AssertionError(f"no sentence: {text!r}")
    if odd := _STEERS.search(shown.getvalue() + text):
        raise AssertionError(f"steers a terminal: {odd[0]!r}")
    return bool(status == 0 or shown.getvalue())


@cache
def good_track(folder: Path) -> tuple[Path, dict[str, Any]]:
    """Write a track of some seconds; return it and its cue sheet."""
    speaker = StoredSpeaker(find_voice("espeak-en", "en"), ClipStore())
    texts = ((300, "Sit tall."), (2000, "Heels."), (3500, "Two."), (4500, "One."))
    tones = ((5500, ToneKind.START), (6500, ToneKind.STOP))
    track = build(texts, tones, duration_ms=8000, speaker=speaker)
    segment = SegmentRow(
        id="s1",
        section="Warm-up",
        kind="move",
        movement="heel dig",
        round=None,
        side=None,
        start_ms=0,
        end_ms=8000,
    )
    sheet = structs.replace(track.sheet, voice="espeak-en", segments=(segment,))
    path = folder / "good.wav"
    soundfile.write(path, track.sound(), 48_000)
    path.with_suffix(".cues.json").write_text(to_json(sheet), "utf-8")
    return path, json.loads(to_json(sheet))


@cache
def good_sounds(folder: Path) -> list[tuple[str, bytes]]:
    """Return a small file of each format, mono and stereo, and three kinds of WAV."""
    sounds = [
        (ending, written(folder / f"{channels}.{ending}", sound).read_bytes())
        for ending in FORMATS
        for channels, sound in ((1, noise(192_000)), (2, noise(192_000, 2)))
    ]
    for subtype, rate_hz in (("FLOAT", 44_100), ("PCM_24", 96_000), ("ULAW", 8000)):
        path = folder / "other.wav"
        sound = np.sin(np.arange(4 * rate_hz) * 0.05)
        soundfile.write(path, sound, rate_hz, subtype=subtype)
        sounds.append(("wav", path.read_bytes()))
    return sounds


def answer(kind: str, number: int, folder: Path) -> Outcome:
    """Try one case and tell what became of it."""
    started, fault, taken = time.process_time(), "", False
    Path("/proc/self/clear_refs").write_text("5", "ascii")  # the peak counts anew
    signal.setitimer(signal.ITIMER_PROF, MOST_CPU_S)
    try:
        taken = run_case(kind, number, folder)
    except Exception as error:  # noqa: BLE001 - whatever it is, it is what is looked for
        last = traceback.extract_tb(error.__traceback__)[-1]
        place = f"{Path(last.filename).name}:{last.lineno}"
        fault = f"{type(error).__name__} at {place}: {str(error)[:200]}"
    finally:
        signal.setitimer(signal.ITIMER_PROF, 0)
    return Outcome(
        kind=kind,
        number=number,
        taken=taken,
        fault=fault,
        cpu_s=time.process_time() - started,
        peak_mib=memory_mib("VmHWM"),
    )


def memory_mib(what: str) -> int:
    """Return what Linux says of the memory of this process."""
    told = Path("/proc/self/status").read_text("ascii")
    return int(re.search(rf"{what}:\s+(\d+)", told)[1]) // 1024


def bound(folder: Path) -> None:
    """Let nothing go unseen or without limits in this process."""
    warnings.simplefilter("error")
    warnings.filterwarnings("ignore", "'audioop' is deprecated", DeprecationWarning)
    warnings.filterwarnings("ignore", "Couldn't find ffmpeg", RuntimeWarning)
    os.environ |= {"CUETRACK_STORE": str(folder / "store"), "COLUMNS": "100"}

    def stop(*_: object) -> None:
        raise TooLongError(f"more than {MOST_CPU_S} s of the processor")

    signal.signal(signal.SIGPROF, stop)
    for kind in WHOLE:  # what is loaded and kept by the first case is nobody's fault
        run_case(kind, 0, folder)
    most = (memory_mib("VmSize") + MOST_MIB) * 2**20
    resource.setrlimit(resource.RLIMIT_AS, (most, most))


def work(cases: Sequence[tuple[str, int]], results: Any) -> None:
    """Answer case after case, in a process of its own."""
    with tempfile.TemporaryDirectory() as folder:
        bound(Path(folder))
        for kind, number in cases:
            results.send((kind, number))
            results.send(answer(kind, number, Path(folder)))


def outcomes(cases: list[tuple[str, int]], workers: int) -> Iterator[Outcome]:
    """Yield what becomes of every case, in processes that may die of it."""
    context = multiprocessing.get_context("spawn")
    waiting = [
        cases[at : at + CASES_OF_A_WORKER]
        for at in range(0, len(cases), CASES_OF_A_WORKER)
    ]
    running: dict[Any, list[Any]] = {}  # its process, what it has to do, since when
    while waiting or running:
        while waiting and len(running) < workers:
            batch = waiting.pop(0)
            ours, its = context.Pipe(duplex=False)
            process = context.Process(target=work, args=(batch, its))
            process.start()
            its.close()
            running[ours] = [process, batch, time.monotonic()]
        for ours in wait(list(running), timeout=5):
            try:
                news = ours.recv()
            except EOFError:
                process, batch, _ = running.pop(ours)
                process.join()
                if batch:
                    yield _lost(batch.pop(0), f"died with status {process.exitcode}")
                    waiting.insert(0, batch)
                continue
            running[ours][2] = time.monotonic()
            if isinstance(news, Outcome):
                running[ours][1].pop(0)
                yield news
        for process, _, since in running.values():
            if time.monotonic() - since > MOST_WALL_S:
                process.kill()


def _lost(case: tuple[str, int], fault: str) -> Outcome:
    return Outcome(kind=case[0], number=case[1], fault=fault)


def main() -> int:
    """Try what was asked for, show a table, and return 1 where anything failed."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--short", action="store_true")
    parser.add_argument("--workers", type=int, default=2)
    parser.add_argument("--first", type=int, default=1, help="number of the first case")
    parser.add_argument("--only", nargs=2, metavar=("KIND", "NUMBER"))
    arguments = parser.parse_args()
    if arguments.only:
        folder = Path(tempfile.mkdtemp())
        bound(folder)
        say(f"in {folder}")
        say(f"taken: {run_case(arguments.only[0], int(arguments.only[1]), folder)}")
        return 0
    counts = SHORT if arguments.short else WHOLE
    cases = [
        (kind, arguments.first + number)
        for kind, count in counts.items()
        for number in range(count)
    ]
    found: list[Outcome] = []
    for outcome in outcomes(cases, arguments.workers):
        found.append(outcome)
        if outcome.fault:
            say(f"{outcome.kind} {outcome.number}: {outcome.fault}")
    say("kind     tried   taken  refused  failed  most CPU s  most MiB")
    for kind in counts:
        of_kind = [one for one in found if one.kind == kind]
        taken = sum(one.taken for one in of_kind)
        failed = sum(bool(one.fault) for one in of_kind)
        cpu_s, mib = (
            max(getattr(one, k) for one in of_kind) for k in ("cpu_s", "peak_mib")
        )
        refused = len(of_kind) - taken - failed
        say(
            f"{kind:6}{len(of_kind):8}{taken:8}{refused:9}{failed:8}{cpu_s:12.1f}{mib:10}"
        )
    return int(any(one.fault for one in found) or len(found) < len(cases))


def say(line: str) -> None:
    """Print a line."""
    sys.stdout.write(line + "\n")
    sys.stdout.flush()


if __name__ == "__main__":
    sys.exit(main())
