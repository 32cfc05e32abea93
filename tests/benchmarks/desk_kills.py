"""Desks that are killed at any moment of editing and making, and started again.

``python -m tests.benchmarks.desk_kills`` kills 30 servers by SIGKILL while one class
is edited (by its forms, in its text, undone and done again) as fast as the answers
come and another is made. After each start nothing that was answered may be missing:
not the present text, not one state before it, not from the plan file; and of the made
class the folder holds the set of one title whole, or none of it. For Linux.
"""

from __future__ import annotations

import argparse
import hashlib
import http.client
import json
import sys
import tempfile
import threading
import time
from pathlib import Path
from random import Random

from cuetrack.desk.draft import opened
from cuetrack.desk.shelf import id_of
from cuetrack.pipeline.checking import plan_from_text
from tests.benchmarks.desk_process import DeskProcess

EDITED = """\
title: Edited  # mine
voice: espeak-en
warm-up: [easy march, heel dig]
intervals: {work: 30 s, rest: 20 s, rounds: 2, movements: [leg extension, heel dig]}
cool-down: [slow march, chest stretch]
"""
MADE = """\
title: %s
voice: espeak-en
welcome: none
warm-up: [easy march: 20 s]
close: none
"""
TITLES = ("Monday", "Friday")
LONGEST_S = 4.0


class Leader:
    """Edits a class until its desk is gone; knows every text that was answered."""

    def __init__(self, desk: DeskProcess, plan: Path, draw: Random) -> None:
        self._desk, self._draw = desk, draw
        self._at = f"/class/{id_of(plan.name)}"
        self._plan = plan
        self.answered: list[str] = []
        self.begun = threading.Event()

    def work(self) -> None:
        """Edit until the desk is gone."""
        number = 0
        try:
            state = self._desk.ask(f"{self._at}/step", {"by": 0})
            while True:
                self.answered.append(state["text"])
                self.begun.set()
                number += 1
                state = self._edit(number, state)
        except (OSError, http.client.HTTPException, ValueError):
            return

    def _edit(self, number: int, state: dict[str, object]) -> dict[str, object]:
        words = f"Word {number} of {self._draw.randrange(10**6)}."
        kind = self._draw.choice(("form", "form", "form", "text", "half", "step"))
        version = state["version"]
        if kind == "step":
            by = self._draw.choice((-1, 1))
            return self._desk.ask(f"{self._at}/step", {"by": by})
        if kind == "form" and "oops: [" not in str(state["text"]):
            fields = {"section": 2, "movement": 0, "easier": words}
            asked = {"change": "movement", "fields": fields, "version": version}
            return self._desk.ask(f"{self._at}/change", asked)
        text = str(state["text"]).replace("oops: [\n", "")
        text += f"# {words}\n" + ("oops: [\n" if kind == "half" else "")
        asked = {"text": text, "version": version}
        return self._desk.ask(f"{self._at}/text", asked)


def losses(leader: Leader, plan: Path) -> list[str]:
    """Say what of the answered edits is not there any more."""
    draft = opened(plan)
    faults = []
    kept = set(draft.states) | _written(plan)
    lost = [text for text in leader.answered if text not in kept]
    if lost:
        faults.append(f"{len(lost)} of {len(leader.answered)} states lost")
    # The last answer, or what was asked for when the desk died, one state from it.
    near = draft.states[max(draft.at - 1, 0) : draft.at + 2]
    if leader.answered and leader.answered[-1] not in near:
        faults.append("the present text is another")
    if draft.outside is not None:
        faults.append("the desk takes its own file for one from outside")
    plan_from_text(plan.read_text("utf-8"), plan)
    return faults


def _written(plan: Path) -> set[str]:
    """Return every text in the journal, what was given up by an undo included."""
    journal = plan.parent / ".cuetrack-desk" / f"{plan.name}.jsonl"
    found = set()
    for line in journal.read_text("utf-8").splitlines():
        try:
            found.add(str(json.loads(line).get("text")))
        except ValueError:
            continue
    return found


def kill_while_edited(
    desk: DeskProcess, plan: Path, draw: Random, after_s: float
) -> tuple[list[str], int]:
    """Kill a desk after its first answer; return what was lost of how many edits."""
    leader = Leader(desk, plan, draw)
    editing = threading.Thread(target=leader.work)
    editing.start()
    leader.begun.wait(timeout=60)
    time.sleep(after_s)
    desk.kill()
    editing.join()
    return losses(leader, plan), len(leader.answered)


class Making:
    """A class of a folder that is made under one of two titles."""

    def __init__(self, plan: Path) -> None:
        self.plan = plan
        self.plan.write_text(MADE % TITLES[0], "utf-8")
        self.sets: dict[str, dict[str, str]] = {}

    def learn(self, desk: DeskProcess) -> None:
        """Make it under each title, and keep what an undisturbed make gives."""
        for title in TITLES:
            self.begin(desk, title)
            self.finish(desk)
            self.sets[title] = self.files()

    def begin(self, desk: DeskProcess, title: str) -> None:
        """Give the class a title and begin to make it."""
        at = f"/class/{id_of(self.plan.name)}"
        version = desk.ask(f"{at}/step", {"by": 0})["version"]
        asked = {"change": "class", "fields": {"title": title}, "version": version}
        desk.ask(f"{at}/change", asked)
        desk.ask(f"{at}/make", {})

    def finish(self, desk: DeskProcess) -> None:
        """Wait for a make to be done."""
        at = f"/class/{id_of(self.plan.name)}"
        while (made := desk.ask(f"{at}/made"))["state"] == "running":
            time.sleep(0.1)
        assert made["state"] == "done", made

    def files(self) -> dict[str, str]:
        """Return the digest of everything that was made."""
        return {
            path.name: hashlib.sha256(path.read_bytes()).hexdigest()
            for path in self.plan.parent.glob(f"{self.plan.stem}.*")
            if path != self.plan
        }

    def faults(self, titles: tuple[str, ...]) -> list[str]:
        """Say whether what lies there is anything but the set of one of the titles."""
        found = self.files()
        if found in [self.sets[title] for title in titles]:
            return []
        return [f"no whole set: {sorted(found)}"]


def main() -> int:
    """Kill as often as asked, and return 1 where anything was lost."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--kills", type=int, default=30)
    parser.add_argument("--seed", type=int, default=1)
    arguments = parser.parse_args()
    draw = Random(arguments.seed)
    failed = edits = 0
    with tempfile.TemporaryDirectory(ignore_cleanup_errors=True) as scratch:
        folder, store = Path(scratch) / "classes", Path(scratch) / "store"
        folder.mkdir()
        (folder / "edited.yaml").write_text(EDITED, "utf-8")
        making = Making(folder / "made.yaml")
        desk = DeskProcess(folder, store)
        making.learn(desk)
        desk.stop()
        for number in range(arguments.kills):
            desk = DeskProcess(folder, store)
            making.begin(desk, TITLES[number % len(TITLES)])
            after_s = draw.uniform(0.05, LONGEST_S)
            faults, count = kill_while_edited(
                desk, folder / "edited.yaml", draw, after_s
            )
            faults += making.faults(TITLES)
            edits += count
            failed += bool(faults)
            say(f"{number}: {count} edits in {after_s:.1f} s {'; '.join(faults)}")
        desk = DeskProcess(folder, store)
        making.begin(desk, TITLES[0])
        making.finish(desk)
        desk.stop()
        faults = making.faults(TITLES[:1])
    say(f"{arguments.kills} kills in {edits} edits, {failed} with faults")
    say("; ".join(faults) or "the make after them is that of an undisturbed desk")
    return int(failed > 0 or bool(faults))


def say(line: str) -> None:
    """Print a line."""
    sys.stdout.write(line + "\n")
    sys.stdout.flush()


if __name__ == "__main__":
    sys.exit(main())
