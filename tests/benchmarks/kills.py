"""Makes that are killed at any moment, and the make after each of them.

``python tests/benchmarks/kills.py`` kills 100 makes of a short class, by SIGKILL and
SIGTERM, with an empty clip store and a full one, with and without ``--all`` and by
``batch``, into an empty folder and over the files of an older class. After each kill
the folder must hold the old set, the new set or nothing, never some of both, and the
next make must give files that are bit for bit those of a make that nobody disturbed.
A batch that is killed by force leaves processes that finish what they are at; of it
only what the next one gives is looked at. For Linux and macOS.
"""

from __future__ import annotations

import argparse
import hashlib
import os
import shutil
import signal
import subprocess
import sys
import tempfile
import time
from collections import Counter
from dataclasses import dataclass
from itertools import product
from pathlib import Path
from random import Random

TOP = Path(__file__).resolve().parents[2]
CLASS = """\
title: {title}
voice: espeak-en
welcome: none
warm-up: [easy march: 20 s]
close: none
"""
SCRAP = ".cuetrack-part"
COMMANDS = ("make", "make --all", "batch")

Files = dict[str, str]


@dataclass(frozen=True, slots=True, kw_only=True)
class Way:
    """One way to make and to kill."""

    number: signal.Signals
    cold: bool
    command: str
    over_older: bool

    def __str__(self) -> str:
        """Return it in words."""
        return (
            f"{self.number.name} {self.command} {'cold' if self.cold else 'warm'}"
            f"{' over older' if self.over_older else ''}"
        )


class Workshop:
    """A folder with plans, stores, and what undisturbed makes give."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.plans = {}
        for name, title in (("new", "Monday"), ("older", "The older one")):
            self.plans[name] = folder / name
            self.plans[name].mkdir()
            for plan in ("class", "second"):
                text = CLASS.format(title=f"{title}, {plan}")
                (folder / name / f"{plan}.yaml").write_text(text, "utf-8")
        self.full_store = folder / "full"
        self.expected: dict[tuple[str, str], Files] = {}
        self.lasts_s: dict[tuple[bool, str], float] = {}
        for command in COMMANDS:
            for name in self.plans:
                out = folder / f"{name} {command}"
                assert finished(self.start(command, name, out, self.full_store)) == 0
                self.expected[name, command] = files_in(out)
            for cold in (True, False):
                out, store = folder / "timed", folder / "timed store"
                store = store if cold else self.full_store
                started = time.monotonic()
                assert finished(self.start(command, "new", out, store)) == 0
                self.lasts_s[cold, command] = time.monotonic() - started
                if files_in(out) != self.expected["new", command]:
                    raise AssertionError("two makes differ that nobody disturbed")
                shutil.rmtree(out)
                shutil.rmtree(folder / "timed store", ignore_errors=True)

    def start(
        self, command: str, name: str, out: Path, store: Path
    ) -> subprocess.Popen[str]:
        """Start a make, or a batch."""
        verb, *options = command.split()
        plans = self.plans[name] / "class.yaml" if verb == "make" else self.plans[name]
        words = [verb, str(plans), "--out", str(out), "--overwrite", *options]
        return subprocess.Popen(
            [sys.executable, "-m", "cuetrack", *words],
            cwd=TOP,
            env=os.environ | {"CUETRACK_STORE": str(store)},
            stdout=subprocess.DEVNULL,
            stderr=subprocess.PIPE,
            text=True,
        )

    def kill_one(self, way: Way, share: float) -> tuple[str, list[str]]:
        """Kill a make after a share of its time; return what it left, and faults."""
        out, store = self.folder / "out", self.folder / "store"
        for folder in (out, store):
            shutil.rmtree(folder, ignore_errors=True)
        if not way.cold:
            shutil.copytree(self.full_store, store)
        if way.over_older:
            shutil.copytree(self.folder / f"older {way.command}", out)
        process = self.start(way.command, "new", out, store)
        time.sleep(share * self.lasts_s[way.cold, way.command])
        process.send_signal(way.number)
        status = finished(process)
        left = self.left_in(out, way)
        faults = [] if left != "some of both" else [f"{left}: {sorted(files_in(out))}"]
        if way.number is signal.SIGTERM and status not in {0, 143, -15}:
            faults.append(f"status {status}")
        if status == 143 and (scraps := scraps_in(out)):
            faults.append(f"left {scraps}")
        if finished(self.start(way.command, "new", out, store)) != 0:
            faults.append("the next make failed")
        elif files_in(out) != self.expected["new", way.command]:
            faults.append("the next make gave other files")
        return left, faults

    def left_in(self, out: Path, way: Way) -> str:
        """Say which set lies in a folder."""
        found = files_in(out)
        if found == self.expected["new", way.command]:
            return "the new set"
        before = self.expected["older", way.command] if way.over_older else {}
        if way.command == "batch" and found != before:
            return "some tracks"
        return "as it was" if found == before else "some of both"


def finished(process: subprocess.Popen[str]) -> int:
    """Wait for a process; return its status."""
    process.communicate()
    return process.returncode


def files_in(folder: Path) -> Files:
    """Return the digest of every file that a person sees in a folder."""
    if not folder.is_dir():
        return {}
    return {
        path.name: hashlib.sha256(path.read_bytes()).hexdigest()
        for path in folder.iterdir()
        if not path.name.startswith(".")
    }


def scraps_in(folder: Path) -> list[str]:
    """Return the hidden things that writing leaves."""
    return [path.name for path in folder.glob(f".*{SCRAP}")] if folder.is_dir() else []


def main() -> int:
    """Kill as often as asked; show a table, and return 1 where anything failed."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--kills", type=int, default=100)
    parser.add_argument("--seed", type=int, default=1)
    arguments = parser.parse_args()
    draw = Random(arguments.seed)
    numbers, either = (signal.SIGKILL, signal.SIGTERM), (True, False)
    ways = [
        Way(number=number, cold=cold, command=command, over_older=over)
        for number, cold, over, command in product(numbers, either, either, COMMANDS)
    ]
    tally: Counter[tuple[str, str]] = Counter()
    failed = 0
    with tempfile.TemporaryDirectory() as folder:
        workshop = Workshop(Path(folder))
        for number in range(arguments.kills):
            way, share = ways[number % len(ways)], draw.uniform(0.02, 1.05)
            left, faults = workshop.kill_one(way, share)
            tally[str(way), left] += 1
            failed += bool(faults)
            for fault in faults:
                say(f"{number}: {way} at {share:.2f}: {fault}")
    for (way_name, left), count in sorted(tally.items()):
        say(f"{way_name:36} {left:14} {count:4}")
    say(f"{arguments.kills} kills, {failed} with faults")
    return int(failed > 0)


def say(line: str) -> None:
    """Print a line."""
    sys.stdout.write(line + "\n")
    sys.stdout.flush()


if __name__ == "__main__":
    sys.exit(main())
